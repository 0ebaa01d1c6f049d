"""This module holds the shipped materials against published values, and their cautions."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from foldwright.drawing import Work
from foldwright.plugins import Group, names
from foldwright.profiles import LAST_CAUTION, Figure, Profile, Tool, load_material, way_for
from foldwright.profiles.model import USUAL_CAUTIONS

SHIPPED = ("card-200", "card-300", "text-120")
PUBLISHED = Path(__file__).parents[1] / "published"
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


@pytest.fixture(params=SHIPPED)
def profile(request: pytest.FixtureRequest) -> Profile:
    return load_material(request.param)


def test_the_three_are_registered_and_called_what_they_call_themselves() -> None:
    assert set(SHIPPED) <= set(names(Group.MATERIALS))
    assert [load_material(name).name for name in SHIPPED] == list(SHIPPED)


def test_each_is_named_for_its_grammage(profile: Profile) -> None:
    assert profile.grammage.value == float(profile.name.rpartition("-")[2])


def test_every_figure_rests_on_something_and_knows_its_line(profile: Profile) -> None:
    found = figures(profile)
    assert len(found) == 30  # 3 of the paper; hand 7, knife and laser 10 each
    for path, figure in found.items():
        assert len(figure.basis) > 10, path
        assert figure.confidence in ("measured", "estimate")
        assert figure.place.file == f"{profile.name}.toml"
        assert figure.place.line is not None
        assert figure.place.key is not None and path.endswith(figure.place.key.rpartition(".")[2])


def test_what_is_not_measured_does_not_say_so(profile: Profile) -> None:
    # Nothing that ships has been measured on a sheet of the user's.
    assert {figure.confidence.value for figure in figures(profile).values()} == {"estimate"}


def test_all_three_tools_can_be_used(profile: Profile) -> None:
    for tool in Tool:
        way = way_for(profile, tool)
        assert way.kerf is not None and way.tolerance is not None and way.score is not None


def test_bulk_is_thickness_over_grammage() -> None:
    # ISO 534, the worked example of a paper test laboratory.
    bulk = published("paper_caliper")["bulk"]
    assert bulk["micrometres"] / bulk["grammage"] == bulk["bulk_cm3_per_g"]
    assert 1 / bulk["bulk_cm3_per_g"] == pytest.approx(bulk["density_g_per_cm3"], abs=1e-4)


def test_the_bulk_is_that_of_paper(profile: Profile) -> None:
    # Common practice, no source: 0.8 for coated to 1.4 for bulky stock.
    least, most = published("paper_caliper")["practice"]["bulk_cm3_per_g"]
    assert least <= profile.caliper.value * 1000 / profile.grammage.value <= most


@pytest.mark.parametrize("name", ["card-200", "card-300"])
def test_the_caliper_of_card_is_that_of_the_suppliers_chart(name: str) -> None:
    # Paper supplier's weight comparison chart; between its rows by a straight line.
    chart = published("paper_caliper")["chart"]
    rows = [
        (pounds * chart["gsm_per_lb"], caliper * MM_PER_IN)
        for pounds, caliper in zip(chart["cover_lb"], chart["caliper_in"], strict=True)
    ]
    profile = load_material(name)
    grammage = profile.grammage.value
    below = max(row for row in rows if row[0] <= grammage)
    above = min(row for row in rows if row[0] > grammage)
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
    kerfs = [way_for(load_material(f"{name}"), Tool.LASER).kerf for name in sorted(SHIPPED)]
    card_200, card_300, text_120 = (kerf.value for kerf in kerfs if kerf is not None)
    assert text_120 <= card_200 <= card_300


@pytest.mark.parametrize("tool", [Tool.HAND, Tool.KNIFE])
def test_a_blade_removes_nothing(profile: Profile, tool: Tool) -> None:
    # A service bureau's page on kerf; common practice, no source.
    kerf = way_for(profile, tool).kerf
    assert kerf is not None and kerf.value == 0


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


# Cautions.  What each must speak of: pages on laser safety of universities and
# of the workplace authorities; school and craft safety sheets for blades.
SPEAKS_OF = {
    Tool.LASER: (
        "never leave", "extraction", "extinguisher", "lid shut", "interlock", "scraps",
        "catches fire", "make-up you know", "pvc or vinyl",
    ),
    Tool.KNIFE: ("sharp", "fingers", "cap a blade", "an adult"),
    Tool.HAND: ("sharp", "steel ruler", "fingers behind the blade", "dull", "an adult"),
}  # fmt: skip


@pytest.mark.parametrize("tool", Tool)
def test_the_cautions_speak_of_every_hazard_and_end_with_the_last(
    profile: Profile, tool: Tool
) -> None:
    cautions = profile.cautions_for(tool)
    text = " ".join(cautions).lower()
    assert [words for words in SPEAKS_OF[tool] if words not in text] == []
    assert cautions[-1] == LAST_CAUTION
    assert len(set(cautions)) == len(cautions)
    for caution in cautions:
        assert caution[0].isupper() and caution[-1] == "." and len(caution.split()) > 4


@pytest.mark.parametrize("tool", Tool)
def test_the_usual_cautions_stand_in_the_file_itself(profile: Profile, tool: Tool) -> None:
    assert set(USUAL_CAUTIONS[tool]) <= set(profile.tools[tool].cautions)
