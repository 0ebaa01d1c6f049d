"""This module works out the poses that a design names: angles, panels, lines that touch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..measures import Scope
from ..measures.exact import ROUNDING_DEG
from ..problems import Collector, Problem, problem
from .contacts import ContactWork
from .model import PoseDraft
from .naming import find_fold, find_panel
from .pieces import Fold, Hold, Piece, Pose
from .piecework import PieceWork
from .written import expression


def poses_of(
    drafts: Sequence[PoseDraft],
    pieces: Sequence[Piece],
    folds: Mapping[str, Sequence[str]],
    contacts: ContactWork,
    scopes: Mapping[str, Scope],
    found: Collector,
) -> tuple[Pose, ...]:
    """The poses of a design, in the order of the file; those that hold no fold are left out.

    `pieces` are those that could be worked out, `folds` the names of the folds
    of all.  What is wrong, and what is left out, goes to `found`.
    """
    known = {(piece.name, fold.name): fold for piece in pieces for fold in piece.folds}
    poses = []
    for draft in drafts:
        if not draft.hold and not draft.touches:
            hint = _what_to_hold(folds)
            found.add(problem("pose-holds-nothing", place=draft.place, pose=draft.name, hint=hint))
        holds = tuple(_holds(draft, folds, scopes, found))
        for one in (*_contradictions(draft.name, holds), *_still_held(draft.name, holds, known)):
            found.add(one)
        view = None
        if draft.view is not None and scopes:
            work = PieceWork(next(iter(scopes.values())), found)
            view = work.angle(draft.view, f'the view of pose "{draft.name}"')
        on = (find_panel(reference, contacts.panels) for reference in draft.on)
        pose = Pose(
            name=draft.name,
            holds=holds,
            on=tuple(dict.fromkeys(on)),
            view=view,
            touches=tuple(contacts.touches(draft.touches, draft.name)),
            place=draft.place,
        )
        if draft.hold or draft.touches:
            poses.append(pose)
    return tuple(poses)


def _what_to_hold(folds: Mapping[str, Sequence[str]]) -> str:
    for piece, names in folds.items():
        if names:
            return f'hold a fold at its angle, such as hold = {{ "{piece}/{names[0]}" = 90 }}'
    return "give a piece a fold, and hold it"


def _holds(
    draft: PoseDraft,
    folds: Mapping[str, Sequence[str]],
    scopes: Mapping[str, Scope],
    found: Collector,
) -> Iterator[Hold]:
    for reference, written in draft.hold.items():
        fold = find_fold(reference, folds)
        work = PieceWork(scopes[fold.piece], found, fold.piece)
        degrees = work.turn(written, f'fold "{reference}" in pose "{draft.name}"')
        if degrees is not None:
            own = expression(written).place
            yield Hold(
                piece=fold.piece,
                fold=fold.fold,
                nth=fold.hinge,
                degrees=degrees,
                place=draft.place if own.line is None else own,
            )


def _contradictions(pose: str, holds: Sequence[Hold]) -> Iterator[Problem]:
    """A problem for each hold that gives a hinge another angle than a hold before it."""
    of_fold: dict[tuple[str, str], list[Hold]] = {}
    for hold in holds:
        earlier = of_fold.setdefault((hold.piece, hold.fold), [])
        for other in earlier:
            same = hold.nth is None or other.nth is None or hold.nth == other.nth
            if same and abs(float(hold.degrees - other.degrees)) > ROUNDING_DEG:
                yield problem(
                    "holds-contradict",
                    place=hold.place,
                    piece=hold.piece,
                    pose=pose,
                    first=f'"{other.label}"',
                    one=f"{float(other.degrees):.9g}",
                    second=f'"{hold.label}"',
                    other=f"{float(hold.degrees):.9g}",
                )
                break
        earlier.append(hold)


def _still_held(
    pose: str, holds: Sequence[Hold], known: Mapping[tuple[str, str], Fold]
) -> Iterator[Problem]:
    """A problem for each hold of a fold that is only scored."""
    for hold in holds:
        fold = known.get((hold.piece, hold.fold))
        if fold is None:
            continue
        if fold.still:
            why, hint = "still: scored and never turned", "leave out still = true, or the hold"
        elif not any(segment.is_line for segment in fold.path.segments):
            why, hint = "an arc: scored and never turned", "hold a fold that has a straight part"
        else:
            continue
        yield problem(
            "held-never-turns",
            place=hold.place,
            piece=hold.piece,
            pose=pose,
            fold=f'"{hold.label}"',
            why=why,
            hint=hint,
        )
