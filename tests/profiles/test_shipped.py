"""This module holds the shipped materials against published values, and their cautions."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from foldwright.drawing import Side, Work
from foldwright.plugins import Group, names
from foldwright.problems import ProfileError
from foldwright.profiles import (
    LAST_CAUTION,
    Figure,
    Profile,
    Tool,
    cautions_for,
    load_material,
    needs_of,
    way_for,
)
from foldwright.profiles.make_up import doubt_in
from foldwright.profiles.model import SlitEnd

# The usual card bases, and all others.
SHIPPED = ("card-200", "card-300", "text-120")
CARD = (*SHIPPED, "text-160", "card-176", "card-216", "card-270")
OTHERS = (
    "kraft-300", "translucent-110", "watercolour-300", "mirror-card", "board-08", "greyboard-1",
    "corrugated-e", "polypropylene-05", "plywood-3", "felt-2",
)  # fmt: skip
ALL = (*CARD, *OTHERS)
ROOT = Path(__file__).parents[2]
PUBLISHED = ROOT / "tests" / "published"
MM_PER_IN = 25.4


@cache
def published(name: str) -> dict[str, Any]:
    return tomllib.loads((PUBLISHED / f"{name}.toml").read_text(encoding="utf-8"))


def figures(value: object, path: str = "") -> dict[str, Figure]:
    """Every figure inside a profile by its path."""
    if isinstance(value, Figure):
        return {path: value}
    found: dict[str, Figure] = {}
    if is_dataclass(value):
        for item in fields(value):
            found.update(figures(getattr(value, item.name), f"{path}.{item.name}"))
    elif isinstance(value, Mapping):
        for key, item in value.items():
            found.update(figures(item, f"{path}.{key}"))
    return found


@pytest.fixture(params=CARD)
def profile(request: pytest.FixtureRequest) -> Profile:
    """Paper and card that every tool may work."""
    return load_material(request.param)


@pytest.fixture(params=ALL)
def shipped(request: pytest.FixtureRequest) -> Profile:
    return load_material(request.param)


def test_all_are_registered_and_called_what_they_call_themselves() -> None:
    assert len(ALL) >= 16
    assert set(ALL) <= set(names(Group.MATERIALS))
    assert [load_material(name).name for name in ALL] == list(ALL)


def test_each_is_named_for_its_grammage(profile: Profile) -> None:
    assert round(profile.grammage.value) == int(profile.name.rpartition("-")[2])


def test_every_figure_rests_on_something_and_knows_its_line(shipped: Profile) -> None:
    found = figures(shipped)
    assert len(found) >= 3
    for path, figure in found.items():
        assert len(figure.basis) > 10 or "common practice" in figure.basis, path
        assert figure.confidence in ("measured", "estimate")
        assert figure.place.file == f"{shipped.name}.toml"
        assert figure.place.line is not None
        # What a slit's end measures has the end's own name.
        assert figure.place.key is not None
        key = figure.place.key.rpartition(".")[2]
        assert path.endswith(key) or (path.endswith(".slit.size") and key in ("short", "hole"))


@pytest.mark.parametrize("name", SHIPPED)
def test_the_usual_cards_have_figures_for_all(name: str) -> None:
    assert len(figures(load_material(name))) == 30  # 3 of the paper; hand 7, knife and laser 10


def test_what_is_not_measured_does_not_say_so(shipped: Profile) -> None:
    # Nothing that ships has been measured on a sheet of the user's.
    assert {figure.confidence.value for figure in figures(shipped).values()} == {"estimate"}


def test_all_three_tools_can_be_used(profile: Profile) -> None:
    for tool in Tool:
        way = way_for(profile, tool)
        assert way.kerf is not None and way.tolerance is not None and way.score is not None


# What must not be worked with what, and what does not fold: workshops' lists and
# common practice, no source.
NOT_FOR = {
    ("greyboard-1", Tool.KNIFE): "more passes",
    ("plywood-3", Tool.HAND): "sawn",
    ("plywood-3", Tool.KNIFE): "breaks",
    ("felt-2", Tool.KNIFE): "snags",
    ("felt-2", Tool.LASER): "ask the workshop",
    ("polypropylene-05", Tool.LASER): "ask the workshop",
    ("mirror-card", Tool.LASER): "ask the workshop",
}
FLAT = ("greyboard-1", "plywood-3", "felt-2")


def test_every_tool_is_spoken_of_and_a_refusal_says_why(shipped: Profile) -> None:
    assert set(shipped.tools) == set(Tool)
    for tool in Tool:
        why = NOT_FOR.get((shipped.name, tool))
        if why is None:
            assert way_for(shipped, tool).tool is tool
            continue
        with pytest.raises(ProfileError, match=why) as caught:
            way_for(shipped, tool)
        assert [one.rule for one in caught.value.problems] == ["refused-tool"]


def test_only_what_folds_has_a_way_to_score(shipped: Profile) -> None:
    for tool, way in shipped.tools.items():
        if way.refused is None:
            assert (way.score is None) is (shipped.name in FLAT), tool


def test_a_half_cut_lies_on_the_outside_of_its_fold(shipped: Profile) -> None:
    # Common practice, no source: a valley's outside is the back.
    for way in shipped.tools.values():
        if way.score is None:
            continue
        if way.score.work is Work.HALF_CUT:
            assert way.score.valleys_from is Side.BACK
        if way.score.work is Work.PERFORATED:
            # What goes through has no face.
            assert way.score.valleys_from is Side.FRONT
        if way.score.valleys_from is Side.BACK:
            assert way.score.registration is not None
            # Laid by eye, 0.3 to 0.5 mm: common practice, no source.
            assert 0.3 <= way.score.registration.value <= 0.5
            assert shipped.grammage.value >= 250


def test_lines_of_a_double_score_lie_a_thickness_apart() -> None:
    board = load_material("corrugated-e")
    for tool in (Tool.HAND, Tool.KNIFE):
        score = way_for(board, tool).score
        assert score is not None and 2 * score.shift.value == board.caliper.value


def test_what_tears_ends_its_slits_in_holes_or_short_of_them() -> None:
    ends = {
        (name, tool): way.slit.end
        for name in ("translucent-110", "polypropylene-05")
        for tool, way in load_material(name).tools.items()
        if way.refused is None
    }
    assert set(ends.values()) == {SlitEnd.HOLE, SlitEnd.SHORT}


def test_no_material_recommends_settings_of_a_machine() -> None:
    # Power, speed and the number of passes are for the machine's manual.
    for name in ALL:
        text = (ROOT / "profiles" / "materials" / f"{name}.toml").read_text(encoding="utf-8")
        assert [
            word
            for word in ("power", "speed", " watt", " %", "percent power")
            if word in text.lower()
        ] == []


def test_what_may_be_burned_speaks_of_no_layer(shipped: Profile) -> None:
    way = shipped.tools[Tool.LASER]
    if way.refused is None:
        assert (shipped.doubtful, shipped.harmful, doubt_in(shipped.about)) == (None, None, None)


def test_bulk_is_thickness_over_grammage() -> None:
    # ISO 534, the worked example of a paper test laboratory.
    bulk = published("paper_caliper")["bulk"]
    assert bulk["micrometres"] / bulk["grammage"] == bulk["bulk_cm3_per_g"]
    assert 1 / bulk["bulk_cm3_per_g"] == pytest.approx(bulk["density_g_per_cm3"], abs=1e-4)


def test_the_bulk_is_that_of_paper(profile: Profile) -> None:
    # Common practice, no source: 0.8 for coated to 1.4 for bulky stock.
    least, most = published("paper_caliper")["practice"]["bulk_cm3_per_g"]
    assert least <= profile.caliper.value * 1000 / profile.grammage.value <= most


@pytest.mark.parametrize("name", ["card-176", "card-200", "card-216", "card-270", "card-300"])
def test_the_caliper_of_card_is_that_of_the_suppliers_chart(name: str) -> None:
    # Paper supplier's weight comparison chart; between its rows by a straight line.
    chart = published("paper_caliper")["chart"]
    rows = [
        (pounds * chart["gsm_per_lb"], caliper * MM_PER_IN)
        for pounds, caliper in zip(chart["cover_lb"], chart["caliper_in"], strict=True)
    ]
    profile = load_material(name)
    grammage = profile.grammage.value
    below = max(row for row in rows if row[0] <= grammage + 0.5)
    above = min(row for row in rows if row[0] > grammage + 0.5)
    share = (grammage - below[0]) / (above[0] - below[0])
    expected = below[1] + share * (above[1] - below[1])
    assert profile.caliper.value == pytest.approx(expected, rel=chart["variation_percent"] / 100)


def test_a_laser_takes_the_kerf_that_services_publish(profile: Profile) -> None:
    cuts = published("thickness_cuts")
    least, most = cuts["kerf"]["range_mm"]
    kerf = way_for(profile, Tool.LASER).kerf
    assert kerf is not None
    assert least <= kerf.value <= most
    # Card: no more than round cuts take, and no less than straight ones.
    assert kerf.value <= cuts["kerf_card"]["round_in"] * MM_PER_IN
    assert kerf.value == pytest.approx(cuts["kerf_card"]["straight_in"] * MM_PER_IN, abs=0.05)


def test_thicker_card_has_no_narrower_kerf() -> None:
    by_weight = sorted(map(load_material, CARD), key=lambda card: card.grammage.value)
    kerfs = [kerf.value for card in by_weight if (kerf := way_for(card, Tool.LASER).kerf)]
    assert len(kerfs) == len(CARD)
    assert kerfs == sorted(kerfs)


def test_thick_stock_is_burned_as_wide_as_services_publish() -> None:
    cuts = published("thickness_cuts")
    widths = cuts["kerf_thick"]
    least, most = cuts["kerf"]["range_mm"]
    for name in OTHERS:
        way = load_material(name).tools[Tool.LASER]
        if way.kerf is not None:
            assert least <= way.kerf.value <= most, name
    plywood, board = (way_for(load_material(one), Tool.LASER) for one in ("plywood-3", "board-08"))
    assert plywood.kerf is not None and plywood.kerf.value == widths["plywood_3_mm"]
    assert board.kerf is not None
    assert board.kerf.value == pytest.approx(cuts["kerf"]["board_in"]["1/32"] * MM_PER_IN, abs=0.03)


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        # Common practice, no source, but corrugated board: pages on flutes (1.5 to 1.6 mm).
        ("text-120", 0.10, 0.22), ("text-160", 0.10, 0.22), ("kraft-300", 0.38, 0.50),
        ("translucent-110", 0.09, 0.11), ("board-08", 0.75, 0.85), ("greyboard-1", 0.95, 1.1),
        ("corrugated-e", 1.5, 1.6), ("plywood-3", 2.7, 3.2), ("felt-2", 1.0, 3.0),
        # Common practice, no source: smooth to rough.
        ("watercolour-300", 0.38, 0.6), ("mirror-card", 0.28, 0.33),
        ("polypropylene-05", 0.5, 0.5),
    ],
)  # fmt: skip
def test_other_calipers_are_those_that_are_sold(name: str, least: float, most: float) -> None:
    assert least <= load_material(name).caliper.value <= most


@pytest.mark.parametrize(
    ("name", "least", "most"),
    # Densities in g/cm³ from textbooks, from memory: the plastic, birch plywood.
    [("polypropylene-05", 0.895, 0.92), ("plywood-3", 0.6, 0.75)],
)
def test_what_is_no_paper_has_the_density_of_its_stuff(
    name: str, least: float, most: float
) -> None:
    profile = load_material(name)
    assert least <= profile.grammage.value / profile.caliper.value / 1000 <= most


@pytest.mark.parametrize("tool", [Tool.HAND, Tool.KNIFE])
def test_a_blade_removes_nothing(shipped: Profile, tool: Tool) -> None:
    # A service bureau's page on kerf; common practice, no source.
    way = shipped.tools[tool]
    assert way.refused is not None or (way.kerf is not None and way.kerf.value == 0)


def test_a_hand_needs_no_bridges_and_scores_the_full_width(profile: Profile) -> None:
    way = way_for(profile, Tool.HAND)
    assert way.bridge is None
    assert way.score is not None and way.score.inset.value == 0


@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.LASER])
def test_machines_have_bridges_that_hold_card(profile: Profile, tool: Tool) -> None:
    least, most = published("thickness_cuts")["bridges"]["width_mm"]
    bridge = way_for(profile, tool).bridge
    assert bridge is not None
    assert least <= bridge.length.value <= most
    assert bridge.clear.value > bridge.length.value


def test_hand_and_knife_crease_and_a_laser_perforates(profile: Profile) -> None:
    works = {tool: way.score.work for tool, way in profile.tools.items() if way.score is not None}
    assert works == {
        Tool.HAND: Work.CREASED,
        Tool.KNIFE: Work.CREASED,
        Tool.LASER: Work.PERFORATED,
    }


def test_perforations_fold_at_the_laser_and_tear_elsewhere(profile: Profile) -> None:
    ratios = published("thickness_cuts")["perforation"]
    for tool, way in profile.tools.items():
        assert way.perforation is not None
        ratio = way.perforation.cut.value / way.perforation.tie.value
        if tool is Tool.LASER:
            assert ratios["fold_ratio"][0] <= ratio <= ratios["fold_ratio"][1]
        else:
            assert ratio >= ratios["tear_ratio"]


def test_a_hand_cuts_as_well_as_hands_do(profile: Profile) -> None:
    tolerance = way_for(profile, Tool.HAND).tolerance
    assert tolerance is not None
    normal = published("thickness_cuts")["hand"]["normal_in"] * MM_PER_IN
    assert tolerance.value == pytest.approx(normal, abs=0.05)


def test_a_wrapped_ply_takes_a_caliper(profile: Profile) -> None:
    wrap = published("thickness_cuts")["wrap"]
    # Derived: two sharp folds take the pack's thickness, a round one half a turn.
    assert wrap["least_mm"] == wrap["pack_mm"]
    half_turn = 3.14159265 / 2 * (wrap["pack_mm"] + wrap["caliper_mm"])
    assert wrap["most_mm"] == pytest.approx(half_turn, abs=1e-4)
    for way in profile.tools.values():
        assert way.score is not None
        assert way.score.allowance.value == profile.caliper.value


def test_it_forgives_no_more_than_a_hand_cuts_to(profile: Profile) -> None:
    hand = way_for(profile, Tool.HAND).tolerance
    assert hand is not None
    assert 0 < profile.gives_mm.value < hand.value


def test_its_own_cautions_are_sentences_that_are_not_the_usual_ones(shipped: Profile) -> None:
    for tool in Tool:
        own = (*shipped.cautions, *shipped.tools[tool].cautions)
        for caution in own:
            assert caution[0].isupper() and caution[-1] == "." and len(caution.split()) > 4
        told = cautions_for(shipped, tool, needs_of(tool))
        assert len(set(told)) == len(told)
        assert told[: len(own)] == own
        assert told[-1] == LAST_CAUTION
