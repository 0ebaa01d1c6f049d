"""What is said of poses: every rule of that stage, with its severity and its figures."""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from foldwright.design import parse_design
from foldwright.folding import nearest, systems
from foldwright.problems import DesignError, Problem, Severity
from foldwright.problems.rules import poses as rules_of_poses
from foldwright.proving import Proof, prove_design
from foldwright.proving.model import PoseProof

DESIGNS = Path(__file__).parents[1] / "designs"
NOTE, WARN, STOP = Severity.NOTE, Severity.WARN, Severity.STOP

# Two flaps of 30 mm over a middle of 10 mm, both folded towards the viewer.
STRIP = """
format = 1
name = "strip"
units = "mm"
[[piece]]
name = "strip"
outline = { rectangle = [70, 20] }
  [[piece.fold]]
  name = "left"
  sense = "valley"
  points = [[30, 0], [30, 20]]
  [[piece.fold]]
  name = "right"
  sense = "valley"
  points = [[40, 0], [40, 20]]
"""


def shipped(name: str, *changes: tuple[str, str]) -> str:
    """The text of a design that ships with the tests, some of it changed."""
    text = (DESIGNS / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def pose(holds: Mapping[str, float], more: str = "", name: str = "asked") -> str:
    """A pose that holds folds."""
    held = ", ".join(f'"{fold}" = {degrees}' for fold, degrees in holds.items())
    return f'\n[[pose]]\nname = "{name}"\nhold = {{ {held} }}\n{more}'


def proof_of(text: str, materials: Sequence[str] = ()) -> Proof:
    return prove_design(parse_design(text, "card.toml"), materials=materials)


def called(proof: Proof, name: str = "asked") -> PoseProof:
    (found,) = [one for one in proof.poses if one.name == name]
    return found


def only(proof: Proof, rule: str) -> Problem:
    (found,) = [one for one in proof.findings if one.rule == rule]
    return found


def found_in(text: str) -> list[Problem]:
    """The problems of a design, whether it can be worked out or not."""
    try:
        return list(proof_of(text).findings)
    except DesignError as error:
        return list(error.problems)


# A bench whose strip of 40 and 20 mm closes shut, but is too short to be opened flat.
SHORT = shipped(
    "parallel-box",
    ('walk  = ["b", "a"]', "walk  = [40, 20]"),
    ('rectangle = ["2*foot + a + b", "wide"]', 'rectangle = ["2*foot + 60", "wide"]'),
    ("1.5*foot + a + b", "1.5*foot + 60"),
    ('[["foot + a + b", 0], ["foot + a + b", "wide"]]', '[[70, 0], [70, "wide"]]'),
)
# Held upright, the easel's foot does not come near its stop.
UPRIGHT = shipped("easel", ('"standing"\non', '"standing"\nhold = { hinge = 90, middle = 0 }\non'))
# Both lines of the touch on the outer half.
ON_ITSELF = shipped(
    "easel",
    ('panel = "base/floor", line = [[0, "panel - stop"]', 'panel = "outer half", line = [[0, 160]'),
    ('["width", "panel - stop"]] }', '["width", 160]] }'),
)
# A bench, as high as it is deep, whose folds are drawn as they are seen from its back.
INSIDE_OUT = shipped("parallel-box", ('first = "valley"', 'first = "mountain"'), ("50,", "30,"))
TWIST_SHUT = shipped("square-twist") + pose({f"side {i}": 180 for i in (1, 2, 3, 4)})
OTHER = STRIP.partition('"mm"')[2].replace('"strip"', '"other"')
# The lower panel of 98 mm, which is the short one, lies inside; the design names its fold last.
LETTER = """
format = 1
name = "letter"
units = "mm"
[[piece]]
name = "letter"
outline = { rectangle = [210, 297] }
  [[piece.fold]]
  name = "upper fold"
  sense = "valley"
  points = [[0, 197.5], [210, 197.5]]
  [[piece.fold]]
  name = "lower fold"
  sense = "valley"
  points = [[0, 98], [210, 98]]
"""
# Two patches, each glued in its middle, under the other one.
PATCHES = """
format = 1
name = "patches"
units = "mm"
""" + "".join(
    f'[[piece]]\nname = "{name}"\noutline = {{ rectangle = [{size}, {size}] }}\n'
    for name, size in (("page", 100), ("a", 40), ("b", 40))
) + "".join(
    f'[[joint]]\nname = "{name}"\n'
    f'glue = {{ panel = "{name}/panel 1", face = "back", line = [[15, 20], [25, 20]] }}\n'
    f'to = {{ panel = "page/panel 1", face = "front", line = [[{x}, {x}], [{x + 10}, {x}]] }}\n'
    for name, x in (("a", 40), ("b", 45))
)  # fmt: skip


def touch(panel: str, to: str, line: str = "[[0, 0], [0, 9]]", other: str | None = None) -> str:
    return (
        f'[[pose.touch]]\npanel = "{panel}"\nline = {line}\n'
        f'to = {{ panel = "{to}", line = {other or line} }}\n'
    )


# A design for every rule, and how severe it is there.  Two rules have to do with what is
# installed and how long is searched; they are provoked in tests of their own.
CASES = [
    ("built-in-pose", STOP, STRIP + pose({"left": 90}, name="open")),
    ("pose-holds-nothing", NOTE, STRIP + '[[pose]]\nname = "bare"\n'),
    ("holds-contradict", STOP, STRIP + pose({"left": 90, "left#1": 3})),
    (
        "held-never-turns",
        STOP,
        STRIP.replace('"left"', '"left"\n  still = true') + pose({"left": 90}),
    ),
    ("no-such-hinge", STOP, STRIP + pose({"left#3": 90})),
    ("pose-names-no-panel", STOP, STRIP + pose({"left": 90}, 'on = ["strip/panel 7"]\n')),
    (
        "touch-off-panel",
        STOP,
        STRIP + pose({"left": 90}, touch("panel 1", "panel 3", "[[0, 0], [0, 30]]")),
    ),
    ("touch-on-itself", STOP, ON_ITSELF),
    (
        "touch-lines-differ",
        WARN,
        STRIP + pose({"left": 90}, touch("panel 1", "panel 3", other="[[70, 0], [70, 8]]")),
    ),
    (
        "touch-across-nothing",
        WARN,
        STRIP + OTHER + pose({"strip/left": 90}, touch("strip/panel 1", "other/panel 1")),
    ),
    ("touch-not-met", STOP, UPRIGHT),
    ("glued-in-a-ring", WARN, PATCHES),
    ("pose-strained", STOP, shipped("square-twist")),
    ("does-not-open", WARN, SHORT),
    ("bends-on-the-way", NOTE, shipped("square-twist")),
    ("floppy", NOTE, shipped("harbour-steps")),
    ("freedom-undecided", NOTE, TWIST_SHUT),
    ("clash", STOP, STRIP + pose({"left": 120, "right": 120})),
    ("beyond-shut", WARN, INSIDE_OUT),
    ("clash-on-the-way", NOTE, STRIP + pose({"left": 180, "right": 180})),
    ("fold-in-this-order", NOTE, LETTER),
    (
        "turned-against-sense",
        NOTE,
        shipped("harbour-steps") + pose({"steps 2": 0, "gutter": 90}),
    ),
    ("off-the-table", WARN, STRIP + pose({"left": 90}, 'on = ["panel 1", "panel 2"]\n')),
]  # fmt: skip
PROVOKED = {"pose-not-found", "pose-too-large"}


@pytest.mark.parametrize(("rule", "severity", "text"), CASES, ids=[case[0] for case in CASES])
def test_every_rule_is_raised_where_it_should_be(rule: str, severity: Severity, text: str) -> None:
    found = [one for one in found_in(text) if one.rule == rule]
    assert severity in {one.severity for one in found}
    # Each says where in the file it is, and has all its fields filled in.
    assert all(one.place.line for one in found)
    assert not any(re.search(r"\{[a-z_]+\}", one.message + one.mend) for one in found)


def test_no_rule_is_left_out() -> None:
    assert {case[0] for case in CASES} | PROVOKED == {rule.code for rule in rules_of_poses.RULES}


# What strains, and how severe that is


@pytest.mark.parametrize(
    ("off", "material", "severity"),
    [
        (0.2, "card-200", NOTE),
        (0.6, "card-200", WARN),
        (1.0, "card-200", STOP),
        (0.2, "card-300", NOTE),
        (0.3, "card-300", WARN),
        (0.6, "card-300", STOP),
        (0.6, "text-120", WARN),
    ],
)
def test_a_strained_pose_is_as_severe_as_its_gap(
    off: float, material: str, severity: Severity
) -> None:
    """All four folds of a bench of 30 by 50 mm held, the last one off by an angle.

    What is left over is a rotation by that angle about the last fold, so that the
    opposite corner misses its place by twice the diagonal times the sine of half of it.
    The materials give 0.4, 0.3 and 0.5 mm: a note up to that, a warning up to twice that.
    """
    held = {"gutter": 90, "bench 1": 90, "bench 2": 90, "bench 3": 90 - off}
    text = shipped("parallel-box") + pose(held)
    proof = proof_of(text, [material])
    told = only(proof, "pose-strained")
    gap = 2.0 * math.hypot(30.0, 50.0) * math.sin(math.radians(off) / 2.0)
    assert told.measure_mm == pytest.approx(gap, abs=1e-9)
    assert (told.severity, proof.proven) == (severity, severity is not STOP)
    assert f"turned by {off:g} degrees" in told.message
    assert told.place.line is not None
    assert text.splitlines()[told.place.line - 1] == "[[pose]]"
    strained = called(proof)
    assert strained.folded.gap_mm == told.measure_mm
    assert not strained.folded.reached
    # The angles are those that were asked for, not others that would close.
    assert list(strained.folded.turned.values()) == [90.0, 90.0, 90.0, 90.0 - off]


def test_without_a_material_no_gap_is_forgiven() -> None:
    held = {"gutter": 90, "bench 1": 90, "bench 2": 90, "bench 3": 89.9}
    text = shipped("parallel-box", ('material = "card-200"', "")) + pose(held)
    assert only(proof_of(text), "pose-strained").severity is STOP


def test_slack_of_a_joint_is_forgiven_in_a_pose_too() -> None:
    held = {"gutter": 90, "bench 1": 90, "bench 2": 90, "bench 3": 89}
    slack = ('name = "right"\nglue', 'name = "right"\nslack = 1.1\nglue')
    proof = proof_of(shipped("parallel-box", slack) + pose(held))
    assert called(proof).folded.reached
    assert [one.rule for one in proof.findings if one.rule == "pose-strained"] == []


def test_a_sail_cannot_be_opened_farther_than_it_lies_open() -> None:
    """Its ridge is turned by 70.5 degrees when the pages lie flat, and never by less."""
    proof = proof_of(shipped("v-fold-popup") + pose({"ridge": 30}))
    told = only(proof, "pose-strained")
    assert told.severity is STOP
    assert 'hold fewer folds, or hold fold "sail/ridge" at another angle' in told.mend


def test_a_strip_that_is_too_short_keeps_its_card_from_opening() -> None:
    """Parts of 40 and 20 mm span 80 mm between their glue lines: 20 mm are missing."""
    proof = proof_of(SHORT)
    told = only(proof, "does-not-open")
    assert told.measure_mm == pytest.approx(20.0, abs=1e-6)
    # Its ends are glued to another piece, so it is no tube.
    assert told.severity is WARN
    assert "open it less far" in told.mend
    # It closes, and half open it stands; that it does not open is said, and no more.
    assert (proof.proven, called(proof, "open").folded.reached) == (True, False)
    assert called(proof, "standing").folded.reached


@pytest.mark.parametrize(
    ("added", "told"),
    [("", []), (OTHER.replace("strip", "other"), [NOTE])],
    ids=["the tube alone", "beside another piece"],
)
def test_a_tube_of_one_piece_is_meant_never_to_open(added: str, told: list[Severity]) -> None:
    """Alone nothing is said of it; where the design has other pieces, a note says which stays."""
    proof = proof_of(shipped("glued-box").partition("[[pose]]")[0] + added)
    found = [one for one in proof.findings if one.rule == "does-not-open"]
    assert [one.severity for one in found] == told
    assert all("a tube or a pocket" in one.mend for one in found)
    assert proof.proven


def test_lines_that_do_not_touch_are_no_pose() -> None:
    """The floor lies 105 mm high, the foot 105 mm up a wall, the stop 75 mm out on the floor."""
    proof = proof_of(UPRIGHT)
    told = only(proof, "touch-not-met")
    assert told.measure_mm == pytest.approx(math.hypot(105.0, 75.0), abs=1e-6)
    assert (told.severity, proof.proven) == (STOP, False)
    found = called(proof, "standing").folded
    assert (found.reached, found.gap_mm) == (False, told.measure_mm)
    assert found.untouched is not None


def test_a_touch_that_cannot_be_met_with_nothing_held_strains_without_a_hold() -> None:
    """The line it should meet lies 10 mm farther along the hinge than any fold can bring it."""
    aside = shipped(
        "easel",
        ('[[0, "panel - stop"], ["width", "panel - stop"]] }', "[[10, 30], [75, 30]] }"),
        ('[[0, "2*panel"], ["width", "2*panel"]]\n  to', "[[0, 210], [65, 210]]\n  to"),
    )
    proof = proof_of(aside)
    told = only(proof, "touch-not-met")
    assert told.measure_mm == pytest.approx(10.0, abs=1e-6)
    assert told.mend == "move one of the lines that touch"


# What bends, what is loose, what clashes


def test_paper_that_bends_between_two_flat_states_is_a_note() -> None:
    proof = proof_of(TWIST_SHUT)
    closed, asked = [one for one in proof.findings if one.rule == "bends-on-the-way"]
    assert closed.message.startswith("between flat and closed the paper has to bend: ")
    assert asked.message.startswith('on the way to the pose "asked" the paper has to bend: ')
    found = called(proof)
    assert found.folded.reached
    assert found.folded.bends is not None
    assert asked.measure_mm == found.folded.bends.mm
    # There is no pose half way in which it could be counted how floppy it is.
    assert found.freedom is not None
    assert found.freedom.count is None


@pytest.mark.parametrize(
    ("held", "count", "holding"),
    [
        ({"gutter": 90}, 2, 'folds "steps 2" and "steps 3"'),
        ({"gutter": 90, "steps 2": 90}, 1, None),
        ({"gutter": 0}, 2, None),
        ({"gutter": 180}, 2, None),
    ],
)
def test_a_stair_of_two_steps_is_floppy_two_with_its_gutter_held(
    held: Mapping[str, float], count: int, holding: str | None
) -> None:
    """A ring of six parallel folds moves in three ways, less one for each that is held.

    Also where it lies flat or shut: there the loop holds less, and a count taken
    there would be too large.
    """
    card = shipped("harbour-steps").partition("[[pose]]")[0]
    told = only(proof_of(card + pose(held)), "floppy")
    assert told.message.startswith(f'the pose "asked" is floppy {count}: nothing holds folds ')
    assert f"{'each' if count > 1 else 'it'}, or a further joint" in told.mend
    if holding is not None:
        assert f"fix {holding}:" in told.mend
    # Holding what the mend names leaves nothing loose.
    named = dict.fromkeys(re.findall(r'"([^"]*)"', told.mend), 90)
    assert len(named) == count
    if held["gutter"] == 90:
        proof = proof_of(card + pose({**held, **named}))
        assert [one.rule for one in proof.findings if one.rule == "floppy"] == []
        assert called(proof).folded.reached


@pytest.mark.parametrize("gutter", [0, 45, 180])
def test_a_sail_is_held_by_its_gutter_at_every_angle(gutter: int) -> None:
    """A loop of four folds moves in one way; shut it would seem to move in two."""
    found = called(proof_of(shipped("v-fold-popup") + pose({"gutter": gutter})))
    assert found.freedom is not None
    assert (found.folded.reached, found.freedom.count) == (True, 0)


def test_flaps_clash_from_their_first_touch_on() -> None:
    """They meet over the middle of 10 mm when -cos(turn) is 5 / 30, at 99.594 degrees."""
    proof = proof_of(STRIP + pose({"left": 120, "right": 120}))
    told = only(proof, "clash")
    assert told.severity is STOP
    assert told.measure_mm == pytest.approx(20.0, abs=1e-6)
    # Equilateral: 10 mm from either fold, on the middle line of the first flap.
    assert told.at == pytest.approx((20.0, 10.0), abs=1e-9)
    assert 'panel "strip/panel 1" passes through panel "strip/panel 3"' in told.message
    assert not proof.proven
    short = proof_of(STRIP + pose({"left": 99, "right": 99}))
    assert [one.rule for one in short.findings if one.rule == "clash"] == []


def test_a_piece_glued_in_with_its_senses_turned_over_is_told_by_its_folds() -> None:
    """Opened from shut on, each of its folds has to go beyond shut: to turn the other way."""
    proof = proof_of(INSIDE_OUT)
    told = [one for one in proof.findings if one.rule == "beyond-shut"]
    for where in ("between open and closed", 'on the way to the pose "standing"'):
        assert [one.message for one in told if where in one.message] == [
            f'{where} fold "bench/bench {number}" is turned farther than shut'
            for number in (1, 2, 3)
        ]
    assert all("give it the other sense" in one.mend for one in told)
    assert "beyond-shut" not in {one.rule for one in proof_of(shipped("parallel-box")).findings}


def test_a_clash_on_the_way_is_a_note_where_another_motion_may_lead_round_it() -> None:
    """Two flaps longer than what is between them, of which neither can be turned in first.

    To hold both in a pose does not say how they get there; INSIDE_OUT above, of one motion
    alone, is warned of.
    """
    proof = proof_of(STRIP + pose({"left": 180, "right": 180}))
    closed, asked = [one for one in proof.findings if one.rule == "clash-on-the-way"]
    assert (closed.severity, asked.severity) == (NOTE, NOTE)
    assert closed.message.startswith("between flat and closed panel ")
    assert asked.message.startswith('on the way to the pose "asked" panel ')
    # In the first of 24 poses of the way that lies beyond 99.594 degrees of 180.
    first = math.ceil(24 * math.degrees(math.acos(-5 / 30)) / 180) / 24
    assert asked.message.endswith(f", {100 * first:.0f} % of the way")


def test_what_clashes_on_the_way_is_told_once_and_the_rest_counted() -> None:
    """Two such strips, one of them twice as many times: three flaps of 30 mm, 10 mm apart."""
    longer = STRIP.replace("[70, 20]", "[110, 20]") + "".join(
        f'  [[piece.fold]]\n  name = "{name}"\n  sense = "valley"\n'
        f"  points = [[{x}, 0], [{x}, 20]]\n"
        for name, x in (("third", 70), ("fourth", 80))
    )
    proof = proof_of(longer)
    pairs = len(called(proof, "closed").clashes_on_way)
    assert pairs > 2
    assert called(proof, "closed").order is None
    told = only(proof, "clash-on-the-way")
    assert told.message.endswith(f" of the way, and so do {pairs - 1} more pairs")


def test_a_letter_fold_is_told_its_order() -> None:
    """The short panel, 98 mm of three, is turned in first: only so does it lie inside."""
    proof = proof_of(LETTER + pose({"upper fold": 180, "lower fold": 180}))
    for name in ("closed", "asked"):
        assert [
            [proof.assembly.divisions[piece].hinges[hinge].label for piece, hinge in step]
            for step in called(proof, name).order or ()
        ] == [["lower fold"], ["upper fold"]]
    closed, asked = [one for one in proof.findings if one.rule == "fold-in-this-order"]
    assert closed.message == (
        'to reach "closed" fold in this order: "lower fold", then "upper fold"; turned all '
        'together, panels "letter/panel 1" and "letter/panel 3" would pass through each other'
    )
    assert asked.message == closed.message.replace("closed", "asked")
    assert "clash-on-the-way" not in {one.rule for one in proof.findings}


def test_a_letter_fold_that_is_turned_in_part_way_needs_no_order() -> None:
    proof = proof_of(LETTER + pose({"upper fold": 90, "lower fold": 90}))
    assert called(proof).clashes_on_way == ()
    assert called(proof).order is None


def test_a_roll_of_four_panels_is_told_its_order() -> None:
    """Each a millimetre shorter than the one before: rolled up from the shortest on."""
    places = (100, 199, 297)
    text = STRIP.partition("  [[piece.fold]]")[0].replace("[70, 20]", "[394, 20]") + "".join(
        f'  [[piece.fold]]\n  name = "{name}"\n  sense = "valley"\n'
        f"  points = [[{x}, 0], [{x}, 20]]\n"
        for name, x in zip(("one", "two", "three"), places, strict=True)
    )
    told = only(proof_of(text), "fold-in-this-order")
    assert 'order: "three", then "two", then "one"; ' in told.message
    # The panels but neighbours, each pair of which pass through each other.
    assert told.message.endswith(" would pass through each other, and so would 2 more pairs")


def test_plies_that_cannot_lie_shut_have_no_order_of_turning() -> None:
    proof = proof_of(STRIP)
    assert "plies-blocked" in {one.rule for one in proof.findings}
    assert called(proof, "closed").order is None


def test_the_way_of_a_glued_card_runs_from_open_to_closed() -> None:
    way = called(proof_of(shipped("v-fold-popup")), "closed").folded.way
    shares = [one.share for one in way]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    assert way[0].turned["base", 0] == pytest.approx(0.0, abs=1e-9)
    assert way[-1].turned["base", 0] == 180.0


def test_folds_that_turn_the_other_way_are_named() -> None:
    told = only(proof_of(shipped("harbour-steps") + pose({"steps 2": 0, "gutter": 90})),
                "turned-against-sense")  # fmt: skip
    assert told.message == 'in the pose "asked" fold "steps 1" is turned against its sense'


def test_what_is_to_lie_on_the_table_and_does_not_is_told_by_how_much() -> None:
    """The first flap lies on the table, and the middle of 10 mm stands square on it."""
    told = only(proof_of(STRIP + pose({"left": 90}, 'on = ["panel 1", "panel 2"]\n')),
                "off-the-table")  # fmt: skip
    assert told.measure_mm == pytest.approx(10.0, abs=1e-9)
    assert 'panel "strip/panel 2" is to lie on the table and is 10 mm off it' in told.message


def test_pieces_that_nothing_joins_do_not_clash_with_each_other() -> None:
    proof = proof_of(STRIP + OTHER + pose({"strip/left": 60}))
    for name in ("closed", "asked"):
        pairs = [
            (one.clash.first[0], one.clash.second[0]) for one in called(proof, name).clashes_on_way
        ]
        assert pairs == [(piece, piece) for piece in ("strip", "other")][: len(pairs)]
    assert called(proof).clashes == ()
    assert len(called(proof, "closed").clashes_on_way) == 2
    assert len([one for one in proof.findings if one.rule == "clash-on-the-way"]) == 1


# Searches that give up, and designs that are too large


def test_a_search_that_does_not_come_to_rest_gives_no_pose(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(nearest, "_CLOSING_STEPS", 0)
    monkeypatch.setattr(nearest, "_STRAINED_STEPS", 0)
    proof = proof_of(shipped("v-fold-popup"))
    told = [one for one in proof.findings if one.rule == "pose-not-found"]
    assert [one.severity for one in told] == [STOP] * len(told)
    assert 'the pose "standing" was not found' in told[-1].message
    found = called(proof, "standing")
    assert (dict(found.folded.turned), dict(found.folded.placed), dict(found.placed)) == (
        {},
        {},
        {},
    )
    assert not proof.proven


def test_loops_of_too_many_folds_are_not_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(systems, "PAIRS_AT_MOST", 35)
    proof = proof_of(shipped("harbour-steps"))
    told = only(proof, "pose-too-large")
    assert told.severity is WARN
    # One loop of six folds.
    assert "its loops have 36 pairs of folds, more than 35" in told.message
    assert proof.poses == ()
    # The closed card is judged all the same.
    assert (proof.verdict, proof.proven) == ("closes", True)


def test_without_scipy_large_designs_are_told_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(systems, "DENSE_UP_TO", 2)
    with_it = proof_of(shipped("harbour-steps"))
    monkeypatch.setitem(sys.modules, "scipy.sparse.linalg", None)
    # Up to some thousand folds it goes without, in more time.
    without = proof_of(shipped("harbour-steps"))
    first, second = (called(one, "standing").folded.turned for one in (with_it, without))
    assert list(first.values()) == pytest.approx(list(second.values()), abs=1e-7)
    monkeypatch.setattr(systems, "DENSE_AT_MOST", 4)
    told = only(proof_of(shipped("harbour-steps")), "pose-too-large")
    assert told.mend == 'install the extra "solve"'
    assert "5 folds turn freely" in told.message
