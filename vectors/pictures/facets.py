"""This module makes facets of panels: flat polygons in space, as a camera sees them.

Arcs are drawn by chords that nobody can tell from them on the page.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..design.pieces import Face
from ..folding import PanelKey
from ..folding.motion import Motion
from ..geometry import Path, Segment
from ..panels import Panel
from .camera import Camera, Floats

# The largest rise of an arc over its chord, in mm of the paper: finer than a pen
# as long as the picture is not many times as large as the card.
_RISE_MM = 0.02

# A plane that the eye sees at a smaller slant than this sine is seen edge on: on
# the page it is thinner than any pen.
_EDGE_ON = 1e-4


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Facet:
    """A panel in space: its rings, the outer one first, on flat paper, in space, on the page.

    `normal` is the direction that its front faces and `offset` the plane's distance
    from the origin along it.  `face` is the face that is seen, None where the
    panel is seen edge on.
    """

    key: PanelKey
    flat: tuple[Floats, ...]
    space: tuple[Floats, ...]
    page: tuple[Floats, ...]
    normal: Floats
    offset: float
    motion: Motion
    face: Face | None

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top on the page."""
        (left, bottom), (right, top) = self.page[0].min(axis=0), self.page[0].max(axis=0)
        return float(left), float(bottom), float(right), float(top)


def facets_of(
    panels: Mapping[PanelKey, Panel], placed: Mapping[PanelKey, Motion], camera: Camera
) -> tuple[Facet, ...]:
    """The facets of all panels that are placed, in the order of the panels."""
    return tuple(
        facet_of(key, (panel.ring, *panel.holes), placed[key], camera)
        for key, panel in panels.items()
        if key in placed
    )


def facet_of(key: PanelKey, rings: Sequence[Path], motion: Motion, camera: Camera) -> Facet:
    """The facet of rings on flat paper, the outer one first, that a motion brings into space."""
    flat = tuple(by_chords(path) for path in rings)
    space = tuple(in_space(ring, motion) for ring in flat)
    normal = np.array([row[2] for row in motion.rows])
    offset = float((normal * np.array(motion.shift)).sum())
    return Facet(
        key=key,
        flat=flat,
        space=space,
        page=tuple(camera.page(ring)[0] for ring in space),
        normal=normal,
        offset=offset,
        motion=motion,
        face=_face(normal, offset, space[0], camera),
    )


def _face(normal: Floats, offset: float, ring: Floats, camera: Camera) -> Face | None:
    eye = np.array(camera.eye)
    above = float((normal * eye).sum()) - offset
    away = float(np.sqrt(((ring.mean(axis=0) - eye) ** 2).sum()))
    if abs(above) < _EDGE_ON * away:
        return None
    return Face.FRONT if above > 0.0 else Face.BACK


def in_space(places: Floats, motion: Motion) -> Floats:
    """Where places of the flat paper [n, 2] are in space [n, 3]."""
    x, y = places[:, 0], places[:, 1]
    return np.stack(
        [
            row[0] * x + row[1] * y + shift
            for row, shift in zip(motion.rows, motion.shift, strict=True)
        ],
        axis=1,
    )


def places_of(panels: Mapping[PanelKey, Panel], placed: Mapping[PanelKey, Motion]) -> Floats:
    """All corners of all placed panels in space, [n, 3].  Raises ValueError for none."""
    return np.concatenate(
        [
            in_space(by_chords(panel.ring), placed[key])
            for key, panel in panels.items()
            if key in placed
        ]
    )


def by_chords(path: Path) -> Floats:
    """The places that a path runs through by chords, [n, 2]; a closed one ends before its start."""
    places = [at for segment in path.segments for at in chords_of(segment)]
    if not path.closed:
        places.append(path.end.floats())
    return np.array(places)


def chords_of(segment: Segment) -> Iterator[tuple[float, float]]:
    """The places where the chords of a segment start, in order."""
    yield segment.start.floats()
    count = _chord_count(segment)
    for i in range(1, count):
        yield segment.at(i / count).floats()


def _chord_count(segment: Segment) -> int:
    if segment.is_line:
        return 1
    # The rise of an arc of sweep s over its chord is r (1 - cos(s / 2)).
    share = min(_RISE_MM / segment.radius, 1.0)
    return max(1, math.ceil(abs(segment.sweep) / (2.0 * math.acos(1.0 - share)) - 1e-9))
