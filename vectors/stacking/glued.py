"""This module lists what is glued on panels: the shape of each mat and extra, and its height."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from ..design.pieces import Extra, Face, Mat
from ..folding import PanelKey
from ..geometry.offset_check import flattened
from ..measures.exact import MEETS_MM
from ..panels import Assembly
from .calipers import caliper_of
from .mats import MatShape, panel_keys


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Glued:
    """A mat or an extra on one panel.

    `shape` is what it covers of the flat paper, a shapely (multi)polygon; a point where an
    extra has no size, None where it has no place.  `mm` is how high it stands up from
    its face, None where that is not known.
    """

    part: Mat | Extra
    panel: PanelKey
    face: Face
    shape: Any
    mm: float | None


def glued_on(
    assembly: Assembly,
    mats: Sequence[MatShape],
    extras: Sequence[Extra],
    calipers: Mapping[str, float],
) -> tuple[Glued, ...]:
    """All that is glued on the panels of a design, mats first; calipers in mm by stock.

    Mats of which nothing is left, and extras on panels that are not there, are left out.
    """
    return (*_mats(mats, calipers), *_extras(extras, assembly))


def _mats(mats: Sequence[MatShape], calipers: Mapping[str, float]) -> Iterator[Glued]:
    for one in mats:
        if one.outlines:
            solid = shapely.union_all([_polygon(path) for path in one.outlines])
            holes = shapely.union_all([_polygon(path) for path in one.openings])
            yield Glued(
                part=one.mat,
                panel=one.panel,
                face=one.mat.face,
                shape=shapely.difference(solid, holes),
                mm=caliper_of(one.mat.stock, calipers),
            )


def _polygon(path: Any) -> Any:
    return shapely.Polygon(flattened(path, MEETS_MM))


def _extras(extras: Sequence[Extra], assembly: Assembly) -> Iterator[Glued]:
    keys = panel_keys(assembly)
    for extra in extras:
        key = keys.get((extra.piece, extra.panel))
        if key is not None:
            yield Glued(
                part=extra,
                panel=key,
                face=Face.FRONT,
                shape=_extra_shape(extra),
                mm=None if extra.height is None else float(extra.height),
            )


def _extra_shape(extra: Extra) -> Any:
    """A disc where one length is given, a rectangle along the axes where two are."""
    if extra.at is None:
        return None
    (x, y), size = extra.at.floats(), [float(length) for length in extra.size]
    if not size:
        return shapely.Point(x, y)
    if len(size) == 1:
        radius = size[0] / 2.0
        # A chord of sweep a rises r (1 - cos(a / 2)) over its circle.
        sweep = 2.0 * math.acos(max(0.0, 1.0 - MEETS_MM / radius))
        return shapely.Point(x, y).buffer(
            radius, quad_segs=max(4, math.ceil(math.pi / 2.0 / sweep))
        )
    width, height = size[0] / 2.0, size[1] / 2.0
    return shapely.box(x - width, y - height, x + width, y + height)
