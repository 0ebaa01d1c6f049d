"""What is said of mats and extras, of mass, and of how a card stands."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from foldwright.design import Resolved, parse_design
from foldwright.design.pieces import Limits, Pose
from foldwright.folding.freedom import Freedom
from foldwright.measures import Unit
from foldwright.panels import Assembly
from foldwright.problems import Place, Problem, Severity
from foldwright.problems.rules import standing as rules
from foldwright.proving.materials import grammages_of, materials_of
from foldwright.proving.stand_judging import (
    BARELY_MM,
    copies_problems,
    crease_problems,
    dressing_problems,
    mass_problems,
    must_stand,
    standing_problems,
    stands_limit_problems,
)
from foldwright.stacking.mass import Masses, masses_of
from foldwright.stacking.standing import Standing, standing_of
from tests.stacking.dressed import HEAD, PLATE, card, named
from tests.stacking.placed import folded

PUBLISHED = Path(__file__).parents[1] / "published" / "mass.toml"
EVERY = ""
POSE = Pose(name="standing", holds=(), place=Place(file="card.toml", line=9))

GUTTER = '[[piece.fold]]\nname = "gutter"\nsense = "valley"\npoints = [[{x}, 0], [{x}, 60]]\n'


def weighed(
    text: str, grammages: Mapping[str, float] | None = None
) -> tuple[Assembly, Resolved, Masses]:
    assembly, resolved = card(text)
    known = {EVERY: 200.0} if grammages is None else grammages
    return assembly, resolved, masses_of(assembly, resolved, known)


def dressed(text: str) -> list[Problem]:
    assembly, resolved, masses = weighed(text)
    return list(dressing_problems(assembly, resolved, masses, Unit.MM))


def missing(text: str, grammages: Mapping[str, float]) -> list[Problem]:
    _, resolved, masses = weighed(text, grammages)
    return list(mass_problems(resolved, masses))


def right_angle(
    floor: float, degrees: float = 90.0, on: Sequence[str] = ("panel 1",)
) -> tuple[Assembly, Standing]:
    """A card of 100 mm, of which so much lies on the table; the rest stands up at its right."""
    assembly, _, masses = weighed(PLATE + GUTTER.format(x=floor))
    keys = named(assembly)
    placed = folded(assembly, {"gutter": degrees})
    found = standing_of(assembly, placed, masses, [keys[name] for name in on])
    assert found is not None
    return assembly, found


def judged(
    floor: float, degrees: float = 90.0, *, must: bool = False, view_deg: float = 270.0
) -> list[Problem]:
    assembly, found = right_angle(floor, degrees)
    return list(standing_problems(POSE, found, assembly, Unit.MM, must=must, view_deg=view_deg))


# Mats and extras.


def test_what_lies_well_is_not_told() -> None:
    extra = '[[extra]]\non = "panel 1"\nat = [10, 10]\n'
    assert dressed(PLATE + GUTTER.format(x=40) + '[[mat]]\non = "card"\nmargin = 3\n' + extra) == []


def test_panels_that_are_not_there_are_told() -> None:
    text = (
        PLATE
        + '[[piece.panel]]\nname = "front page"\nat = [5, 5]\n'
        + GUTTER.format(x=40)
        + '[[mat]]\nname = "sea"\non = "card"\npanels = ["panel 7"]\n'
        + '[[extra]]\non = "card/panel 2"\n'
    )
    first, second = dressed(text)
    assert (first.rule, first.severity) == ("glued-on-no-panel", Severity.STOP)
    assert first.message == 'mat "sea" is for the panel "card/panel 7", which is not there'
    assert first.mend == 'the panels are "front page", "panel 1"'
    assert second.message == 'extra 1 is for the panel "card/panel 2", which is not there'
    assert first.place.line is not None


def test_a_mat_of_which_nothing_is_left_is_told() -> None:
    text = PLATE + GUTTER.format(x=10) + '[[mat]]\non = "card"\nmargin = 5\n'
    (every,) = dressed(text)
    assert (every.rule, every.severity) == ("mat-leaves-nothing", Severity.WARN)
    assert every.message == (
        'a margin of 5 mm leaves nothing of mat 1 on panel "panel 1", where only one of less '
        "than 5 mm leaves any"
    )
    assert every.measure_mm == 0
    assert every.mend == (
        "make the margin 2.5 mm or less, which leaves a mat 5 mm wide, or leave that panel out"
    )
    (one,) = dressed(text + 'panels = ["panel 1"]\n')
    assert one.severity is Severity.STOP
    narrow = PLATE + GUTTER.format(x=4) + '[[mat]]\non = "card"\nmargin = 5\npanels = ["panel 1"]\n'
    (none,) = dressed(narrow)
    assert (none.measure_mm, none.mend) == (3, "leave that panel out: it has no room for a mat")
    assert dressed(text + 'panels = ["panel 2"]\n') == []


def test_a_mat_in_parts_is_told() -> None:
    neck = (
        '[[piece]]\nname = "card"\noutline = { polygon = [[0, 0], [40, 0], [40, 18], [60, 18], '
        "[60, 0], [100, 0], [100, 40], [60, 40], [60, 22], [40, 22], [40, 40], [0, 40]] }\n"
    )
    (found,) = dressed(neck + '[[mat]]\non = "card"\nmargin = 3\n')
    assert (found.rule, found.message) == (
        "mat-in-parts",
        'mat 1 comes in 2 parts on panel "panel 1"',
    )


def test_an_extra_off_its_panel_is_told() -> None:
    text = PLATE + GUTTER.format(x=40) + '[[extra]]\nname = "bow"\non = "panel 1"\nat = [{x}, 9]\n'
    assert dressed(text.replace("{x}", "40")) == []
    (found,) = dressed(text.replace("{x}", "41"))
    assert (found.rule, found.severity, found.at) == ("extra-off-its-panel", Severity.WARN, (41, 9))
    assert found.message == 'extra "bow" lies off the panel "panel 1" at (41, 9) mm'


# Mass.


def test_whose_grammage_is_missing_is_told_once() -> None:
    text = (
        PLATE.replace('name = "card"', 'name = "card"\nstock = "card"')
        + GUTTER.format(x=40)
        + '[[mat]]\non = "card"\nstock = "rare"\n[stock.card]\n[stock.rare]\n'
    )
    found = missing(text, {})
    assert [one.rule for one in found] == ["grammage-unknown"] * 2
    assert {one.message.partition(" has ")[0] for one in found} == {
        'the stock "card"',
        'the stock "rare"',
    }
    assert all(one.place.line is not None for one in found)
    assert missing(text, {"card": 200.0, "rare": 100.0}) == []
    (piece,) = missing(PLATE, {})
    assert piece.message.startswith('the piece "card" has no material')
    whole = PLATE.replace('name = "card"', 'name = "card"\nstock = "card"') + "[stock.card]\n"
    (mat,) = missing(whole + '[[mat]]\non = "card"\n', {"card": 200.0})
    assert mat.message.startswith("mat 1 has no material")


@pytest.mark.parametrize(
    ("keys", "rule"),
    [
        ("at = [9, 9]\nheight = 2\n", "extra-mass-unknown"),
        ("height = 2\nmass = 1\n", "extra-without-a-place"),
        ("at = [9, 9]\nmass = 1\n", "extra-without-a-height"),
        ("at = [9, 9]\nheight = 2\nmass = 1\n", None),
        ("mass = 0\n", None),
    ],
)
def test_what_an_extra_leaves_open_is_told(keys: str, rule: str | None) -> None:
    found = missing(PLATE + f'[[extra]]\non = "panel 1"\n{keys}', {EVERY: 200.0})
    assert [one.rule for one in found] == ([] if rule is None else [rule])
    assert all(one.severity is Severity.NOTE and "extra 1 " in one.message for one in found)


def test_grammages_are_those_of_the_materials() -> None:
    text = HEAD + PLATE + '[stock.card]\nmaterial = "card-300"\n[stock.none]\n'
    profiles = materials_of(parse_design(text), (), None)
    assert grammages_of(profiles) == {"card": 300.0}
    assert grammages_of(materials_of(parse_design(text), ("text-120",), None)) == {
        "card": 120.0,
        "none": 120.0,
        EVERY: 120.0,
    }


# Standing.


def test_a_card_that_stands_well_is_not_told() -> None:
    # 60² / 200 = 18 mm to spare.
    assert judged(60) == []
    assert judged(60, must=True) == []


def test_little_to_spare_is_told() -> None:
    """A floor of 31 mm leaves 31² / 200 = 4.805 mm, one of 32 mm 5.12 mm."""
    (found,) = judged(31)
    assert (found.rule, found.severity) == ("stands-barely", Severity.WARN)
    assert found.measure_mm == pytest.approx(31**2 / 200)
    assert "with only 4.805 mm to spare to the right: tilted by" in found.message
    assert judged(32) == []
    published = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))
    assert published["practice"]["margin_mm"] == BARELY_MM
    # It stands all the same.
    assert judged(31, must=True)[0].severity is Severity.WARN


@pytest.mark.parametrize(
    ("view", "way"), [(270, "right"), (180, "back"), (90, "left"), (0, "front"), (250, "right")]
)
def test_which_way_it_tips_is_as_its_viewer_sees_it(view: float, way: str) -> None:
    (found,) = judged(31, view_deg=view)
    assert f"to the {way}:" in found.message


def test_a_card_that_tips_is_told_and_a_stop_where_it_must_stand() -> None:
    (found,) = judged(25, 40.0)
    assert (found.rule, found.severity) == ("tips", Severity.WARN)
    assert found.measure_mm is not None
    assert found.measure_mm < 0
    assert "its centre of mass is " in found.message
    assert found.message.endswith(" mm outside what it stands on, to the right")
    (stop,) = judged(25, 40.0, must=True)
    assert stop.severity is Severity.STOP
    assert (stop.place, stop.message) == (POSE.place, found.message)


def test_what_hangs_below_the_table_is_told() -> None:
    assembly, found = right_angle(60, -90.0)
    (warned,) = standing_problems(POSE, found, assembly, Unit.MM, must=False)
    assert (warned.rule, warned.severity) == ("below-the-table", Severity.WARN)
    assert warned.message == (
        'in the pose "standing" panel "card/panel 2" reaches 40 mm below the table'
    )
    (stop,) = standing_problems(POSE, found, assembly, Unit.MM, must=True)
    assert stop.severity is Severity.STOP


def test_what_is_not_known_is_not_told_as_tipping() -> None:
    assembly, _ = right_angle(60)
    assert list(standing_problems(POSE, None, assembly, Unit.MM, must=True)) == []


def test_copies_that_are_nowhere_are_told() -> None:
    text = PLATE.replace('name = "card"', 'name = "card"\ncopies = 2')
    assembly, resolved, masses = weighed(text)
    found = standing_of(assembly, folded(assembly, {}), masses)
    (note,) = copies_problems(resolved, [None, found])
    assert note.message.startswith('2 of piece "card" are made')
    assert list(copies_problems(resolved, [None])) == []


# Creases.


def test_a_pose_that_only_its_creases_keep_is_told() -> None:
    assembly, found = right_angle(60)
    key = "card", 0
    free = Freedom(count=1, moving=(key,), holding=(key,))
    (note,) = crease_problems(POSE, found, free, assembly)
    assert note.severity is Severity.NOTE
    assert note.message == (
        'the pose "standing" stands, held by the crease alone: nothing else keeps fold "gutter" '
        "at its angle"
    )
    assert note.mend.endswith("across it")
    for released in (None, Freedom(count=0), Freedom(count=None)):
        assert list(crease_problems(POSE, found, released, assembly)) == []
    assert list(crease_problems(POSE, None, free, assembly)) == []
    _, tips = right_angle(25, 40.0)
    assert list(crease_problems(POSE, tips, free, assembly)) == []


# The limit.


def test_the_limit_asks_for_the_poses_that_lie_on_something() -> None:
    must = Limits(stands=True)
    lying = Pose(name="lying", holds=(), on=(("card", "panel 1"),))
    assert must_stand(must, (POSE, lying)) == (lying,)
    assert must_stand(must, (POSE,)) == (POSE,)
    assert must_stand(Limits(stands=False), (POSE,)) == ()
    assert must_stand(None, (POSE,)) == ()


def test_a_limit_that_cannot_be_judged_is_said() -> None:
    must = Limits(stands=True)
    _, found = right_angle(60)
    assert list(stands_limit_problems(must, (POSE,), {"standing": found})) == []
    assert list(stands_limit_problems(None, (), {})) == []
    assert list(stands_limit_problems(Limits(stands=False), (), {})) == []
    (none,) = stands_limit_problems(must, (), {})
    assert (none.rule, none.severity) == ("standing-unknown", Severity.NOTE)
    assert "names no pose" in none.message
    (unknown,) = stands_limit_problems(must, (POSE,), {"standing": None})
    assert 'in the pose "standing" the centre of mass' in unknown.message


def test_every_rule_of_standing_is_told_here() -> None:
    text = Path(__file__).read_text(encoding="utf-8")
    # These have one function each, which tells nothing else.
    alone = {
        "one-copy-balanced": "copies_problems(resolved",
        "held-by-the-crease-alone": "crease_problems(POSE",
    }
    for rule in rules.RULES:
        assert f'"{rule.code}"' in text.replace(f'"{rule.code}": ', "") or alone[rule.code] in text
