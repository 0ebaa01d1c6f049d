"""Poses as a person writes them: what is held, what lies on the table, what touches."""

from __future__ import annotations

from fractions import Fraction

import pytest

from foldwright.design import (
    Design,
    FoldDraft,
    Hold,
    PieceDraft,
    Pose,
    PoseDraft,
    RectangleDraft,
    Touch,
    TouchDraft,
    TouchEnd,
    TouchEndDraft,
    parse_design,
    resolve,
    write_design,
)
from foldwright.geometry import point
from foldwright.problems import DesignError, Problem, Severity
from foldwright.problems.rules import poses

HEAD = """\
format = 1
name = "Pebble"
units = "in"

[measures]
width = "4 in"
lean = "60 deg"

[[piece]]
name = "card"
outline = { rectangle = ["width", 6] }

  [[piece.slit]]
  points = [["width / 2", 2], ["width / 2", 4]]

  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [[0, 3], ["width", 3]]

  [[piece.panel]]
  name = "page"
  at = [1, 1]

[[piece]]
name = "lid"
outline = { rectangle = [2, 2] }

  [[piece.band]]
  name = "pleat"
  from = [0, 1]
  to = [2, 1]
  walk = ["1/2"]
  first = "valley"
"""


def poses_of(text: str) -> tuple[Pose, ...]:
    return resolve(parse_design(HEAD + text, "card.toml")).poses


def refused(text: str) -> list[tuple[str, str, str]]:
    with pytest.raises(DesignError) as caught:
        resolve(parse_design(HEAD + text, "card.toml"))
    return [(one.rule, one.message, one.mend) for one in caught.value.problems]


def notes(text: str) -> list[Problem]:
    every = resolve(parse_design(HEAD + text, "card.toml")).notes
    return [note for note in every if note.rule in {rule.code for rule in poses.RULES}]


def test_a_pose_is_worked_out_exactly() -> None:
    (pose,) = poses_of("""
[[pose]]
name = "standing"
hold = { gutter = "lean / 7", "lid/pleat 2#1" = 120 }
on = ["page", "lid/panel 2", "card/page"]
view = "-lean"

  [[pose.touch]]
  panel = "page"
  line = [[0, 0], ["width / 3", 0]]
  to = { panel = "lid/panel 1", line = [[1, 0], ["1 + 4/3", 0]] }
""")
    assert pose.name == "standing"
    # The place of a hold is its own; a panel that is named twice lies there once.
    held = [(hold.piece, hold.fold, hold.nth, hold.degrees, hold.label) for hold in pose.holds]
    assert held == [
        ("card", "gutter", None, Fraction(60, 7), "card/gutter"),
        ("lid", "pleat 2", 1, 120, "lid/pleat 2#1"),
    ]
    assert all(isinstance(hold.degrees, Fraction) for hold in pose.holds)
    assert pose.on == (("card", "page"), ("lid", "panel 2"))
    assert pose.view == -60
    inch = Fraction(254, 10)
    assert pose.touches == (
        Touch(
            name="touch 1",
            line=TouchEnd(
                piece="card", panel="page", start=point(0, 0), end=point(inch * Fraction(4, 3), 0)
            ),
            to=TouchEnd(
                piece="lid",
                panel="panel 1",
                start=point(inch, 0),
                end=point(inch * Fraction(7, 3), 0),
            ),
            place=pose.touches[0].place,
        ),
    )
    first = HEAD.count("\n") + 2
    assert pose.place.prefix() == f"card.toml:{first}"
    assert pose.holds[1].place.prefix() == f"card.toml:{first + 2}"
    assert pose.touches[0].place.prefix() == f"card.toml:{first + 6}"


def test_what_is_not_written_stays_open() -> None:
    (pose,) = poses_of('[[pose]]\nname = "up"\nhold = { gutter = 90 }\n')
    assert (pose.on, pose.view, pose.touches) == ((), None, ())
    assert resolve(parse_design(HEAD)).poses == ()


@pytest.mark.parametrize(("written", "degrees"), [("0", 0), ("180", 180), ('"0 deg"', 0)])
def test_flat_and_shut_can_be_held(written: str, degrees: int) -> None:
    (pose,) = poses_of(f'[[pose]]\nname = "up"\nhold = {{ gutter = {written} }}\n')
    assert [hold.degrees for hold in pose.holds] == [degrees]


@pytest.mark.parametrize("written", ["181", "-5", '"lean * 3 + 0.001 deg"', "1e9"])
def test_paper_turns_by_half_a_turn_at_most(written: str) -> None:
    (found,) = refused(f'[[pose]]\nname = "up"\nhold = {{ gutter = {written} }}\n')
    assert found[0] == "fold-angle"
    assert found[1].startswith('the angle of fold "gutter" in pose "up" is ')
    assert "0 (flat) to 180 (shut)" in found[2]


def test_a_length_is_no_angle() -> None:
    (found,) = refused('[[pose]]\nname = "up"\nhold = { gutter = "width" }\n')
    assert found[0] == "not-an-angle"
    (found,) = refused('[[pose]]\nname = "up"\nhold = { gutter = 9 }\nview = "width"\n')
    assert found[0] == "not-an-angle"


def test_one_hinge_has_one_angle() -> None:
    pose = '[[pose]]\nname = "up"\n[pose.hold]\n'
    assert refused(f'{pose}gutter = 90\n"card/gutter" = 91\n') == [
        (
            "holds-contradict",
            'the pose "up" holds "card/gutter" at 90 degrees and "card/gutter" at 91, '
            "which is one hinge",
            "keep one of the two",
        )
    ]
    for other in ('gutter = 90\n"gutter#2" = 45\n', '"gutter#2" = 45\ngutter = 90\n'):
        assert [rule for rule, _, _ in refused(pose + other)] == ["holds-contradict"]
    # The same said twice is no contradiction, nor are two hinges of one fold.
    (same,) = poses_of(f'{pose}gutter = 60\n"gutter#2" = "lean"\n"card/gutter" = 60\n')
    assert len(same.holds) == 3
    assert poses_of(f'{pose}"gutter#1" = 60\n"gutter#2" = 61\n')
    assert poses_of(f'{pose}gutter = 60\n"lid/pleat 1" = 61\n')


def test_every_variant_is_held_against_itself() -> None:
    text = HEAD + (
        '[[pose]]\nname = "up"\nhold = { gutter = "lean", "gutter#1" = 60 }\n'
        "[variant.low.measures]\nlean = 30\n"
    )
    assert resolve(parse_design(text)).poses
    with pytest.raises(DesignError, match=r'"card/gutter" at 30 degrees and "card/gutter#1" at 60'):
        resolve(parse_design(text), variant="low")


def test_a_pose_that_holds_nothing_is_left_out_and_said_so() -> None:
    text = '[[pose]]\nname = "up"\non = ["page"]\n[[pose]]\nname = "half"\nhold = { gutter = 90 }\n'
    assert [pose.name for pose in poses_of(text)] == ["half"]
    (note,) = notes(text)
    assert (note.rule, note.severity) == ("pose-holds-nothing", Severity.NOTE)
    assert note.place.prefix() == f"card.toml:{HEAD.count(chr(10)) + 1}"
    assert note.mend == 'hold a fold at its angle, such as hold = { "card/gutter" = 90 }'
    # What else it says is worked out all the same, so that a slip is told.
    found = refused('[[pose]]\nname = "up"\nview = "widht * 1 deg"\n')
    assert "unknown-measure" in {rule for rule, _, _ in found}


def test_a_design_without_a_fold_has_nothing_to_hold() -> None:
    sheet = PieceDraft(name="sheet", outline=RectangleDraft(width=30, height=20))
    resolved = resolve(Design(name="Pebble", pieces=[sheet], poses=[PoseDraft(name="up")]))
    assert resolved.poses == ()
    assert [note.mend for note in resolved.notes] == ["give a piece a fold, and hold it"]


TOUCH = '[[pose]]\nname = "up"\nhold = { gutter = 90 }\n'
TO = 'to = { panel = "lid/panel 1", line = [[0, 0], [1, 0]] }'


def test_touches_may_be_written_in_one_line() -> None:
    inline = f'touch = [{{ name = "foot", panel = "page", line = [[0, 0], [1, 0]], {TO} }}]\n'
    tables = f'[[pose.touch]]\nname = "foot"\npanel = "page"\nline = [[0, 0], [1, 0]]\n{TO}\n'
    first, second = parse_design(HEAD + TOUCH + inline), parse_design(HEAD + TOUCH + tables)
    assert first == second
    assert first.poses[0].touches[0].name == "foot"
    assert parse_design(write_design(first)) == first


def test_a_touch_built_in_python_is_the_same_as_one_that_is_read() -> None:
    read = parse_design(
        f'{HEAD}{TOUCH}[[pose.touch]]\npanel = "page"\nline = [[0, 0], ["width", 0]]\n{TO}\n'
    ).poses[0]
    assert read == PoseDraft(
        name="up",
        hold={"gutter": 90},
        touches=[
            TouchDraft(
                panel="page",
                line=[(0, 0), ("width", 0)],
                to=TouchEndDraft(panel="lid/panel 1", line=[[0, 0], [1, 0]]),
            )
        ],
    )


@pytest.mark.parametrize(
    ("touch", "rule", "message"),
    [
        (
            f'panel = "page"\n{TO}',
            "missing-key",
            '"line" of touch 1 of pose "up" is missing',
        ),
        (
            f"line = [[0, 0], [1, 0]]\n{TO}",
            "missing-key",
            '"panel" of touch 1 of pose "up" is missing',
        ),
        (
            'panel = "page"\nline = [[0, 0], [1, 0]]',
            "missing-key",
            '"to" of touch 1 of pose "up" is missing',
        ),
        (
            f'panel = "page"\nline = [[0, 0], [1, 0], [2, 0]]\n{TO}',
            "wrong-type",
            '"line" of touch 1 of pose "up" should be the two ends of a line',
        ),
        (
            f'panel = "page"\nline = [[0, 0], [1, true]]\n{TO}',
            "wrong-type",
            'item 2 of item 2 of "line" of touch 1 of pose "up"',
        ),
        (
            f'panel = "page"\nface = "back"\nline = [[0, 0], [1, 0]]\n{TO}',
            "unknown-key",
            '"face" in touch 1 of pose "up"',
        ),
        (
            f'panel = "page"\nline = [[0, 0], [0, "1 - 1"]]\n{TO}',
            "repeated-point",
            'the line of touch 1 of pose "up" on "card/page" has the point (0, 0) mm twice',
        ),
        (
            f'name = "foot"\npanel = "page"\nline = [[0, 0], ["lean", 1]]\n{TO}',
            "not-a-length",
            'x of end 2 of the line of touch "foot" of pose "up" on "card/page"',
        ),
    ],
)
def test_what_is_wrong_with_a_touch(touch: str, rule: str, message: str) -> None:
    (found,) = refused(f"{TOUCH}[[pose.touch]]\n{touch}\n")
    assert found[0] == rule
    assert message in found[1]


def test_a_name_of_a_touch_is_used_once_a_pose() -> None:
    touch = f'[[pose.touch]]\nname = "foot"\npanel = "page"\nline = [[0, 0], [1, 0]]\n{TO}\n'
    (found,) = refused(TOUCH + touch + touch)
    assert (found[0], found[1]) == (
        "doubled-name",
        'pose "up" has two parts called "foot", each a touch',
    )
    assert len(poses_of(TOUCH + touch + TOUCH.replace("up", "down") + touch)) == 2


def test_holds_from_python_have_the_place_of_their_pose() -> None:
    piece = PieceDraft(
        name="card",
        outline=RectangleDraft(width=30, height=20),
        folds=[FoldDraft(name="gutter", sense="valley", points=[(0, 10), (30, 10)])],
    )
    pose = PoseDraft(name="half", hold={"gutter": Fraction(1, 3)})
    (found,) = resolve(Design(name="Pebble", pieces=[piece], poses=[pose])).poses
    assert found.holds == (Hold(piece="card", fold="gutter", nth=None, degrees=Fraction(1, 3)),)
