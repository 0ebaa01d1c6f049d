"""Tests of the gauges as they are drawn: teeth, ticks, outlines, sheets, every shipped material."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely import LineString
from shapely.strtree import STRtree

from foldwright.compiling.job import Job
from foldwright.compiling.overlaps import settle
from foldwright.drawing import Drawing, Layer, Role, Stroke, Work
from foldwright.gauging import bridge_comb, perforation_comb, slots
from foldwright.gauging.gauges import gauges_for
from foldwright.gauging.model import Gauge, LeftOut, Sheet, setting_of
from foldwright.gauging.page import page_for
from foldwright.gauging.parts import comb, rectangle, with_gaps
from foldwright.gauging.sheets import Page
from foldwright.gauging.ticks import ticks
from foldwright.plugins import Group, names
from foldwright.problems import ProfileError
from foldwright.profiles import Figure, Tool, load_material
from foldwright.profiles.machine import Corner, Lies, Machine, Rim
from foldwright.writers import WriteOptions
from foldwright.writers.plain import writer as plain
from foldwright.writers.svg import writer as svg
from tests.gauging.makers import gauge, laid, setting

PUBLISHED = Path(__file__).parents[1] / "published"
GOLDEN = Path(__file__).parents[1] / "golden" / "gauges"

TOOLS = ("hand", "knife", "laser")


def of_source(strokes: tuple[Stroke, ...], source: str, layer: Layer) -> list[Stroke]:
    return [one for one in strokes if one.source == source and one.layer is layer]


def gaps_of(strokes: list[Stroke]) -> list[float]:
    """The lengths of the gaps between open strokes that run round one outline."""
    ordered = [*strokes, strokes[0]]
    return [one.path.end.distance(other.path.start) for one, other in pairwise(ordered)]


# Parts.


def test_a_comb_has_its_teeth_and_its_area() -> None:
    outline = comb([12.0, 10.0, 8.0], 15.0, 8.0)
    left, bottom, right, top = outline.box()
    assert (left, bottom, right, top) == (0.0, 0.0, 30.0 + 2 * 6.0, 23.0)
    assert outline.area == pytest.approx(42.0 * 8.0 + 30.0 * 15.0)


def test_gaps_are_as_long_as_asked_for_and_where() -> None:
    outline = rectangle(0.0, 0.0, 20.0, 10.0)
    first, second = with_gaps(outline, [(0, 0.5), (2, 0.5)], 0.4)
    # From the gap at the bottom round the right to the one at the top, and back round the left.
    assert first.start.floats() == pytest.approx((10.2, 0.0))
    assert first.end.floats() == pytest.approx((10.2, 10.0))
    assert second.start.floats() == pytest.approx((9.8, 10.0))
    assert second.end.floats() == pytest.approx((9.8, 0.0))
    assert first.length + second.length == pytest.approx(60.0 - 0.8)


def test_a_part_without_bridges_is_closed() -> None:
    outline = rectangle(0.0, 0.0, 20.0, 10.0)
    assert with_gaps(outline, [(0, 0.5)], 0.0) == [outline]


@pytest.mark.parametrize("count", [1, 4, 5, 6, 7])
def test_ticks_are_counted_in_fives(count: int) -> None:
    places = [float(one.start.x) for one in ticks(count, 50.0, 0.0)]
    assert len(places) == count
    assert places[0] + places[-1] == pytest.approx(100.0)
    steps = [round(b - a, 6) for a, b in pairwise(places)]
    assert steps == [2.4 if index % 5 == 0 else 1.2 for index in range(1, count)]


# Gauges one by one.


def test_the_squares_are_drawn_as_large_as_the_form_says() -> None:
    for tool in TOOLS:
        found = gauge("kerf", setting(tool))
        (side,) = found.drawn["drawn"]
        for index in (1, 2, 3):
            cuts = of_source(found.strokes, f"square {index}", Layer.CUT)
            boxes = [one.path.box() for one in cuts]
            wide = max(box[2] for box in boxes) - min(box[0] for box in boxes)
            tall = max(box[3] for box in boxes) - min(box[1] for box in boxes)
            assert (wide, tall) == pytest.approx((side, side))
            marks = of_source(found.strokes, f"square {index}", Layer.MARK)
            # One line along x, and as many ticks as the square's number.
            assert Counter(one.path.box()[1] == one.path.box()[3] for one in marks) == {
                True: 1,
                False: index,
            }
            # Both ways across the middle are clear of the bridges.
            for one in cuts:
                if not one.path.closed:
                    for end in (one.path.start, one.path.end):
                        assert float(end.y) < min(box[1] for box in boxes) + side / 3.0


def test_a_hand_cuts_whole_squares_and_a_knife_leaves_its_bridges() -> None:
    (whole,) = of_source(gauge("kerf", setting("hand")).strokes, "square 1", Layer.CUT)
    assert whole.path.closed
    found = of_source(gauge("kerf", setting("knife")).strokes, "square 1", Layer.CUT)
    # A bridge of 0.5 mm, and a knife that removes nothing.
    assert gaps_of(found) == pytest.approx([0.5, 0.5])
    found = of_source(gauge("kerf", setting("laser")).strokes, "square 1", Layer.CUT)
    assert gaps_of(found) == pytest.approx([0.62, 0.62])


def test_the_bridges_are_drawn_as_long_as_the_form_says() -> None:
    found = gauge("bridges", setting("laser"))
    for index, length in enumerate(found.drawn["drawn"], 1):
        cuts = of_source(found.strokes, f"bridges {index}", Layer.CUT)
        assert gaps_of(cuts) == pytest.approx([length, length])
        assert len(of_source(found.strokes, f"bridges {index}", Layer.MARK)) == index


def test_the_bridges_rise_about_that_of_the_profile() -> None:
    # 0.2 to 1 mm for card: common practice, no source.
    lengths = bridge_comb.gap_lengths(setting("knife"))
    assert lengths == (0.2, 0.3, 0.4, 0.5, 0.6, 0.75, 1.0)
    # What a laser of 0.12 mm leaves of its gaps is never less than that.
    lasers = bridge_comb.gap_lengths(setting("laser"))
    assert all(a < b for a, b in pairwise(lasers))
    assert lasers[0] - 0.12 >= 0.2


def test_the_insets_of_the_score_comb_are_those_of_the_form() -> None:
    found = gauge("score", setting("hand"))
    # The profile has none, so the teeth are about the usual one.
    assert found.drawn["drawn"] == (0.0, 0.25, 0.5, 0.75, 1.0, 1.5)
    for index, inset in enumerate(found.drawn["drawn"]):
        (score,) = of_source(found.strokes, f"score {index + 1}", Layer.SCORE)
        assert score.work is Work.CREASED
        left, _, right, _ = score.path.box()
        assert (left, right) == pytest.approx((index * 18.0 + inset, index * 18.0 + 12.0 - inset))


def test_scores_are_made_as_the_profile_makes_them() -> None:
    for tool, work, several in (
        ("hand", Work.CREASED, False),
        ("knife", Work.HALF_CUT, True),
        ("laser", Work.PERFORATED, True),
    ):
        for section in ("score", "hinge"):
            scores = [
                one for one in gauge(section, setting(tool)).strokes if one.layer is Layer.SCORE
            ]
            assert {one.work for one in scores} == {work}
            sources = Counter(one.source for one in scores)
            assert (max(sources.values()) > 1) is several


def test_a_double_score_has_two_lines_beside_its_fold() -> None:
    given = setting("hand")
    assert given.way.score is not None
    shift = replace(given.way.score.shift, value=0.4)
    score = replace(given.way.score, shift=shift)
    doubled = replace(given, way=replace(given.way, score=score))
    single, double = (
        [
            [one for one in found.strokes if one.layer is Layer.SCORE]
            for found in gauges_for(bench)
            if not isinstance(found, LeftOut) and found.sheet is Sheet.FOLDS
        ]
        for bench in (given, doubled)
    )
    for ones, twos in zip(single, double, strict=True):
        heights = [float(one.path.start.y) for one in ones]
        assert sorted(float(two.path.start.y) for two in twos) == pytest.approx(
            sorted(height + by for height in heights for by in (0.4, -0.4))
        )


def test_the_rhythms_are_cut_as_the_form_says() -> None:
    for tool, layer in (("knife", Layer.CUT), ("laser", Layer.SCORE)):
        found = gauge("perforation", setting(tool))
        both = zip(found.drawn["drawn_cut"], found.drawn["drawn_tie"], strict=True)
        for index, (made, tie) in enumerate(both, 1):
            cuts = of_source(found.strokes, f"perforation {index}", layer)
            assert len(cuts) >= 2
            assert {round(one.path.length, 6) for one in cuts} == {made}
            places = sorted(one.path.box()[::2] for one in cuts)
            assert {round(b[0] - a[1], 6) for a, b in pairwise(places)} == {tie}


def test_the_perforations_span_those_of_the_trade() -> None:
    # Guides of forms printers: easy release 3 to 6 ties an inch, stiffer 10 to 18, 12 for
    # statements; ties usually narrower than cuts.
    text = (PUBLISHED / "perforation.toml").read_text("utf-8")
    (fact,) = [one for one in tomllib.loads(text)["fact"] if one["id"] == "T30"]
    value = fact["value"]
    rhythms = perforation_comb.rhythms_of(setting("laser"))
    rates = [25.4 / (made + tie) for made, tie in rhythms]
    assert any(value["easy"][0] <= rate <= value["easy"][1] for rate in rates)
    assert any(value["stiff"][0] <= rate <= value["stiff"][1] for rate in rates)
    assert any(rate == pytest.approx(value["statement"], abs=0.05) for rate in rates)
    assert all(tie < made for made, tie in rhythms)
    # The stiffest comes first.
    assert [tie / made for made, tie in rhythms] == sorted(
        (tie / made for made, tie in rhythms), reverse=True
    )


def test_slots_rise_and_none_is_one_line_worked_twice() -> None:
    for tool in ("knife", "laser"):
        given = setting(tool)
        widths = slots.slot_widths(given)
        assert all(a < b for a, b in pairwise(widths))
        assert widths[0] > given.kerf
        finished = [width + given.kerf for width in widths]
        assert finished[0] <= given.profile.caliper.value <= finished[-1]
        found = gauge("slots", given)
        for index, width in enumerate(widths, 1):
            (slot,) = of_source(found.strokes, f"slot {index}", Layer.CUT)
            left, bottom, right, top = slot.path.box()
            # The tongue, 12 mm wide, has room in its length.
            assert (right - left, top - bottom) == pytest.approx((width, 13.0))


def test_the_hinge_test_has_a_strip_for_two_four_and_six_plies_and_rulers() -> None:
    found = gauge("hinge", setting("hand"))
    for plies in (2, 4, 6):
        source = f"strip for {plies} plies"
        (outline,) = of_source(found.strokes, source, Layer.CUT)
        (score,) = of_source(found.strokes, source, Layer.SCORE)
        _, bottom, _, top = outline.path.box()
        assert float(score.path.start.y) == pytest.approx((bottom + top) / 2.0)
        assert len(of_source(found.strokes, source, Layer.MARK)) == plies
        length = (top - bottom) / 2.0
    for index in range(1, 7):
        (outline,) = of_source(found.strokes, f"ply {index}", Layer.CUT)
        _, bottom, _, top = outline.path.box()
        assert top - bottom == pytest.approx(length)
        marks = of_source(found.strokes, f"ply {index}", Layer.MARK)
        depths = sorted(round(top - float(one.path.start.y), 6) for one in marks)
        # Every half millimetre, but the first one, which would lie by the edge.
        assert depths == [0.5 * step for step in range(2, len(depths) + 2)]
        assert depths[-1] > 6 * 0.35


# Sheets.


def overlapping(drawing: Drawing) -> list[tuple[str, str]]:
    """Pairs of strokes that share a stretch, by a library of geometry."""
    lines = [
        LineString([one.at.floats() for one in (*stroke.path.vertices, stroke.path.vertices[0])])
        if stroke.path.closed
        else LineString([one.at.floats() for one in stroke.path.vertices])
        for stroke in drawing.strokes
    ]
    found = []
    for one, other in STRtree(lines).query(lines, predicate="intersects").T:
        if one < other and lines[one].intersection(lines[other]).length > 1e-6:
            found.append((drawing.strokes[one].source, drawing.strokes[other].source))
    return found


def sections(found: Iterable[Gauge | LeftOut]) -> set[str]:
    return {one.section for one in found}


@pytest.mark.parametrize("material", names(Group.MATERIALS))
@pytest.mark.parametrize("tool", TOOLS)
def test_every_material_and_tool_makes_its_sheets_or_says_why_not(
    material: str, tool: str, piece_of: Any
) -> None:
    profile = load_material(material)
    try:
        given = setting_of(profile, Tool(tool))
    except ProfileError as error:
        (problem, *_) = error.problems
        assert problem.message
        return
    found = laid(given)
    assert sections(found.gauges) | sections(found.left_out) == {
        "size_bar", "kerf", "slots", "hinge", "score", "bridges", "perforation",
    }  # fmt: skip
    assert {"size_bar", "kerf"} <= sections(found.gauges)
    way = given.way
    assert ("score" in sections(found.left_out)) is (way.score is None)
    assert ("bridges" in sections(found.left_out)) is (way.bridge is None)
    assert ("perforation" in sections(found.left_out)) is (way.perforation is None)
    assert all(one.reason for one in found.left_out)
    piece = piece_of("outline = { rectangle = [10, 10] }")
    for drawing in found.drawings:
        assert (drawing.width, drawing.height) == (210.0, 148.0)
        left, bottom, right, top = drawing.box()
        assert min(left, bottom, 210.0 - right, 148.0 - top) >= 6.0 - 1e-9
        assert drawing.cautions == given.cautions
        assert {one.piece for one in drawing.strokes} == {drawing.piece}
        assert overlapping(drawing) == []
        job = Job(piece=piece, profile=profile, tool=Tool(tool), way=way)
        passed = settle(drawing, job)
        assert passed.findings == ()
        assert passed.drawing.strokes == drawing.strokes


def of(figure: Figure | None, value: float) -> Figure:
    assert figure is not None
    return replace(figure, value=value)


@settings(max_examples=60, phases=[Phase.generate])
@given(
    tool=st.sampled_from(["knife", "laser"]),
    caliper=st.floats(0.05, 5.0),
    kerf=st.floats(0.0, 5.0),
    inset=st.floats(0.0, 20.0),
    allowance=st.floats(0.0, 20.0),
    shift=st.floats(0.0, 5.0),
    bridge=st.floats(0.05, 20.0),
    cut=st.floats(0.05, 50.0),
    tie=st.floats(0.05, 50.0),
)
def test_whatever_a_profile_may_say_no_stroke_lies_on_another(
    tool: str, caliper: float, kerf: float, inset: float, allowance: float, shift: float,
    bridge: float, cut: float, tie: float,
) -> None:  # fmt: skip
    base = setting(tool)
    way = base.way
    assert way.score is not None
    assert way.bridge is not None
    assert way.perforation is not None
    score = replace(
        way.score,
        inset=of(way.score.inset, inset),
        allowance=of(way.score.allowance, allowance),
        shift=of(way.score.shift, shift),
    )
    bridges = replace(
        way.bridge, length=of(way.bridge.length, bridge), pitch=of(way.bridge.pitch, 3 * bridge)
    )
    rhythm = replace(
        way.perforation, cut=of(way.perforation.cut, cut), tie=of(way.perforation.tie, tie)
    )
    way = replace(way, kerf=of(way.kerf, kerf), score=score, bridge=bridges, perforation=rhythm)
    profile = replace(base.profile, caliper=of(base.profile.caliper, caliper))
    found = laid(replace(base, profile=profile, way=way))
    for drawing in found.drawings:
        left, bottom, right, top = drawing.box()
        assert min(left, bottom, 210.0 - right, 148.0 - top) >= 6.0 - 1e-9
        assert overlapping(drawing) == []
        assert all(one.path.length > 1e-6 for one in drawing.strokes)
    for one in found.gauges:
        for values in one.drawn.values():
            # Every tooth is another one, and a tooth that a form names is drawn.
            assert all(value >= 0.0 for value in values)
            sources = {stroke.source for stroke in one.strokes}
            if one.section in ("slots", "score", "bridges", "perforation"):
                assert any(source.endswith(f" {len(values)}") for source in sources)


@pytest.mark.parametrize("tool", TOOLS)
def test_parts_keep_apart_so_that_each_hangs_in_paper(tool: str) -> None:
    for drawing in laid(setting(tool)).drawings:
        parts: dict[str, list[LineString]] = {}
        for stroke in drawing.on(Layer.CUT):
            if stroke.role is Role.OUTLINE:
                places = [one.at.floats() for one in stroke.path.vertices]
                if stroke.path.closed:
                    places.append(places[0])
                parts.setdefault(stroke.source, []).append(LineString(places))
        for one, other in combinations(parts.values(), 2):
            assert min(a.distance(b) for a in one for b in other) >= 5.0


def test_marks_come_before_scores_and_outlines_last() -> None:
    for drawing in laid(setting("laser")).drawings:
        layers = [list(Layer).index(one.layer) for one in drawing.strokes]
        assert layers == sorted(layers)
        roles = [one.role is Role.OUTLINE for one in drawing.on(Layer.CUT)]
        assert roles == sorted(roles)


def test_a_sheet_that_is_full_is_followed_by_another() -> None:
    found = laid(setting("hand"), Page(width=210.0, height=80.0))
    assert [one.piece for one in found.drawings] == [
        "size and kerf", "folds", "folds 2", "bridges and perforation",
    ][: len(found.drawings)]  # fmt: skip
    for drawing in found.drawings:
        assert drawing.box()[1] >= 6.0 - 1e-9


def test_a_gauge_that_no_sheet_holds_is_left_out_and_told() -> None:
    found = laid(setting("laser"), Page(width=120.0, height=120.0))
    told = {one.section: one.reason for one in found.left_out}
    assert "hinge" in told
    assert "mm, and the sheet has room for 108 by 108 mm" in told["hinge"]
    for drawing in found.drawings:
        assert drawing.box()[2] <= 114.0 + 1e-9


def test_the_same_gauges_are_the_same_bytes() -> None:
    one, other = (
        [svg.write(drawing, WriteOptions()) for drawing in laid(setting("laser")).drawings]
        for _ in range(2)
    )
    assert one == other


@pytest.mark.parametrize("tool", ["knife", "laser"])
def test_goldens(tool: str, request: pytest.FixtureRequest) -> None:
    """One line a stroke; update them with `pytest tests/gauging --update-goldens`."""
    found = laid(setting(tool))
    for drawing in found.drawings:
        text = plain.write(replace(drawing, cautions=()), WriteOptions()).decode()
        file = GOLDEN / f"{tool}-{drawing.piece.replace(' ', '-')}.txt"
        if request.config.getoption("--update-goldens"):
            file.write_text(text, encoding="utf-8")
        # Half of every tooth's ticks are not lost, whatever the golden says.
        assert len(drawing.on(Layer.MARK)) >= 21
        assert file.read_text(encoding="utf-8") == text


# Machines.


def machine(**given: Any) -> Machine:
    return Machine(**{"name": "bench", "width": 300.0, "height": 200.0, **given})


def test_without_a_machine_the_sheet_is_a5() -> None:
    # ISO 216: A5 is 148 by 210 mm.
    assert (page_for(None).width, page_for(None).height) == (210.0, 148.0)


def edges(page: Page) -> tuple[float, ...]:
    return page.left, page.right, page.bottom, page.top


def test_a_sheet_lies_in_the_corner_of_the_origin_clear_of_the_rim() -> None:
    rim = Rim(left=10.0, right=20.0, bottom=15.0, top=25.0)
    page = page_for(machine(rim=rim))
    # The page is the work area of 300 by 200 mm; A5 in its lower left corner ends at 210
    # and 148 mm, and a margin of 6 mm is kept from that.
    assert (page.width, page.height) == (300.0, 200.0)
    assert edges(page) == (10.0, 96.0, 15.0, 58.0)
    page = page_for(machine(rim=rim, origin=Corner.UPPER_RIGHT))
    assert edges(page) == (96.0, 20.0, 58.0, 25.0)


def test_a_small_machine_has_a_small_sheet_and_the_way_round_that_holds_more() -> None:
    page = page_for(machine(width=160.0, height=300.0))
    assert edges(page) == (6.0, 18.0, 6.0, 96.0)
    page = page_for(machine(width=120.0, height=100.0, rim=Rim(right=10.0)))
    assert edges(page) == (6.0, 10.0, 6.0, 6.0)
    found = laid(setting("knife"), page)
    assert found.drawings
    for drawing in found.drawings:
        left, bottom, right, top = drawing.box()
        assert (left >= 6.0, bottom >= 6.0, right <= 110.0, top <= 94.0) == (True,) * 4


def test_gauges_are_not_mirrored_where_the_front_lies_down() -> None:
    # They are read from the face that was worked, whichever that is of the sheet.
    assert page_for(machine(face=Lies.DOWN)) == page_for(machine())


def test_a_material_without_a_score_leaves_out_what_folds() -> None:
    told = {
        one.section: one.reason
        for one in gauges_for(setting("hand", "greyboard-1"))
        if isinstance(one, LeftOut)
    }
    assert told["score"] == told["hinge"] == "the material has no score for this tool"
