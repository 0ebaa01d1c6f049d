"""What a pose speaks of is looked up once the pieces are divided: hinges, panels, lines on them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from foldwright.design.pieces import Pose, Resolved
from foldwright.folding.holds import hinges_of, panel_of, pose_problems
from foldwright.panels import Assembly, assemble, divide
from foldwright.problems import Problem, Severity

DesignOf = Callable[[str], Resolved]

# The fold is three hinges from left to right: two slits part it.
CARD = """
[[piece]]
name = "card"
outline = { rectangle = [90, 60] }

  [[piece.slit]]
  points = [[30, 20], [30, 40]]

  [[piece.slit]]
  points = [[60, 20], [60, 40]]

  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [[0, 30], [90, 30]]

  [[piece.panel]]
  name = "page"
  at = [5, 5]

[[piece]]
name = "lid"
outline = { rectangle = [40, 40] }

  [[piece.fold]]
  name = "rim"
  sense = "mountain"
  points = [[40, 10], [0, 10]]

[[pose]]
name = "up"
"""


def divided(resolved: Resolved) -> tuple[Pose, Assembly]:
    divisions = {piece.name: divide(piece) for piece in resolved.pieces}
    (pose,) = resolved.poses
    return pose, assemble(divisions, resolved.joints)


def problems(resolved: Resolved) -> list[Problem]:
    return list(pose_problems(*divided(resolved)))


@pytest.mark.parametrize(
    ("held", "hinges"),
    [
        ("gutter", [("card", 0), ("card", 1), ("card", 2)]),
        ("card/gutter#1", [("card", 0)]),
        ("gutter#3", [("card", 2)]),
        ("gutter#4", []),
        ("rim", [("lid", 0)]),
        ("lid/rim#1", [("lid", 0)]),
        ("lid/rim#2", []),
    ],
)
def test_the_hinges_that_a_hold_names(
    design_of: DesignOf, held: str, hinges: list[tuple[str, int]]
) -> None:
    pose, assembly = divided(design_of(f'{CARD}hold = {{ "{held}" = 90 }}\n'))
    (hold,) = pose.holds
    assert list(hinges_of(hold, assembly)) == hinges
    assert (list(pose_problems(pose, assembly)) == []) == bool(hinges)


def test_hinges_are_counted_along_their_fold(design_of: DesignOf) -> None:
    pose, assembly = divided(design_of(f"{CARD}hold = {{ gutter = 90 }}\n"))
    found = hinges_of(pose.holds[0], assembly)
    starts = [assembly.divisions[piece].hinges[index].start.floats() for piece, index in found]
    assert starts == [(0, 30), (30, 30), (60, 30)]


def test_a_hinge_that_is_not_there_is_told_with_how_many_there_are(design_of: DesignOf) -> None:
    hold = 'hold = { "gutter#4" = 90, "rim#2" = 90, "gutter#3" = 90 }\n'
    first, second = problems(design_of(CARD + hold))
    assert (first.rule, first.severity, first.piece) == ("no-such-hinge", Severity.STOP, "card")
    assert first.message == 'the pose "up" holds "card/gutter#4", and that fold is 3 hinges'
    assert first.mend == (
        'hold one of "card/gutter#1" to "card/gutter#3", or all of them as "card/gutter"'
    )
    assert second.message == 'the pose "up" holds "lid/rim#2", and that fold is 1 hinge'
    assert second.mend == 'hold it as "lid/rim"'


def test_panels_by_name_and_by_number(design_of: DesignOf) -> None:
    on = 'hold = { rim = 90 }\non = ["page", "lid/panel 2", "lid/panel 1"]\n'
    pose, assembly = divided(design_of(CARD + on))
    assert list(pose_problems(pose, assembly)) == []
    assert [panel_of(*name, assembly) for name in pose.on] == [("card", 0), ("lid", 1), ("lid", 0)]
    assert panel_of("lid", "panel 3", assembly) is None
    assert panel_of("box", "panel 1", assembly) is None


def test_a_panel_that_is_not_there_is_told_with_those_that_are(design_of: DesignOf) -> None:
    (found,) = problems(design_of(CARD + 'hold = { rim = 90 }\non = ["lid/panel 3"]\n'))
    assert (found.rule, found.severity, found.piece) == (
        "pose-names-no-panel",
        Severity.STOP,
        "lid",
    )
    assert found.message == 'pose "up" names the panel "lid/panel 3", which is not there'
    assert found.mend == 'the panels are "lid/panel 1", "lid/panel 2"'


TOUCH = """hold = {{ rim = 90 }}
[[pose.touch]]
panel = "page"
line = {line}
to = {{ panel = "{panel}", line = {to} }}
"""


def touching(line: str, panel: str, to: str) -> str:
    return CARD + TOUCH.format(line=line, panel=panel, to=to)


@pytest.mark.parametrize(
    ("line", "panel", "to"),
    [
        ("[[0, 0], [0, 10]]", "lid/panel 1", "[[0, 0], [0, 10]]"),
        ("[[5, 5], [8, 9]]", "lid/panel 2", "[[20, 20], [25, 20]]"),
    ],
)
def test_lines_of_one_length_on_their_panels(
    design_of: DesignOf, line: str, panel: str, to: str
) -> None:
    assert problems(design_of(touching(line, panel, to))) == []


def test_a_line_that_leaves_its_panel_is_told_where(design_of: DesignOf) -> None:
    text = touching("[[0, 0], [30, 0]]", "lid/panel 1", "[[0, 0], [0, 30]]")
    (found,) = problems(design_of(text))
    assert (found.rule, found.severity, found.at) == ("touch-off-panel", Severity.STOP, (0, 30))
    assert found.message == (
        'the line of touch 1 of pose "up" leaves the panel "lid/panel 1" at (0, 30) mm'
    )


def test_lines_of_different_length_are_told(design_of: DesignOf) -> None:
    text = touching("[[0, 0], [30, 0]]", "lid/panel 1", "[[0, 0], [30.5, 0]]")
    (found,) = problems(design_of(text))
    assert (found.rule, found.severity, found.measure_mm) == (
        "touch-lines-differ",
        Severity.WARN,
        0.5,
    )
    assert found.message == 'touch 1 of pose "up" lays a line of 30 mm on one of 30.5 mm'
    within = touching("[[0, 0], [30, 0]]", "lid/panel 1", "[[0, 0], [30.0005, 0]]")
    assert problems(design_of(within)) == []


def test_a_panel_does_not_touch_itself(design_of: DesignOf) -> None:
    (found,) = problems(design_of(touching("[[0, 0], [9, 0]]", "card/page", "[[0, 9], [9, 9]]")))
    assert (found.rule, found.severity) == ("touch-on-itself", Severity.STOP)
    # By whatever name it is called.
    (found,) = problems(design_of(touching("[[0, 0], [9, 0]]", "page", "[[0, 9], [9, 9]]")))
    assert found.rule == "touch-on-itself"


def test_a_touch_of_a_panel_that_is_not_there(design_of: DesignOf) -> None:
    (found,) = problems(design_of(touching("[[0, 0], [9, 0]]", "lid/panel 7", "[[0, 9], [9, 9]]")))
    assert found.message == (
        'touch 1 of pose "up" names the panel "lid/panel 7", which is not there'
    )
