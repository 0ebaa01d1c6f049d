"""Tests of readings: closed forms, a maker who is only thought of, what cannot be, bad forms."""

from __future__ import annotations

import math
import random
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.gauging.figures import Outcome, work_out
from foldwright.gauging.form import form_text
from foldwright.gauging.own_profile import profile_text
from foldwright.gauging.read_form import read_form
from foldwright.gauging.schema import SECTIONS
from foldwright.problems import ProfileError, Severity
from foldwright.profiles import Profile, Tool, load_material
from foldwright.sources import parse_source
from tests.gauging.makers import MATERIAL, Maker, empty_form, filled, laid, read, setting

PUBLISHED = Path(__file__).parents[1] / "published"

LASER = setting("laser")


def outcome(values: Mapping[str, object], tool: str = "laser") -> Outcome:
    bench = setting(tool)
    form = read(filled(empty_form(bench), {"made_of": '"paper"', **values}))
    return work_out(form, bench.profile, bench.way)


def figures(values: Mapping[str, object], tool: str = "laser") -> dict[str, float]:
    return {".".join(one.key): one.value for one in outcome(values, tool).figures}


def rules(values: Mapping[str, object], tool: str = "laser") -> list[str]:
    return [one.rule for one in outcome(values, tool).findings]


def fact(number: str) -> dict[str, object]:
    text = (PUBLISHED / "kerf_gauges.toml").read_text("utf-8")
    (found,) = [one for one in tomllib.loads(text)["fact"] if one["id"] == number]
    value = found["value"]
    assert isinstance(value, dict)
    return value


# The kerf, by squares.


def test_the_kerf_of_a_published_example_comes_back() -> None:
    # A service bureau: with k = 0.2 mm a drawn 2 by 4 mm gives a part of 1.8 by 3.8
    # and an opening of 2.2 by 4.2.
    value = fact("T40")
    part, opening = value["part"], value["opening"]
    assert isinstance(part, list)
    assert isinstance(opening, list)
    text = filled(
        empty_form(LASER),
        {
            "kerf.drawn": [2],
            "kerf.hole_x": opening[0],
            "kerf.piece_x": part[0],
        },
    )
    found = work_out(read(text), LASER.profile, LASER.way)
    assert [one.value for one in found.figures] == [value["k"]]
    text = filled(
        empty_form(LASER),
        {"kerf.drawn": [4], "kerf.hole_x": opening[1], "kerf.piece_x": part[1]},
    )
    found = work_out(read(text), LASER.profile, LASER.way)
    assert [one.value for one in found.figures] == [value["k"]]


def test_published_kerfs_are_measured_and_not_doubted() -> None:
    # Service bureaus: 0.003 in for museum board of 1/32 in, 0.005 in for 1/16 in, 0.08 to
    # 0.45 mm for materials in general; a knife has practically none.
    value = fact("T41")
    spans = value["range_mm"]
    assert isinstance(spans, list)
    boards = [25.4 * float(str(value[key])) for key in ("board_1_32_in", "board_1_16_in")]
    for kerf in (*boards, *spans, 0.0):
        values = {"kerf.hole_x": 20.0 + kerf, "kerf.piece_x": 20.0 - kerf}
        assert rules(values) == []
        assert figures(values)["tool.kerf"] == pytest.approx(kerf, abs=5e-4)


@given(
    kerf=st.floats(0.0, 1.0),
    scale=st.floats(0.5, 2.0),
    ruler=st.floats(0.99, 1.01),
)
def test_the_scale_cancels_in_the_kerf(kerf: float, scale: float, ruler: float) -> None:
    """Half of (s a + k) - (s a - k) is k at any scale s; a ruler that is off by r gives r k."""
    hole, piece = (20.0 * scale + sign * kerf for sign in (1.0, -1.0))
    values = {"kerf.hole_x": hole * ruler, "kerf.piece_x": piece * ruler}
    assert figures(values)["tool.kerf"] == pytest.approx(kerf * ruler, abs=6e-4)


def test_two_kerfs_are_written_only_where_they_differ() -> None:
    same = {"kerf.hole_x": 20.1, "kerf.piece_x": 19.9, "kerf.hole_y": 20.1, "kerf.piece_y": 19.9}
    assert figures(same) == {"tool.kerf": 0.1}
    apart = {**same, "kerf.hole_y": 20.2, "kerf.piece_y": 19.8}
    assert figures(apart) == {"tool.kerf": 0.1, "tool.kerf_y": 0.2}


def test_repeated_readings_are_told_with_mean_and_spread() -> None:
    found = outcome({"kerf.hole_x": [20.1, 20.2, 20.3], "kerf.piece_x": '"19.8 mm"'})
    (one,) = found.figures
    assert one.value == 0.2
    assert one.basis == (
        "measured on a gauge along x: hole 20.2 mm (mean of 3, from 20.1 to 20.3), "
        "piece 19.8 mm; half the difference"
    )


def test_the_tolerance_is_that_of_lines_which_make_sides() -> None:
    # Four readings of each side, plus and minus 0.12 mm: the variance is 8 times 0.12² over
    # 8 - 2 degrees of freedom; a side has two lines, and two deviations hold 19 of 20.
    holes, pieces = [20.0, 20.24, 20.0, 20.24], [19.76, 20.0, 19.76, 20.0]
    found = figures({"kerf.hole_x": holes, "kerf.piece_x": pieces})
    deviation = math.sqrt(8 * 0.12**2 / 6)
    assert found["tool.tolerance"] == pytest.approx(2 * deviation / math.sqrt(2), abs=5e-4)
    # Two readings a side say too little.
    few = outcome({"kerf.hole_x": holes[:2], "kerf.piece_x": pieces[:2]})
    assert [one.key for one in few.figures] == [("tool", "kerf")]
    assert few.remarks == ()


def test_small_squares_do_not_make_a_tool_better_than_its_profile() -> None:
    holes, pieces = [20.12, 20.13, 20.11], [19.88, 19.89, 19.87]
    found = outcome({"kerf.hole_x": holes, "kerf.piece_x": pieces})
    assert [one.key for one in found.figures] == [("tool", "kerf")]
    # The sides deviate by 0.01 mm, so two deviations of a line are 0.0141 mm.
    assert found.remarks == (
        "By 6 readings of squares, lines lie within 0.014 mm in 19 of 20 cases. That is no "
        "tolerance over a whole card, so it stays 0.1 mm.",
    )


# The rest, by closed forms.


def test_caliper_is_the_stack_over_its_plies() -> None:
    assert figures({"caliper.stack": [2.10, 2.16]}) == {"caliper": 0.355}
    assert figures({"caliper.stack": '"0.125 in"', "caliper.plies": 8}) == {"caliper": 0.397}


def test_allowance_fits_all_plies_and_adds_half_the_kerf() -> None:
    # 0.3 mm a ply without a kerf: exactly on the line.
    read_off = {"hinge.short_2": 0.6, "hinge.short_4": 1.2, "hinge.short_6": 1.8}
    assert figures(read_off, "hand") == {"tool.score.allowance": 0.3}
    # One strip alone: (1.14 + 0.12 / 2) / 4.
    assert figures({"hinge.short_4": 1.14}) == {"tool.score.allowance": 0.3}
    # The sum of n u over the sum of n².
    least_squares = (2 * 0.6 + 4 * 1.4 + 6 * 1.8) / (4 + 16 + 36)
    assert figures({**read_off, "hinge.short_4": 1.4}, "hand") == {
        "tool.score.allowance": round(least_squares, 3)
    }
    assert figures({"hinge.short_2": 0}, "hand") == {"tool.score.allowance": 0.0}


def test_teeth_are_drawn_lengths_less_or_more_the_kerf() -> None:
    kerf = {"kerf.hole_x": 20.2, "kerf.piece_x": 19.8}
    found = figures({**kerf, "bridges.holds": 4, "perforation.tears": 4, "score.folds": 3})
    drawn = {one.section: one.drawn for one in laid(LASER).gauges}
    assert found["tool.bridge.length"] == pytest.approx(drawn["bridges"]["drawn"][3] - 0.2)
    assert found["tool.perforation.cut"] == drawn["perforation"]["drawn_cut"][3] + 0.2
    assert found["tool.perforation.tie"] == drawn["perforation"]["drawn_tie"][3] - 0.2
    assert found["tool.score.inset"] == pytest.approx(drawn["score"]["drawn"][2] - 0.1)
    # Without a reading of the kerf it is that of the profile, 0.12 mm.
    assert figures({"score.folds": 3}) == {"tool.score.inset": round(0.7 - 0.06, 3)}
    # No score reaches past the edge.
    assert figures({"score.folds": 1}) == {"tool.score.inset": 0.0}


def test_a_slot_says_how_much_play_it_leaves() -> None:
    found = outcome({"slots.takes": 4, "caliper.stack": 2.1, "bridges.holds": 3})
    drawn = {one.section: one.drawn for one in laid(LASER).gauges}
    width = drawn["slots"]["drawn"][3] + 0.12
    (remark,) = found.remarks
    assert remark.startswith(
        f"A finished slot of {width:g} mm takes an edge of 0.35 mm: a play of {width - 0.35:.2g} mm"
    )


def test_a_scale_that_is_slightly_off_is_taken_into_account() -> None:
    plain = figures({"bridges.holds": 7})["tool.bridge.length"]
    values = {"size_bar.metric": 50.5, "bridges.holds": 7}
    assert rules(values) == ["gauge-scale-slight"]
    assert figures(values)["tool.bridge.length"] == pytest.approx(
        (plain + 0.12) * 1.01 - 0.12, abs=6e-4
    )
    # A ruler is read no better than this, so nothing is changed by it.
    assert figures({"size_bar.metric": 50.2, "bridges.holds": 7})["tool.bridge.length"] == plain


@pytest.mark.parametrize(
    ("metric", "says"),
    [
        # CSS, Values and Units, section 5.2: 96 px = 72 pt = 1 in = 25.4 mm.  90 px an inch:
        # older vector programs, common practice.
        (37.5, "75 % of its size: that is 72 : 96, points taken for pixels"),
        (37.8, "that is 72 : 96, points taken for pixels"),
        (66.7, "that is 96 : 72, pixels taken for points"),
        (46.9, "that is 90 : 96"),
        (53.3, "that is 96 : 90"),
        (62.5, "that is 90 : 72"),
        (13.2, "that is 25.4 : 96, mm taken for pixels"),
        (189, "that is 96 : 25.4, pixels taken for mm"),
        (17.6, "that is 25.4 : 72, mm taken for points"),
        (1270, "that is 25.4 : 1, mm taken for inches"),
        (5, "a factor of ten, mm and cm taken for each other"),
        (45, "that is none of the usual mistakes of a unit"),
    ],
)
def test_a_trap_of_units_is_named(metric: float, says: str) -> None:
    values: dict[str, object] = {"size_bar.metric": metric, "caliper.stack": 2.1}
    found = outcome(values)
    (one,) = found.findings
    assert one.rule == "gauge-scale"
    assert one.severity is Severity.WARN
    assert says in one.message
    assert one.measure_mm == pytest.approx(metric)
    # The thickness of a sheet is what it is.
    assert [figure.key for figure in found.figures] == [("caliper",)]


@pytest.mark.parametrize(
    ("metric", "instead"), [(1.97, '"1.97 in"'), (5, '"5 cm"'), (500, None), (1270, None)]
)
def test_readings_of_another_ruler_may_be_what_is_wrong(metric: float, instead: str | None) -> None:
    """50 mm are 1.97 in and 5 cm, and so they are read where the ruler has no mm."""
    (one,) = outcome({"size_bar.metric": metric, "caliper.stack": 2.1}).findings
    assert one.rule == "gauge-scale"
    assert ("write readings in" in one.mend) is (instead is not None)
    assert instead is None or instead in one.mend


def test_plies_that_contradict_each_other_give_no_allowance() -> None:
    values: dict[str, object] = {
        "hinge.short_2": 3, "hinge.short_4": 1, "hinge.short_6": 0.2, "caliper.stack": 2.1,
    }  # fmt: skip
    found = outcome(values)
    assert rules(values) == ["gauge-plies-out-of-order"] * 2
    assert [figure.key for figure in found.figures] == [("caliper",)]
    # Readings that differ by no more than a ruler can be read are taken as they are.
    values |= {"hinge.short_2": 0.7, "hinge.short_4": 1.4, "hinge.short_6": 2.1}
    assert ("tool", "score", "allowance") in [figure.key for figure in outcome(values).figures]


def test_at_a_wrong_size_the_kerf_holds_and_what_was_drawn_is_left_out() -> None:
    scale, kerf = 0.75, 0.12
    found = outcome(
        {
            "size_bar.metric": 50 * scale,
            "size_bar.inch": 50.8 * scale,
            "kerf.hole_x": 20 * scale + kerf,
            "kerf.piece_x": 20 * scale - kerf,
            "bridges.holds": 3,
            "score.folds": 2,
            "perforation.tears": 2,
            "hinge.short_2": 0.5,
            "slots.takes": 2,
        }
    )
    assert {one.key: one.value for one in found.figures} == {("tool", "kerf"): kerf}
    told = [one.rule for one in found.findings]
    assert told == ["gauge-scale", *["gauge-needs-size"] * 5]


@settings(max_examples=40)
@given(
    kerf=st.floats(0.0, 0.4),
    kerf_y=st.floats(0.0, 0.4),
    scale=st.floats(0.985, 1.015),
    caliper=st.floats(0.3, 0.42),
    allowance=st.floats(0.1, 0.8),
    bridge=st.floats(0.0, 0.5),
    inset=st.floats(0.0, 1.2),
    error=st.sampled_from([0.0, 0.01, 0.02]),
    seed=st.integers(0, 1000),
)
def test_a_maker_gets_the_truth_back(
    kerf: float,
    kerf_y: float,
    scale: float,
    caliper: float,
    allowance: float,
    bridge: float,
    inset: float,
    error: float,
    seed: int,
) -> None:
    maker = Maker(
        kerf=kerf, kerf_y=kerf_y, scale=scale, caliper=caliper, allowance=allowance,
        bridge=bridge, inset=inset,
    )  # fmt: skip
    chance = random.Random(seed)
    values = maker.readings(LASER, lambda: chance.uniform(-error, error))
    result = outcome(values)
    assert all(one.severity is not Severity.STOP for one in result.findings)
    found = {".".join(one.key): one.value for one in result.figures}
    # A scale is known to half a percent, or to what an error does to a square of 20 mm.
    share = 0.005 + error / 20.0
    digit = 0.001
    assert found["tool.kerf"] == pytest.approx(kerf, abs=error + digit)
    if "tool.kerf_y" in found:
        assert found["tool.kerf_y"] == pytest.approx(kerf_y, abs=error + digit)
    else:
        assert found["tool.kerf"] == pytest.approx(kerf_y, abs=0.01 + error + digit)
    assert found["caliper"] == pytest.approx(caliper, abs=error / 6.0 + digit)
    # The sum of n times an error over the sum of n², for 2, 4 and 6 plies.
    plies = 12.0 / 56.0
    off = plies * (error + (error + 0.01) / 2.0) + share * allowance
    assert found["tool.score.allowance"] == pytest.approx(allowance, abs=off + digit)
    drawn = {one.section: one.drawn for one in laid(LASER).gauges}
    for section, key, left in (
        ("bridges", "tool.bridge.length", maker.gap_left),
        ("score", "tool.score.inset", maker.inset_left),
    ):
        tooth = values[f"{section}.{'holds' if section == 'bridges' else 'folds'}"]
        assert isinstance(tooth, int)
        made = drawn[section]["drawn"][tooth - 1]
        assert found[key] == pytest.approx(left(made), abs=error + share * made + digit)
    # Errors of reading this small do not make the tool worse than its profile.
    assert "tool.tolerance" not in found
    # What is written is a material, and has just these figures.
    profile = loaded(values)
    way = profile.tools[Tool.LASER]
    assert way.kerf is not None
    assert way.kerf.value == found["tool.kerf"]
    assert way.score is not None
    assert way.score.allowance.value == found["tool.score.allowance"]
    assert profile.made_of == "paper"


def loaded(values: Mapping[str, object]) -> Profile:
    from tempfile import TemporaryDirectory

    form = read(filled(empty_form(LASER), {"made_of": '"paper"', **values}))
    result = work_out(form, LASER.profile, LASER.way)
    text = profile_text(
        form, result, material="trial card", based_on=str(MATERIAL), readings="readings.toml"
    )
    with TemporaryDirectory() as folder:
        file = Path(folder) / "own.toml"
        file.write_text(text, encoding="utf-8")
        return load_material(str(file))


# Readings that cannot be.


@pytest.mark.parametrize(
    ("values", "rule", "severity", "says"),
    [
        (
            {"kerf.hole_x": 19.8, "kerf.piece_x": 20.1}, "gauge-kerf-negative", "stop",
            "along x the hole measures 19.8 mm and its piece 20.1 mm",
        ),
        (
            {"kerf.hole_y": 32, "kerf.piece_y": 20}, "gauge-impossible", "stop",
            "kerf_y = 6 mm, and it is 0 to 5 mm",
        ),
        ({"kerf.hole_x": 20.1}, "gauge-half-read", "warn", "hole_x is filled in and piece_x"),
        ({"kerf.piece_y": 20.1}, "gauge-half-read", "warn", "and hole_y is not"),
        (
            {"kerf.hole_x": [20.1, 21.0], "kerf.piece_x": 19.9}, "gauge-readings-spread", "warn",
            "the readings of hole_x lie 0.9 mm apart, from 20.1 mm to 21 mm",
        ),
        (
            {"caliper.stack": 2.8}, "gauge-caliper-far", "warn",
            'one ply comes out at 0.467 mm, and "trial card" says 0.35 mm',
        ),
        ({"caliper.stack": 21}, "gauge-caliper-far", "stop", "one ply comes out at 3.5 mm"),
        ({"caliper.stack": 0.35}, "gauge-caliper-far", "stop", "one ply comes out at 0.058 mm"),
        (
            {"hinge.short_2": 1.4, "hinge.short_6": 0.7}, "gauge-plies-out-of-order", "warn",
            "short_2 is 1.4 mm, and short_6 is 0.7 mm",
        ),
        (
            {"hinge.short_2": 55}, "gauge-impossible", "stop", "allowance = 27.53 mm",
        ),
        (
            {"bridges.holds": '"none"', "caliper.stack": 2.1}, "gauge-no-tooth", "warn",
            "no tooth of the bridge comb was good enough",
        ),
        (
            {"slots.takes": 1, "caliper.stack": 2.5}, "gauge-slot-narrow", "warn",
            "is said to take the tongue, and one ply is 0.417 mm thick",
        ),
        (
            {"size_bar.metric": 50.8, "size_bar.inch": 50, "caliper.stack": 2.1},
            "gauge-scales-differ", "stop",
            "the metric bar came out at 101.6 % of its size, and the bar in inches at 98.43 %",
        ),
        (
            {"size_bar.metric": 40, "bridges.holds": 2}, "gauge-nothing-left", "stop",
            "none of the readings gives a figure",
        ),
        (
            {"made_of": '""', "caliper.stack": 2.1}, "gauge-make-up", "warn",
            "made_of is empty, so no laser file",
        ),
        (
            {"made_of": '"cheese"', "caliper.stack": 2.1}, "gauge-make-up", "warn",
            'made_of is "cheese", so no laser file',
        ),
        (
            {"bridges.drawn": [60, 70], "bridges.holds": 1}, "bridges-overlap", "stop",
            "bridges of 59.88 mm every 50 mm",
        ),
    ],
)  # fmt: skip
def test_a_reading_that_cannot_be_is_told_with_its_line(
    values: dict[str, object], rule: str, severity: str, says: str
) -> None:
    found = [one for one in outcome(values).findings if one.rule == rule]
    (one,) = found
    assert str(one.severity) == severity
    assert says in one.message
    assert one.mend
    assert one.place.file == "readings.toml"
    key = next(key for key in values if "." not in key or not key.endswith("drawn"))
    lines = filled(empty_form(LASER), {"made_of": '"paper"', **values}).splitlines()
    assert one.place.line is not None
    if rule != "gauge-nothing-left":
        due = [key.rpartition(".")[2] for key in values] if "." in key else [key]
        assert lines[one.place.line - 1].split()[0] in {*due, "made_of"}


def test_a_difference_that_reading_explains_is_no_kerf() -> None:
    assert figures({"kerf.hole_x": 19.98, "kerf.piece_x": 20.0}, "knife") == {"tool.kerf": 0.0}


# Forms.


@pytest.mark.parametrize("tool", ["hand", "knife", "laser"])
def test_an_empty_form_reads_back_as_what_was_drawn(tool: str) -> None:
    bench = setting(tool)
    form = read(empty_form(bench))
    assert form.empty
    assert form.tool is bench.tool
    assert form.material == str(MATERIAL)
    assert form.name == "trial card measured"
    assert form.made_of is None
    for one in laid(bench).gauges:
        assert dict(form.parts[one.section].drawn) == dict(one.drawn)
    # What has no gauge is not asked for.
    assert ("bridges" in form.parts) is (tool != "hand")
    result = work_out(form, bench.profile, bench.way)
    assert "gauge-form-empty" in [one.rule for one in result.findings]


def test_every_key_that_is_asked_for_gives_a_figure_or_a_remark() -> None:
    values: dict[str, object] = {
        "kerf.hole_x": 20.1, "kerf.piece_x": 19.9, "kerf.hole_y": 20.2, "kerf.piece_y": 19.9,
        "slots.takes": 5, "caliper.stack": 2.1, "hinge.short_2": 0.6, "hinge.short_4": 1.2,
        "hinge.short_6": 1.8, "score.folds": 3, "bridges.holds": 3, "perforation.tears": 3,
        "size_bar.metric": 50.5, "size_bar.inch": 51.3,
    }  # fmt: skip
    asked = {f"{section.name}.{one.key}" for section in SECTIONS for one in section.asked}
    assert asked == set(values)

    def told(given: Mapping[str, object]) -> tuple[object, ...]:
        found = outcome(given)
        return found.figures, found.remarks, [one.rule for one in found.findings]

    whole = told(values)
    for key in values:
        assert told({name: value for name, value in values.items() if name != key}) != whole, key


def test_the_form_says_what_is_left_out_and_carries_the_cautions() -> None:
    text = empty_form(setting("hand"))
    assert "# Left out: this tool needs no bridges" in text
    plain = " ".join(text.replace("\n#", " ").split())
    for caution in setting("hand").cautions:
        assert caution in plain
    assert max(len(line) for line in text.splitlines() if line.startswith("#")) <= 98


def test_the_form_is_the_same_every_time_and_takes_any_name() -> None:
    found = laid(LASER)
    odd = 'a "odd"\\path/ü.toml'
    one, other = (form_text(LASER, found.gauges, found.left_out, material=odd) for _ in range(2))
    assert one == other
    assert read(one).material == odd


@pytest.mark.parametrize(
    ("values", "rule", "says"),
    [
        ({"format": 2}, "gauge-form-version", "version 2, and this program reads version 1"),
        ({"format": '"1"'}, "wrong-type", "format"),
        ({"tool": '"saw"'}, "unknown-word", '"saw"'),
        ({"name": '"a/b"'}, "unsafe-name", "a/b"),
        ({"material": "3"}, "wrong-type", "a text in quotes"),
        ({"kerf.hole_x": '"wide"'}, "wrong-type", '"kerf.hole_x"'),
        ({"kerf.hole_x": '"3 +"'}, "measure-syntax", ""),
        ({"kerf.hole_x": '"3 deg"'}, "not-a-length", ""),
        ({"kerf.hole_x": "true"}, "wrong-type", "true"),
        ({"kerf.hole_x": [20.1, -3]}, "gauge-no-length", 'item 2 of "kerf.hole_x" is -3'),
        ({"kerf.hole_x": 0}, "gauge-no-length", '"kerf.hole_x" is 0'),
        ({"kerf.hole_x": "inf"}, "unusable-number", ""),
        ({"hinge.short_2": -0.1}, "gauge-no-length", '"hinge.short_2" is -0.1'),
        ({"kerf.hole_x": list(range(1, 102))}, "gauge-too-many", "101 readings, at most 100"),
        ({"kerf.drawn": []}, "wrong-type", '"kerf.drawn"'),
        ({"caliper.plies": 2.5}, "wrong-type", "a whole number of plies"),
        ({"bridges.holds": 8}, "gauge-no-such-tooth", "is 8, and the gauge has teeth 1 to 7"),
        ({"bridges.holds": 0}, "gauge-no-such-tooth", "is 0"),
        ({"bridges.holds": 2.5}, "wrong-type", 'the number of a tooth, or "none"'),
        ({"bridges.holds": '"the third"'}, "wrong-type", "the number of a tooth"),
    ],
)
def test_a_bad_form_is_told_with_its_line(values: dict[str, object], rule: str, says: str) -> None:
    with pytest.raises(ProfileError) as caught:
        read(filled(empty_form(LASER), values))
    (one,) = caught.value.problems
    assert one.rule == rule, one.line()
    assert says in one.message
    assert one.place.line is not None
    lines = filled(empty_form(LASER), values).splitlines()
    assert lines[one.place.line - 1].startswith(next(iter(values)).rpartition(".")[2])


def test_a_form_without_its_first_keys_names_each() -> None:
    with pytest.raises(ProfileError) as caught:
        read_form(parse_source("[kerf]\nhole_x = 3\nhole_z = 4\n", "readings.toml"))
    assert sorted(one.rule for one in caught.value.problems) == [
        "missing-key", "missing-key", "missing-key", "missing-key", "missing-key", "unknown-key",
    ]  # fmt: skip


def test_a_profile_on_top_of_a_measured_one_keeps_what_was_not_measured() -> None:
    values: dict[str, object] = {"bridges.holds": 3}
    profile = loaded(values)
    base = load_material(str(MATERIAL))
    way, before = profile.tools[Tool.LASER], base.tools[Tool.LASER]
    assert way.bridge is not None
    assert before.bridge is not None
    assert way.bridge.length != before.bridge.length
    assert (way.bridge.pitch, way.kerf, way.score) == (
        before.bridge.pitch,
        before.kerf,
        before.score,
    )
    assert profile.caliper == base.caliper
    assert profile.based_on == str(MATERIAL)
