"""This module moves a closed path by an ellipse and follows it through whatever it loses.

Where the exact way tells a loss, the plane is drawn so that the ellipse is round, a finely
flattened copy is buffered there by shapely, and lines and arcs are fitted to its edge.
"""

from __future__ import annotations

from ..measures.exact import ACROSS_MM, AREAS_MM
from .offset import Loss, Lost
from .offset_across import offset_across
from .offset_across_check import verify_across
from .offset_outcomes import Change, Changed, Rings
from .offset_sides import turns_once
from .paths import Path

# Chords to the quarter turn of shapely's arcs.
_QUARTER = 64


def rings_across(path: Path, by_x: float, by_y: float) -> Rings:
    """The closed `path` moved by an ellipse of half-axes `by_x` and `by_y`, in mm.

    Outwards where both are positive, inwards where both are negative.  Raises ValueError
    for an open path and for half-axes of unlike signs.
    """
    moved = offset_across(path, by_x, by_y)
    losses = verify_across(path, moved, by_x, by_y)
    if not losses and moved.path is not None:
        return Rings(paths=(moved.path,), rounded=moved.rounded)
    if any(lost.loss is Loss.TANGLED for lost in losses) or not turns_once(path):
        return Rings(paths=(), losses=losses)
    return _followed(path, by_x, by_y, losses)


def _followed(path: Path, by_x: float, by_y: float, losses: tuple[Lost, ...]) -> Rings:
    # Only here, for few paths: shapely takes a while to import.
    import shapely
    from shapely import affinity

    from .offset_changes import widest
    from .offset_check import flattened
    from .offset_proof import tangled
    from .offset_refit import refit

    crossed = tangled(path)
    if crossed is not None:
        return Rings(paths=(), losses=(Lost(Loss.TANGLED, crossed),))
    whole = shapely.Polygon(flattened(path))
    along_x, along_y = max(abs(by_x), ACROSS_MM), max(abs(by_y), ACROSS_MM)
    # In a plane where the ellipse is a circle of its larger half-axis.
    by = max(along_x, along_y)
    round_ = affinity.scale(whole, by / along_x, by / along_y, origin=(0.0, 0.0))
    moved = round_.buffer(by if by_x + by_y > 0.0 else -by, quad_segs=_QUARTER)
    area = affinity.scale(moved, along_x / by, along_y / by, origin=(0.0, 0.0))
    if area.is_empty:
        at, width = widest(whole)
        return Rings(paths=(), changed=(Changed(Change.VANISHED, at, width),))
    rings = tuple(refit(area, AREAS_MM / 2.0))
    if path.area < 0.0:
        rings = tuple(ring.reversed for ring in rings)
    return Rings(paths=rings, losses=losses, refitted=True)
