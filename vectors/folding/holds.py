"""This module finds the hinges and the panels that a pose speaks of, and tells of those not there.

Which hinges a fold is, and which panels a piece has, is known only once the
pieces have been divided.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator

from ..design.pieces import Hold, Pose, Touch, TouchEnd
from ..measures.exact import MEETS_MM
from ..panels import Assembly, lies_on, told
from ..problems import Place, Problem, problem
from .loops import PanelKey
from .skeleton import HingeKey


def hinges_of(hold: Hold, assembly: Assembly) -> tuple[HingeKey, ...]:
    """The hinges that a hold names, along its fold; none where there is no such hinge."""
    every = _hinges_of_fold(hold, assembly)
    if hold.nth is None:
        return every
    return every[hold.nth - 1 : hold.nth]


def panel_of(piece: str, panel: str, assembly: Assembly) -> PanelKey | None:
    """The panel of that name, None where there is none."""
    division = assembly.divisions.get(piece)
    for one in () if division is None else division.panels:
        if one.name == panel:
            return piece, one.index
    return None


def pose_problems(pose: Pose, assembly: Assembly) -> Iterator[Problem]:
    """All that is wrong with a pose: hinges and panels that are not there, lines that cannot meet.

    With a stop among them the pose is not to be worked out.
    """
    yield from hold_problems(pose, assembly)
    for piece, panel in pose.on:
        if panel_of(piece, panel, assembly) is None:
            yield _no_panel(f'pose "{pose.name}"', piece, panel, pose.place, assembly)
    yield from touch_problems(pose, assembly)


def hold_problems(pose: Pose, assembly: Assembly) -> Iterator[Problem]:
    """A problem for each hold of a hinge that its fold does not have."""
    for hold in pose.holds:
        if hinges_of(hold, assembly):
            continue
        count = len(_hinges_of_fold(hold, assembly))
        fold = f"{hold.piece}/{hold.fold}"
        if count > 1:
            hint = f'hold one of "{fold}#1" to "{fold}#{count}", or all of them as "{fold}"'
        else:
            hint = f'hold it as "{fold}"' if count else "hold another fold"
        yield problem(
            "no-such-hinge",
            place=hold.place,
            piece=hold.piece,
            pose=pose.name,
            name=hold.label,
            count="no hinge" if not count else f"{count} hinge{'s' if count > 1 else ''}",
            hint=hint,
        )


def touch_problems(pose: Pose, assembly: Assembly) -> Iterator[Problem]:
    """What is wrong with the lines that touch in a pose."""
    for touch in pose.touches:
        what = f'{told("touch", touch.name)} of pose "{pose.name}"'
        found = list(_end_problems(touch, what, assembly))
        yield from found
        if not found:
            yield from _pair_problems(touch, what)


def _end_problems(touch: Touch, what: str, assembly: Assembly) -> Iterator[Problem]:
    for end in (touch.line, touch.to):
        key = panel_of(end.piece, end.panel, assembly)
        if key is None:
            yield _no_panel(what, end.piece, end.panel, touch.place, assembly)
            continue
        panel = assembly.divisions[end.piece].panels[key[1]]
        for at in (end.start, end.end):
            if not lies_on(panel, at.rounded()):
                yield problem(
                    "touch-off-panel",
                    place=touch.place,
                    piece=end.piece,
                    at=at.floats(),
                    touch=what,
                    name=f"{end.piece}/{end.panel}",
                )
                break


def _pair_problems(touch: Touch, what: str) -> Iterator[Problem]:
    line, to = touch.line, touch.to
    if (line.piece, line.panel) == (to.piece, to.panel):
        name = f"{line.piece}/{line.panel}"
        yield problem("touch-on-itself", place=touch.place, piece=line.piece, touch=what, name=name)
        return
    first, second = _length(line), _length(to)
    if abs(first - second) > MEETS_MM:
        yield problem(
            "touch-lines-differ",
            place=touch.place,
            piece=line.piece,
            at=line.start.floats(),
            measure_mm=abs(first - second),
            touch=what,
            first=f"{first:.9g}",
            second=f"{second:.9g}",
        )


def _length(end: TouchEnd) -> float:
    return float(end.start.distance(end.end))


def _hinges_of_fold(hold: Hold, assembly: Assembly) -> tuple[HingeKey, ...]:
    division = assembly.divisions.get(hold.piece)
    if division is None:
        return ()
    return tuple(
        (hold.piece, hinge.index)
        for hinge in division.hinges
        if division.fold_of(hinge).name == hold.fold
    )


def _no_panel(what: str, piece: str, panel: str, place: Place, assembly: Assembly) -> Problem:
    wanted = f"{piece}/{panel}"
    known = [
        f"{name}/{one.name}"
        for name, division in assembly.divisions.items()
        if name == piece or piece not in assembly.divisions
        for one in division.panels
    ]
    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.6)
    # A number that is not there is close to every other number, and none of them is meant.
    if near and not panel.startswith("panel "):
        hint = f'did you mean "{near[0]}"?'
    else:
        shown = ", ".join(f'"{name}"' for name in known[:8])
        hint = f"the panels are {shown}" + (" and more" if len(known) > 8 else "")
    return problem(
        "pose-names-no-panel", place=place, piece=piece, what=what, name=wanted, hint=hint
    )
