"""This module is the pass for the kerf: outlines move out and openings in by half of it.

A tool that removes k takes k/2 from each side of its line, so a part drawn to
size comes out k too small and an opening k too large.  Slits and scores have no
side that is kept, and stay.  What is narrower than the kerf cannot be cut: the line is
drawn without it, and what differs is told with its place.
"""

from __future__ import annotations

from collections.abc import Iterable, Sized
from dataclasses import replace
from itertools import groupby

from foldwright.profiles.model import Figure

from ..drawing import Drawing, Role, Stroke
from ..geometry import Path
from ..geometry.offset import Loss, Lost
from ..geometry.offset_across_rings import rings_across
from ..geometry.offset_outcomes import Change, Changed, Rings
from ..geometry.offset_rings import offset_rings
from ..geometry.offset_tips import short_of_tips
from ..problems import Problem
from .job import Job, Passed
from .strokes import place_of
from .wording import mm, named, written

# The share of the kerf by which lines move out.
_WAYS = {Role.OUTLINE: 0.5, Role.OPENING: -0.5}

# From so many strokes on they are moved in whole columns first.
_MANY = 32

# What a loss of the offset means to the person who drew the line, and its mend.
_TOLD = {
    Loss.RADIUS: (
        "its radius is not larger than half of that",
        "give the arc a larger radius, or use a tool with less kerf",
    ),
    Loss.TURNED: (
        "a side would vanish",
        "make the place wider or the side longer, or use a tool with less kerf",
    ),
    Loss.APART: (
        "two sides would no longer meet",
        "make the corner less sharp, or use a tool with less kerf",
    ),
    Loss.TANGLED: ("it crosses itself", "draw it so that it does not cross or touch itself"),
    Loss.MERGED: (
        "two sides would run into each other",
        "move the sides farther apart, or use a tool with less kerf",
    ),
}


# What a change means to the person who drew the line: of an outline, of an opening,
# and its mend.
_CHANGED = {
    Change.CLOSED: (
        "a notch is only {size} wide, and is not cut",
        "an arm is only {size} wide, and is not cut",
        "make it wider than the kerf, draw it as a slit, or use a tool with less kerf",
    ),
    Change.CORNER: (
        "an inner corner of {size} is too tight, and comes out with a radius of {half}",
        "a corner of {size} is too tight, and comes out with a radius of {half}",
        "give the corner a larger radius, or use a tool with less kerf",
    ),
    Change.TIP: (
        "the cut stops {size} short of the tip of a notch, which is narrower than the kerf there",
        "the cut stops {size} short of the tip of a corner, which is narrower than the kerf there",
        "make the corner less sharp, end it in a slit, or use a tool with less kerf",
    ),
    Change.NECK: (
        "a gap is only {size} wide and is not cut, and what lies behind it becomes an opening",
        "a neck is only {size} wide and is not cut, and the opening falls apart there",
        "make the place wider than the kerf, or use a tool with less kerf",
    ),
}


def compensate(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its outline and openings moved by half the kerf.

    A path that falls apart becomes several strokes; one that has no right answer, or of
    which nothing is left, is left out of the drawing, with a `stop`.
    """
    if job.way.kerf is None:
        return Passed(
            drawing,
            (
                job.problem(
                    "kerf-unknown",
                    place=job.profile.place,
                    material=job.profile.name,
                    tool=job.tool,
                ),
            ),
        )
    if job.kerf == 0.0:
        return Passed(drawing)
    found: list[Problem] = []
    strokes: list[Stroke] = []
    easy = _easy(drawing, job)
    for index, stroke in enumerate(drawing.strokes):
        if stroke.role not in (Role.OUTLINE, Role.OPENING):
            strokes.append(stroke)
            continue
        path = easy.get(index)
        if path is not None:
            strokes.append(replace(stroke, path=path))
            continue
        moved = _moved(stroke, job)
        strokes += (replace(stroke, path=path, role=_role(stroke, path)) for path in moved.paths)
        found += _findings(job, stroke, moved)
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _easy(drawing: Drawing, job: Job) -> dict[int, Path]:
    """Where there are many strokes, the paths of those that can be moved all at once."""
    along_x, along_y = job.kerfs
    found: dict[int, Path] = {}
    if along_x != along_y:
        return found
    for role, way in _WAYS.items():
        which = [index for index, stroke in enumerate(drawing.strokes) if stroke.role is role]
        if len(which) < _MANY:
            continue
        # Only here: numpy takes a while to import.
        from ..geometry.offset_many import offset_many

        paths = offset_many([drawing.strokes[index].path for index in which], way * along_x)
        found.update(
            (index, path) for index, path in zip(which, paths, strict=True) if path is not None
        )
    return found


def _moved(stroke: Stroke, job: Job) -> Rings:
    along_x, along_y = (_WAYS[stroke.role] * kerf for kerf in job.kerfs)
    if along_x == along_y:
        moved = offset_rings(stroke.path, along_x)
    else:
        moved = rings_across(stroke.path, along_x, along_y)
    tips = short_of_tips(stroke.path, moved.paths, along_x, along_y, moved.changed)
    return replace(moved, changed=(*moved.changed, *tips)) if tips else moved


def _role(stroke: Stroke, path: Path) -> Role:
    """The role of a ring: what an outline closed off behind a gap is cut out like an opening."""
    if stroke.role is Role.OUTLINE and path.area * stroke.path.area < 0.0:
        return Role.OPENING
    return stroke.role


def _findings(job: Job, stroke: Stroke, moved: Rings) -> Iterable[Problem]:
    if not moved.paths:
        yield (
            _vanished(job, stroke, moved.changed[0])
            if moved.changed
            else _lost(job, stroke, moved.losses)
        )
        return
    by_kind = sorted(moved.changed, key=lambda changed: list(Change).index(changed.change))
    for change, several in groupby(by_kind, key=lambda changed: changed.change):
        yield _changed(job, stroke, change, list(several))
    if moved.refitted:
        yield _refitted(job, stroke, moved.losses)
    if moved.rounded:
        first = moved.rounded[0]
        half = job.kerf / 2.0
        yield job.problem(
            "corner-rounded",
            at=first.floats(),
            place=place_of(job.piece, stroke.role, stroke.source),
            measure_mm=half,
            piece_name=job.piece.name,
            line=named(stroke),
            corners="1 corner" if len(moved.rounded) == 1 else f"{len(moved.rounded)} corners",
            length=mm(half),
        )


def _vanished(job: Job, stroke: Stroke, changed: Changed) -> Problem:
    return job.problem(
        "narrower-than-kerf",
        at=changed.at.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=changed.size,
        piece_name=job.piece.name,
        line=named(stroke),
        width=_size(changed.size),
        kerf=_kerf(job),
    )


def _changed(job: Job, stroke: Stroke, change: Change, several: list[Changed]) -> Problem:
    first = several[0]
    of_outline, of_opening, mend = _CHANGED[change]
    what = of_outline if stroke.role is Role.OUTLINE else of_opening
    return job.problem(
        "kerf-changes-line",
        at=first.at.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=first.size,
        mend=mend,
        piece_name=job.piece.name,
        line=named(stroke),
        kerf=_kerf(job),
        what=what.format(size=_size(first.size), half=mm(job.kerf / 2.0)),
        more=_more(several),
    )


def _refitted(job: Job, stroke: Stroke, losses: tuple[Lost, ...]) -> Problem:
    first = losses[0]
    return job.problem(
        "kerf-path-fitted",
        at=first.at.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=job.kerf,
        piece_name=job.piece.name,
        line=named(stroke),
        kerf=_kerf(job),
        reason=_TOLD[first.loss][0],
        more=_more(losses),
    )


def _lost(job: Job, stroke: Stroke, losses: tuple[Lost, ...]) -> Problem:
    first = losses[0]
    reason, mend = _TOLD[first.loss]
    return job.problem(
        "kerf-loses-feature",
        at=first.at.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=job.kerf,
        mend=mend,
        piece_name=job.piece.name,
        line=named(stroke),
        kerf=_kerf(job),
        reason=reason,
        more=_more(losses),
    )


def _kerf(job: Job) -> str:
    """The kerf with the place where the profile gives it: `0.2 mm (laser.toml:8)`."""
    figures = [figure for figure in (job.way.kerf, job.way.kerf_y) if figure is not None]
    widest: Figure = max(figures, key=lambda figure: figure.value)
    return f"{mm(widest.value)}{written(widest)}"


def _size(size: float) -> str:
    # What shapely measured is good to a micrometre, and no digit more is told.
    return mm(round(size, 3))


def _more(several: Sized) -> str:
    more = len(several) - 1
    return f" and at {more} more place{'s' if more > 1 else ''}" if more else ""
