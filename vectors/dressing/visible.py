"""This module finds what a viewer sees of the panels of a card as it stands.

The viewer looks from his side, a little from above, from so far that all lines of sight
are parallel.  A panel is seen but for what other panels hide of it; one that is looked at
edge on is not seen.  Sizes are those on the panel itself, not as they look from there.
Paper is as thin as nothing: of two panels that a fold shuts on each other the one lies
nearer to the viewer that looks away from him with the face that is inside the fold, and
so with what is glued flat on a panel; others that lie on each other hide nothing of
each other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform

from ..design.pieces import Face, Sense
from ..folding import PanelKey
from ..folding.skeleton import first_panel, parts_of, skeleton_of
from ..geometry.areas import areas_of
from ..geometry.offset_check import flattened
from ..measures.exact import MEETS_MM, NODED_MM
from ..panels import Assembly
from ..proving.model import PoseProof
from .directions import LOOKS_DOWN_DEG, Seen, up_on

Floats = NDArray[np.float64]

# A panel that is looked at under a smaller angle than this, in degrees, is seen edge on.
EDGE_ON_DEG = 2.0

# A part of a panel that is narrower than this, in mm, is not seen.
_SLIVER_MM = 0.05

# Farther than any card is wide, in mm.
_FAR_MM = 1e5


@dataclass(frozen=True, slots=True, eq=False)
class VisiblePanel:
    """What is seen of a panel.

    `face` is the one that is seen, `shape` a shapely (multi)polygon on the flat panel, as seen
    from the front of the paper.  `up_deg` is up in the coordinates of the face.  `height_mm` is
    how far the shape reaches along it, `width_mm` how far across it.
    """

    panel: PanelKey
    face: Face
    shape: Any
    up_deg: float
    height_mm: float
    width_mm: float

    @property
    def up_on_front(self) -> float:
        """Up on the flat panel, in degrees, as it is seen from the front of the paper."""
        return self.up_deg if self.face is Face.FRONT else (180.0 - self.up_deg) % 360.0

    @property
    def area_mm2(self) -> float:
        """The area that is seen, in mm² on the panel."""
        return float(self.shape.area)


def visible_panels(assembly: Assembly, seen: Seen) -> tuple[VisiblePanel, ...]:
    """The panels of a card that are seen in a pose, in the order of pieces and panels.

    Pieces that nothing ties to the first one, or to what the pose lies on, are no part of it.
    """
    card = _card(assembly, seen.pose)
    views = {
        key: view
        for key, view in _views(assembly, seen.pose)
        if key in card and abs(view.normal_to_viewer) > math.sin(math.radians(EDGE_ON_DEG))
    }
    over = _shut_over(assembly, views)
    keys = list(views)
    tree = shapely.STRtree([views[key].shape for key in keys])
    found = []
    for key, view in views.items():
        left = view.shape
        for number in sorted(tree.query(view.shape, predicate="intersects").tolist()):
            other = keys[number]
            if other != key:
                hidden = _hidden(view, views[other], nearer=(other, key) in over)
                # On a grid, for edges of panels often all but lie on each other.
                left = areas_of(shapely.difference(left, hidden, grid_size=NODED_MM))
        # What is left along a fold is rounding.
        left = left.buffer(-_SLIVER_MM / 2.0).buffer(_SLIVER_MM / 2.0, join_style="mitre")
        left = areas_of(left.intersection(view.shape))
        if left.area <= MEETS_MM:
            continue
        face = Face.FRONT if view.normal_to_viewer > 0.0 else Face.BACK
        shape = view.on_paper(left)
        up = up_on(seen, key, face)
        height, width = _reach(shape, up if face is Face.FRONT else 180.0 - up)
        found.append(VisiblePanel(key, face, shape, up, height, width))
    return tuple(found)


def _card(assembly: Assembly, pose: PoseProof) -> frozenset[PanelKey]:
    first = pose.on[0] if pose.on else first_panel(assembly)
    parts = parts_of(skeleton_of(assembly))
    return next((frozenset(part) for part in parts if first in part), frozenset())


@dataclass(frozen=True, slots=True, eq=False)
class _View:
    """A panel in the picture: x to the right, y up, z towards the viewer, in mm.

    `matrix` maps a place on the flat panel, (x, y, 1), to its place in the picture; `depth`
    tells z at a place in the picture, (x, y, 1).
    """

    shape: Any
    matrix: Floats
    depth: Floats
    normal_to_viewer: float

    def on_paper(self, shape: Any) -> Any:
        """A shape in the picture as it lies on the flat panel."""
        back = np.linalg.inv(np.vstack((self.matrix[:2], (0.0, 0.0, 1.0))))
        (a, b, x), (d, e, y) = back[:2].tolist()
        return affine_transform(shape, (a, b, d, e, x, y))


def _views(assembly: Assembly, pose: PoseProof) -> Iterator[tuple[PanelKey, _View]]:
    camera = _camera(pose.view_deg)
    panels = {
        (name, panel.index): panel
        for name, division in assembly.divisions.items()
        for panel in division.panels
    }
    for key, panel in panels.items():
        motion = pose.placed.get(key)
        if motion is None:
            continue
        rows, shift = np.array(motion.rows), np.array(motion.shift)
        matrix = np.column_stack(((camera @ rows)[:, :2], camera @ shift))
        # The normal of the front, as it looks towards the viewer.
        towards = float((camera @ rows)[2, 2])
        if abs(towards) < MEETS_MM:
            continue
        flat = shapely.Polygon(
            flattened(panel.ring, MEETS_MM), [flattened(hole, MEETS_MM) for hole in panel.holes]
        )
        (a, b, x), (d, e, y), _ = matrix.tolist()
        shape = affine_transform(flat, (a, b, d, e, x, y))
        back = np.linalg.inv(np.vstack((matrix[:2], (0.0, 0.0, 1.0))))
        yield key, _View(shape, matrix, matrix[2] @ back, towards)


def _camera(view_deg: float) -> Floats:
    """Rows: to the right, up in the picture, and towards the viewer."""
    side, down = math.radians(view_deg), math.radians(LOOKS_DOWN_DEG)
    x, y = math.cos(side), math.sin(side)
    return np.array(
        [
            [-y, x, 0.0],
            [-math.sin(down) * x, -math.sin(down) * y, math.cos(down)],
            [math.cos(down) * x, math.cos(down) * y, math.sin(down)],
        ]
    )


def _hidden(view: _View, other: _View, *, nearer: bool) -> Any:
    """The part of the picture in which another panel lies in front of this one."""
    both = areas_of(shapely.intersection(view.shape, other.shape, grid_size=NODED_MM))
    if both.area <= MEETS_MM:
        return shapely.Polygon()
    a, b, c = (other.depth - view.depth).tolist()
    corners = shapely.get_coordinates(both)
    ahead = corners @ np.array([a, b]) + c
    # Of what lies on each other, one lies above it by a fold, or neither.
    if ahead.max() <= MEETS_MM:
        return both if nearer and ahead.min() >= -MEETS_MM else shapely.Polygon()
    if ahead.min() >= -MEETS_MM:
        return both
    # The line in which they are as near, and the half plane beyond it.
    length = math.hypot(a, b)
    x, y = -a * c / length**2, -b * c / length**2
    along, off = (-b / length * _FAR_MM, a / length * _FAR_MM), (a / length, b / length)
    half = shapely.Polygon(
        [
            (x + along[0], y + along[1]),
            (x - along[0], y - along[1]),
            (x - along[0] + off[0] * _FAR_MM, y - along[1] + off[1] * _FAR_MM),
            (x + along[0] + off[0] * _FAR_MM, y + along[1] + off[1] * _FAR_MM),
        ]
    )
    return areas_of(both.intersection(half))


def _shut_over(
    assembly: Assembly, views: Mapping[PanelKey, _View]
) -> frozenset[tuple[PanelKey, PanelKey]]:
    """Pairs of panels, the first of which lies nearer to the viewer where both lie on each other.

    A fold shuts the one on the other, or a joint holds them together.
    """
    pairs = set()
    for joint in assembly.joints:
        for one, own, other in (
            (joint.glued, joint.joint.glue.face, joint.to),
            (joint.to, joint.joint.to.face, joint.glued),
        ):
            if one in views and (own is Face.FRONT) != (views[one].normal_to_viewer > 0.0):
                pairs.add((one, other))
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            sides = (name, hinge.left), (name, hinge.right)
            if not all(side in views for side in sides):
                continue
            for one, other in (sides, sides[::-1]):
                # Within a valley the fronts look at each other.
                front_to_viewer = views[one].normal_to_viewer > 0.0
                if front_to_viewer != (hinge.sense is Sense.VALLEY):
                    pairs.add((one, other))
    return frozenset(pairs)


def _reach(shape: Any, up_deg: float) -> tuple[float, float]:
    """How far a shape reaches along a direction, and across it."""
    angle = math.radians(up_deg)
    places = shapely.get_coordinates(shape)
    along = places @ np.array([math.cos(angle), math.sin(angle)])
    across = places @ np.array([-math.sin(angle), math.cos(angle)])
    return float(np.ptp(along)), float(np.ptp(across))
