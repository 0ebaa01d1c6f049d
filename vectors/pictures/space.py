"""This module draws the panels of a pose in perspective: what the viewer sees of them, as lines.

White paper on a white page needs no filling: what lies behind is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from ..design.pieces import Face, Sense
from ..folding import PanelKey
from ..geometry import Path, Point, Segment, polygon
from ..measures.exact import MEETS_MM
from . import pens
from .camera import Floats, camera_for
from .clipping import crossing_stretches, within_rings
from .courses import Course, seen_of
from .facets import Facet, by_chords, chords_of, facets_of, in_space, places_of
from .hatching import hatching_of
from .hidden_lines import TABLE, View
from .labels import Box
from .lettering import width_of
from .model import Anchor, Area, Line, Part, Pen, Words
from .naming import SIZE, fits, rooms_for
from .plies import plies_of
from .scene import Crease, Scene

# How far the table is drawn beyond the card, as a share of the card's width.
_TABLE_RIM = 0.07


@dataclass(frozen=True, kw_only=True, slots=True)
class SpaceDrawing:
    """What is seen of a scene: its lines, the back ones first.

    `view` is what it was drawn from.
    """

    parts: tuple[Part, ...]
    view: View


@dataclass(frozen=True, kw_only=True, slots=True)
class Names:
    """The names on panels, and those that the design gives and that have no room.

    Each of `elsewhere` comes with a seen place of its panel on the page.
    """

    parts: tuple[Part, ...]
    elsewhere: tuple[tuple[str, Point], ...]


def draw(scene: Scene, room: tuple[float, float]) -> SpaceDrawing:
    """Draw a scene from its viewer's side into a room of the page, from its origin on."""
    places = places_of(scene.panels, scene.placed)
    table = _table(places)
    camera = camera_for(np.concatenate((places, table)), scene.view_deg, room)
    facets = facets_of(scene.panels, scene.placed, camera)
    view = View(camera, facets, plies_of(facets, scene.creases, scene.glued, scene.laid))
    shown = {i: facet for i, facet in enumerate(facets) if not view.covered[i]}
    size = camera.scale * float(
        camera.page((places.min(axis=0) + places.max(axis=0))[None] / 2)[1][0]
    )
    pairs: list[tuple[Course, tuple[Pen, ...]]] = [
        (Course(places=table, owners=(TABLE,), closed=True), (pens.TABLE,)),
        *((course, (pens.BACK,)) for course in hatching_of(shown, camera, size)),
        *_scores(scene, shown),
        *_creases(scene, shown),
        *((course, (pens.PAPER_EDGE,)) for course in _rims(scene, shown)),
        *_passing(scene, facets),
    ]
    parts: list[Part] = []
    courses, kinds = [one for one, _ in pairs], [used for _, used in pairs]
    for used, paths in zip(kinds, seen_of(courses, kinds, view), strict=True):
        parts += [Line(path=path, pen=pen) for pen in used for path in paths]
    return SpaceDrawing(parts=tuple(_stacked(parts)), view=view)


# Later ones lie on top.
_ORDER = (
    pens.TABLE,
    pens.BACK,
    pens.SCORED_IN_SPACE,
    pens.CREASE,
    pens.VALLEY_IN_SPACE,
    pens.MOUNTAIN_IN_SPACE,
    pens.PAPER_EDGE,
    pens.CLASH,
)


def _stacked(parts: Sequence[Part]) -> list[Part]:
    place = {pen: i for i, pen in enumerate(_ORDER)}
    return sorted(parts, key=lambda part: place[part.pen] if isinstance(part, Line) else 0)


def _table(places: Floats) -> Floats:
    """A rectangle of the table round what stands over it."""
    low, high = places[:, :2].min(axis=0), places[:, :2].max(axis=0)
    rim = _TABLE_RIM * float((high - low).max())
    (left, bottom), (right, top) = low - rim, high + rim
    return np.array(
        [(left, bottom, 0.0), (right, bottom, 0.0), (right, top, 0.0), (left, top, 0.0)]
    )


def _rims(scene: Scene, facets: Mapping[int, Facet]) -> Iterator[Course]:
    """The rims of all panels where no fold runs along them."""
    folds: dict[PanelKey, list[Crease]] = {}
    for crease in scene.creases:
        folds.setdefault(crease.first, []).append(crease)
        folds.setdefault(crease.second, []).append(crease)
    for number, facet in facets.items():
        panel = scene.panels[facet.key]
        lines = _crease_lines(folds.get(facet.key, []))
        for ring in (panel.ring, *panel.holes):
            yield from _rim(ring, lines, number, facet)


def _rim(ring: Path, folds: tuple[Floats, Floats], number: int, facet: Facet) -> Iterator[Course]:
    segments = ring.segments
    cut = [not _along_fold(segment, folds) for segment in segments]
    if all(cut):
        places = in_space(by_chords(ring), facet.motion)
        yield Course(places=places, owners=(number,), closed=True)
        return
    # Begin after a fold, so that no run is parted at the ring's start.
    first = cut.index(False)
    order = [*range(first, len(segments)), *range(first)]
    for is_cut, run in groupby(order, key=cut.__getitem__):
        if is_cut:
            members = [segments[i] for i in run]
            flat = [at for segment in members for at in chords_of(segment)]
            flat.append(members[-1].end.floats())
            yield Course(places=in_space(np.array(flat), facet.motion), owners=(number,))


def _crease_lines(creases: Sequence[Crease]) -> tuple[Floats, Floats]:
    starts = np.array([crease.start.floats() for crease in creases]).reshape(-1, 2)
    ends = np.array([crease.end.floats() for crease in creases]).reshape(-1, 2)
    return starts, ends


def _along_fold(segment: Segment, folds: tuple[Floats, Floats]) -> bool:
    """Whether a straight segment runs along one of the folds: both its ends lie on it."""
    starts, ends = folds
    if not segment.is_line or len(starts) == 0:
        return False
    way = ends - starts
    length = np.sqrt((way**2).sum(axis=1))
    on = np.ones(len(starts), dtype=bool)
    for at in (segment.start.floats(), segment.end.floats()):
        dx, dy = (np.array(at) - starts).T
        along = (dx * way[:, 0] + dy * way[:, 1]) / length
        aside = np.abs(dx * way[:, 1] - dy * way[:, 0]) / length
        on &= (aside <= MEETS_MM) & (along >= -MEETS_MM) & (along <= length + MEETS_MM)
    return bool(on.any())


def _creases(scene: Scene, facets: Mapping[int, Facet]) -> Iterator[tuple[Course, tuple[Pen, ...]]]:
    """Each fold once, or once on each of its panels where these do not meet."""
    number = {facet.key: i for i, facet in facets.items()}
    for crease in scene.creases:
        flat = np.array([crease.start.floats(), crease.end.floats()])
        found = [
            (number[key], in_space(flat, facets[number[key]].motion))
            for key in (crease.first, crease.second)
            if key in number
        ]
        if not found:
            continue
        used = _crease_pens(crease, {facets[i].face for i, _ in found})
        if len(found) == 2 and float(np.abs(found[0][1] - found[1][1]).max()) <= MEETS_MM:
            owners = (found[0][0], found[1][0])
            yield Course(places=found[0][1], owners=owners), used
        else:
            for one, places in found:
                yield Course(places=places, owners=(one,)), used


def _crease_pens(crease: Crease, faces: set[Face | None]) -> tuple[Pen, ...]:
    """The pens of a fold: its sense as it is seen, on a line that goes through where it turns.

    Seen from behind a valley is a mountain.  Where one panel shows its front and the
    other its back, the nearer one turns away from the viewer: a ridge, whatever
    the fold is from the front.
    """
    shown = faces - {None}
    if shown == {Face.BACK}:
        valley = crease.sense is Sense.MOUNTAIN
    else:
        valley = crease.sense is Sense.VALLEY and Face.BACK not in shown
    if crease.turned < 0.0 and abs(crease.turned) >= _UNTURNED_DEG and len(shown) == 1:
        # Turned against its sense.
        valley = not valley
    sense = pens.VALLEY_IN_SPACE if valley else pens.MOUNTAIN_IN_SPACE
    return (sense,) if abs(crease.turned) < _UNTURNED_DEG else (pens.CREASE, sense)


# A fold that is turned by less is no edge of the body.
_UNTURNED_DEG = 0.5


def _scores(scene: Scene, facets: Mapping[int, Facet]) -> Iterator[tuple[Course, tuple[Pen, ...]]]:
    """Lines that are scored and not folded, on every panel that they run over."""
    for piece, path in scene.scores:
        places = by_chords(path)
        if path.closed:
            places = np.concatenate((places, places[:1]))
        low, high = places.min(axis=0), places.max(axis=0)
        for number, facet in facets.items():
            ring = facet.flat[0]
            if (
                facet.key[0] != piece
                or (ring.max(axis=0) < low).any()
                or (ring.min(axis=0) > high).any()
            ):
                continue
            for start, end in pairwise(places):
                for a, b in within_rings(facet.flat, start, end):
                    ends = np.stack((start + (end - start) * a, start + (end - start) * b))
                    course = Course(places=in_space(ends, facet.motion), owners=(number,))
                    yield course, (pens.SCORED_IN_SPACE,)


def _passing(scene: Scene, facets: Sequence[Facet]) -> Iterator[tuple[Course, tuple[Pen, ...]]]:
    """The lines along which panels pass through each other."""
    number = {facet.key: i for i, facet in enumerate(facets)}
    for one in scene.passing:
        if one.first in number and one.second in number:
            owners = number[one.first], number[one.second]
            for start, end in crossing_stretches(facets[owners[0]], facets[owners[1]]):
                yield Course(places=np.stack((start, end)), owners=owners), (pens.CLASH,)


def names_on(scene: Scene, view: View, taken: Sequence[Box]) -> Names:
    """The names of the panels, beside the boxes that are taken already."""
    every, names = scene.names(), {}
    for number, facet in enumerate(view.facets):
        if view.covered[number]:
            continue
        name = every[facet.key]
        left, bottom, right, top = facet.box
        if facet.key in scene.given or fits(name, right - left, top - bottom):
            names[number] = name
    parts: list[Part] = []
    elsewhere = []
    for number, room in rooms_for(names, view, taken).items():
        if room.middle is not None:
            parts += _name(names[number], Point(*room.middle))
        elif room.spot is not None and view.facets[number].key in scene.given:
            elsewhere.append((names[number], Point(*room.spot)))
    return Names(parts=tuple(parts), elsewhere=tuple(elsewhere))


def _name(text: str, middle: Point) -> Iterator[Part]:
    """A name on plain paper, whatever hatching or leader runs there."""
    x, y = middle.floats()
    wide, tall = width_of(text, SIZE) / 2.0 + 0.4, SIZE / 2.0 + 0.5
    corners = ((-wide, -tall), (wide, -tall), (wide, tall), (-wide, tall))
    yield Area(paths=(polygon(*(Point(x + dx, y + dy) for dx, dy in corners)),), fill=pens.PAPER)
    yield Words(text=text, at=Point(x, y - SIZE * 0.35), size=SIZE, anchor=Anchor.MIDDLE)
