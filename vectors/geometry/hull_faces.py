"""This module finds the faces of the convex hull of places in space.

Gift wrapping (Chand and Kapur 1970): from a face over each of its edges to the next
one, where the plane turned about the edge first meets a place.  All places within
a tolerance of a plane belong to its face, so that faces of many corners come out
whole and no face is split by rounding.  The work is that of the places times the
edges of the hull, which is a small body for folded paper, however many panels it has.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ..measures.exact import MEETS_MM
from .hull import convex_hull

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]

# Planes whose normals differ by less than this, in radians, and that hold the same corners
# within the tolerance, are one.
_SAME_NORMAL = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class HullFace:
    """A face: its unit `normal` [3] points out of the hull, its `corners` run round it.

    The corners are numbers of the given places, anticlockwise as seen from outside.
    """

    normal: Floats
    corners: tuple[int, ...]


def hull_faces(places: Floats, within: float = MEETS_MM) -> tuple[HullFace, ...]:
    """The faces of the convex hull of `places` [n, 3], each once, in mm.

    Places within `within` mm of the plane of a face lie in it.  Places that all lie in one
    plane have two faces, one on each side; places on one line have none.
    """
    kept, numbers = _apart(places)
    if len(kept) < 3:
        return ()
    middle = kept.mean(axis=0)
    _, _, axes = np.linalg.svd(kept - middle, full_matrices=False)
    off = (kept - middle) @ axes.T
    if np.abs(off[:, 1]).max() <= within:
        return ()
    if np.abs(off[:, 2]).max() <= within:
        every = np.arange(len(kept))
        found = [_face(kept, every, normal) for normal in (axes[2], -axes[2])]
    else:
        found = list(_wrapped(kept, off, axes, within))
    return tuple(
        HullFace(face.normal, tuple(int(numbers[corner]) for corner in face.corners))
        for face in found
    )


def _apart(places: Floats) -> tuple[Floats, Ints]:
    """The places without those that others are at already, and their numbers."""
    _, first = np.unique(np.round(places, 9), axis=0, return_index=True)
    first = np.sort(first)
    return places[first], first


def _wrapped(places: Floats, off: Floats, axes: Floats, within: float) -> Iterator[HullFace]:
    """The faces of a hull that has an inside."""
    found: list[HullFace] = []
    done: set[tuple[int, int]] = set()
    waiting: deque[tuple[int, int, Floats]] = deque()

    def take(normal: Floats, inside: Ints) -> Iterator[HullFace]:
        face = _face(places, inside, normal)
        if len(face.corners) < 3 or _is_there(face, found, places, within):
            return
        found.append(face)
        for a, b in _edges(face):
            done.add((a, b))
            waiting.append((a, b, face.normal))
        yield face

    # Seen along the axis across which the places spread least, an edge of their outline is
    # one of the hull, and the plane through it along the view supports them all.
    outline = _corners_in(places, off[:, 0], off[:, 1])
    a, b = outline[0], outline[1]
    along = places[b] - places[a]
    side = np.cross(along, axes[2])
    side /= np.linalg.norm(side)
    if ((places - places[a]) @ side).max() > within:
        side = -side
    in_plane = np.flatnonzero(np.abs((places - places[a]) @ side) <= within)
    yield from take(side, in_plane)
    if not found:
        waiting += [(a, b, side), (b, a, side)]
    while waiting:
        a, b, normal = waiting.popleft()
        if (b, a) in done:
            continue
        # The face beyond runs along the edge the other way.
        done.add((b, a))
        turned = _turned(places, a, b, normal, within)
        if turned is not None:
            yield from take(*turned)


def _turned(
    places: Floats, a: int, b: int, normal: Floats, within: float
) -> tuple[Floats, Ints] | None:
    """The plane of the face beyond the edge from a to b, and the places in it."""
    along = places[b] - places[a]
    along /= np.linalg.norm(along)
    out = np.cross(along, normal)
    out /= np.linalg.norm(out)
    rest = places - places[a]
    ahead, below = rest @ out, -(rest @ normal)
    far = np.hypot(ahead, below)
    candidates = np.flatnonzero(far > within)
    if not candidates.size:
        return None
    angle = np.arctan2(np.maximum(below[candidates], 0.0), ahead[candidates])
    # What the tolerance leaves open is settled by the place that lies farthest from the edge.
    slack = within / far[candidates]
    first = (angle + slack).min()
    level = candidates[angle - slack <= first]
    chosen = level[np.argmax(far[level])]
    turn = np.arctan2(below[chosen], ahead[chosen])
    turned = np.cos(turn) * normal + np.sin(turn) * out
    # Places that stand out of this plane are nearer ones whose angle was less by more
    # than their own tolerance.
    above = rest @ turned
    if above.max() > within:
        chosen = candidates[np.argmin(angle)]
        turn = np.arctan2(below[chosen], ahead[chosen])
        turned = np.cos(turn) * normal + np.sin(turn) * out
        above = rest @ turned
    return turned, np.flatnonzero(np.abs(above) <= within)


def _face(places: Floats, inside: Ints, normal: Floats) -> HullFace:
    """The face of the places `inside` a plane."""
    flat = places[inside]
    helper = np.eye(3)[np.argmin(np.abs(normal))]
    x = np.cross(helper, normal)
    x /= np.linalg.norm(x)
    y = np.cross(normal, x)
    corners = _corners_in(flat, flat @ x, flat @ y)
    return HullFace(normal, tuple(int(inside[corner]) for corner in corners))


def _corners_in(places: Floats, x: Floats, y: Floats) -> list[int]:
    """The numbers of the corners of a plane hull, anticlockwise."""
    number = {pair: i for i, pair in enumerate(zip(x.tolist(), y.tolist(), strict=True))}
    return [number[corner] for corner in convex_hull(number)]


def _edges(face: HullFace) -> Iterator[tuple[int, int]]:
    yield from zip(face.corners, (*face.corners[1:], face.corners[0]), strict=True)


def _is_there(face: HullFace, found: list[HullFace], places: Floats, within: float) -> bool:
    """Whether a face was found before, over another of its edges."""
    if not found:
        return False
    normals = np.array([other.normal for other in found])
    for i in np.flatnonzero(normals @ face.normal > 1.0 - _SAME_NORMAL):
        other = found[int(i)]
        off = (places[list(face.corners)] - places[other.corners[0]]) @ other.normal
        if np.abs(off).max() <= 2.0 * within:
            return True
    return False
