"""This module turns what is glued on a card, its mass and how it stands into findings."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Mapping, Sequence

from ..design.pieces import Extra, Limits, Mat, Pose, Resolved
from ..folding.freedom import Freedom
from ..folding.skeleton import HingeKey
from ..geometry.hull import Place2
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..panels import Assembly, lies_on, told
from ..problems import Place, Problem, Severity, problem
from ..stacking.margins import largest_circle
from ..stacking.mass import Masses
from ..stacking.mats import panel_keys, unknown_panels
from ..stacking.standing import Resting, Standing
from .judging import figure
from .names import listed, panel_text

# Below this margin, in mm, a card stands too near to tipping: common practice, no source.
BARELY_MM = 5.0

# A mat narrower than this, in mm, is not worth its cutting: common practice, no source.
LEAST_MAT_MM = 5.0

# The ways in which a card can tip as its viewer sees it, anticlockwise from above: they point
# along x, y, -x and -y for a viewer at 270 degrees.
_SIDES = ("to the right", "to the back", "to the left", "to the front")


def dressing_problems(
    assembly: Assembly, resolved: Resolved, masses: Masses, units: Unit
) -> Iterator[Problem]:
    """What is wrong with where mats and extras lie."""
    for part, name in unknown_panels(assembly, resolved.mats, resolved.extras):
        yield _no_panel(part, name, assembly)
    for shape in masses.mats:
        piece, index = shape.panel
        panel = assembly.divisions[piece].panels[index].name
        what = _told(shape.mat)
        if not shape.outlines:
            room = largest_circle(assembly.divisions[piece].panels[index])
            # Down to a tenth of a mm, so that the mat is not narrower than is told.
            most = math.floor(round((room - LEAST_MAT_MM / 2.0) * 10.0, 6)) / 10.0
            yield problem(
                "mat-leaves-nothing",
                severity=Severity.WARN if shape.mat.panels is None else None,
                place=shape.mat.place,
                piece=piece,
                measure_mm=round(shape.margin - room, 3),
                what=what,
                margin=figure(shape.margin, units),
                panel=panel,
                room=figure(round(room, 3), units),
                hint="leave that panel out: it has no room for a mat"
                if most <= 0.0
                else f"make the margin {figure(most, units)} or less, which leaves a mat "
                f"{figure(LEAST_MAT_MM, units)} wide, or leave that panel out",
            )
        elif len(shape.outlines) > 1:
            yield problem(
                "mat-in-parts",
                place=shape.mat.place,
                piece=piece,
                what=what,
                panel=panel,
                count=len(shape.outlines),
            )
    keys = panel_keys(assembly)
    for extra in masses.extras:
        piece, index = keys[extra.piece, extra.panel]
        at = extra.at
        if at is None or lies_on(assembly.divisions[piece].panels[index], at.rounded()):
            continue
        yield problem(
            "extra-off-its-panel",
            place=extra.place,
            piece=piece,
            at=at.floats(),
            what=_told(extra),
            panel=extra.panel,
        )


def mass_problems(resolved: Resolved, masses: Masses) -> Iterator[Problem]:
    """What is missing for the mass of the card, or for its centre, and what was taken instead."""
    for stock in masses.stocks:
        yield _no_grammage(stock, resolved)
    for code, extras in (
        ("extra-mass-unknown", masses.heavy),
        ("extra-without-a-place", masses.loose),
        ("extra-without-a-height", masses.flat),
    ):
        for extra in extras:
            yield problem(code, place=extra.place, piece=extra.piece, what=_told(extra))


def standing_problems(
    pose: Pose,
    standing: Standing | None,
    assembly: Assembly,
    units: Unit,
    *,
    must: bool,
    view_deg: float = 270.0,
) -> Iterator[Problem]:
    """The findings on how the card stands in a pose that the design names.

    With `must` the card has to stand, and whatever keeps it from that is a stop.  `view_deg` is
    the side from which the pose is seen, by which front and back are told.  Nothing is said
    where it is not known how the card stands.
    """
    if standing is None:
        return
    rest, severity = standing.asked, Severity.STOP if must else None
    if rest.below is not None:
        yield problem(
            "below-the-table",
            severity=severity,
            place=pose.place,
            piece=rest.below[0],
            measure_mm=rest.below_mm,
            pose=pose.name,
            panel=panel_text(rest.below, assembly),
            by=figure(rest.below_mm, units),
        )
        return
    edge = _side(rest, view_deg)
    if not rest.stands:
        out = -rest.margin_mm
        over = f"{figure(out, units)} outside" if out > MEETS_MM else "right over the edge of"
        yield problem(
            "tips",
            severity=severity,
            place=pose.place,
            measure_mm=rest.margin_mm,
            pose=pose.name,
            over=f"{over} what it stands on",
            edge=edge,
        )
    elif rest.margin_mm < BARELY_MM:
        yield problem(
            "stands-barely",
            place=pose.place,
            measure_mm=rest.margin_mm,
            pose=pose.name,
            margin=figure(rest.margin_mm, units),
            edge=edge,
            tip=f"{rest.tip_deg:.1f}",
        )


def copies_problems(resolved: Resolved, standings: Sequence[Standing | None]) -> Iterator[Problem]:
    """A note for each piece of which more copies are made than the balance of a pose counts."""
    there = {piece for one in standings if one is not None for piece, _ in one.panels}
    for piece in resolved.pieces:
        if piece.copies > 1 and piece.name in there:
            yield problem(
                "one-copy-balanced",
                place=piece.place,
                piece=piece.name,
                count=piece.copies,
                name=piece.name,
            )


def crease_problems(
    pose: Pose, standing: Standing | None, released: Freedom | None, assembly: Assembly
) -> Iterator[Problem]:
    """A note where a pose stands and nothing keeps its folds at their angles but their creases.

    `released` is the freedom of the card in that pose with no fold held, lines that touch in it
    still touching: what then moves is held by nothing but its crease.
    """
    if standing is None or not standing.asked.stands:
        return
    if released is None or not released.count:
        return
    free = released.holding or released.moving
    yield problem(
        "held-by-the-crease-alone",
        place=pose.place,
        pose=pose.name,
        folds=_folds(free, assembly),
        angles="its angle" if len(free) == 1 else "their angles",
        each="it" if len(free) == 1 else "each",
    )


def must_stand(limits: Limits | None, poses: Sequence[Pose]) -> tuple[Pose, ...]:
    """The poses in which the limits ask the card to stand.

    Those that say what lies on the table, or all that the design names where none does.
    """
    if limits is None or not limits.stands:
        return ()
    return tuple(pose for pose in poses if pose.on) or tuple(poses)


def stands_limit_problems(
    limits: Limits | None, poses: Sequence[Pose], standings: Mapping[str, Standing | None]
) -> Iterator[Problem]:
    """A note where the limit of standing cannot be judged; `standings` are by the pose's name.

    What does not stand is told by `standing_problems`.
    """
    if limits is None or not limits.stands:
        return
    asked = must_stand(limits, poses)
    if not asked:
        yield problem(
            "standing-unknown",
            place=limits.place,
            why="the design names no pose to stand in",
            hint="add a [[pose]] that holds a fold, and says in on what lies on the table",
        )
        return
    unknown = [pose.name for pose in asked if standings.get(pose.name) is None]
    if unknown:
        several = "poses" if len(unknown) > 1 else "pose"
        names = ", ".join(f'"{name}"' for name in unknown)
        yield problem(
            "standing-unknown",
            place=limits.place,
            why=f"in the {several} {names} the centre of mass of the card is not known",
            hint="give every stock a material, every extra a mass and a place, and hold the pose",
        )


def _side(rest: Resting, view_deg: float) -> str:
    """Which way a card tips over the edge that is nearest to its centre."""
    (x0, y0), (x1, y1) = rest.edge
    # Out of the polygon, to the right of an edge that runs anticlockwise; where there is no
    # inside, away from the edge to the foot of the centre.
    across = (y1 - y0, x0 - x1)
    if len(rest.polygon) < 3:
        across = _away(rest, across)
    angle = math.degrees(math.atan2(across[1], across[0])) - view_deg + 270.0
    return _SIDES[round(angle / 90.0) % 4]


def _away(rest: Resting, across: Place2) -> Place2:
    (x0, y0), _ = rest.edge
    off = rest.centre[0] - x0, rest.centre[1] - y0
    if across == (0.0, 0.0):
        return off
    return across if off[0] * across[0] + off[1] * across[1] >= 0.0 else (-across[0], -across[1])


def _told(part: Mat | Extra) -> str:
    return told("mat" if isinstance(part, Mat) else "extra", part.name)


def _folds(keys: Sequence[HingeKey], assembly: Assembly) -> str:
    names = [told("fold", assembly.divisions[piece].hinges[index].label) for piece, index in keys]
    return listed(names)


def _no_panel(part: Mat | Extra, name: str, assembly: Assembly) -> Problem:
    division = assembly.divisions.get(part.piece)
    known = [] if division is None else [panel.name for panel in division.panels]
    # A number that is not there is close to every other number, and none of them is meant.
    near = [] if name.startswith("panel ") else difflib.get_close_matches(name, known, n=1)
    shown = ", ".join(f'"{one}"' for one in known[:8]) + (" and more" if len(known) > 8 else "")
    return problem(
        "glued-on-no-panel",
        place=part.place,
        piece=part.piece,
        what=_told(part),
        name=f"{part.piece}/{name}",
        hint=f'did you mean "{near[0]}"?' if near else f"the panels are {shown}",
    )


def _no_grammage(stock: str | None, resolved: Resolved) -> Problem:
    if stock is None:
        bare = [piece for piece in resolved.pieces if piece.stock is None]
        if bare:
            what, place = f'the piece "{bare[0].name}"', bare[0].place
        else:
            mat = next(mat for mat in resolved.mats if mat.stock is None)
            what, place = _told(mat), mat.place
        return problem("grammage-unknown", place=place, what=what)
    known = resolved.stocks.get(stock)
    return problem(
        "grammage-unknown",
        place=Place() if known is None else known.place,
        what=f'the stock "{stock}"',
    )
