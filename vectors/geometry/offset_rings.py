"""This module moves a closed path and follows it through whatever it loses on the way.

The analytic offset does for most paths.  Where it tells a loss the path is offset
by trimming, and what comes of that is proved; where it does not prove, the flattened
area is fitted with lines and arcs; where that cannot be trusted either, the losses
stand and there is no path.
"""

from __future__ import annotations

from ..measures.exact import AREAS_MM
from .offset import Loss, Lost, offset
from .offset_check import verify
from .offset_outcomes import Change, Rings
from .offset_sides import turns_once
from .paths import Path


def offset_rings(path: Path, by: float) -> Rings:
    """The closed `path` moved by `by` mm, outwards where positive, whatever becomes of it.

    Raises ValueError for an open path.
    """
    moved = offset(path, by)
    losses = verify(path, moved, by)
    if not losses and moved.path is not None:
        return Rings(paths=(moved.path,), rounded=moved.rounded)
    if any(lost.loss is Loss.TANGLED for lost in losses) or not turns_once(path):
        return Rings(paths=(), losses=losses)
    return _followed(path, by, losses)


def _followed(path: Path, by: float, losses: tuple[Lost, ...]) -> Rings:
    # Only here, for few paths: shapely takes a while to import.
    from .offset_changes import changes
    from .offset_proof import area_of_parts, proved, tangled
    from .offset_refit import refit
    from .offset_trim import trimmed

    crossed = tangled(path)
    if crossed is not None:
        return Rings(paths=(), losses=(Lost(Loss.TANGLED, crossed),))
    found = trimmed(path, by)
    expected = area_of_parts(path, found.raw, found.pieces, by)
    changed = () if found.rings is None else changes(path, found, expected, by)
    # What is wider than the tool was closed by mitres that ran into each other.
    wide = 2.0 * abs(by) + AREAS_MM
    if any(told.change is not Change.CORNER and told.size > wide for told in changed):
        found = trimmed(path, by, wary=True)
        expected = area_of_parts(path, found.raw, found.pieces, by)
        changed = () if found.rings is None else changes(path, found, expected, by)
    rings = tuple(ring.path for ring in found.rings or ())
    if found.rings is not None and proved(path, rings, expected, found.pieces, by):
        return Rings(paths=rings, rounded=found.rounded, changed=changed)
    rings = tuple(refit(expected, AREAS_MM / 2.0))
    if path.area < 0.0:
        rings = tuple(ring.reversed for ring in rings)
    if not proved(path, rings, expected, found.pieces, by):
        return Rings(paths=(), losses=losses)
    return Rings(paths=rings, losses=losses, refitted=True)
