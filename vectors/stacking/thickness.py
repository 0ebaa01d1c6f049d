"""This module finds how thick the closed card is at each place of it.

Paper that lies on itself is as thick as its plies together: their number times the
caliper (the thickness of a single sheet, ISO 534).  Mats and extras count where they
lie.  The spring of folds is not reckoned: a card that is pressed has none.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from ..design.pieces import Extra, Mat
from ..folding import PanelKey
from ..geometry import Point
from ..measures.exact import MEETS_MM, NODED_MM, SLIVER_MM
from ..panels import Assembly
from .calipers import caliper_of
from .cover import Cover
from .glued import Glued
from .laid import laid, lifted_place


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ThickCell:
    """A region of the closed card that is equally thick all over, or a single place of it.

    `polygon` is a shapely polygon or a point.  `panels` are the plies that lie there, in the
    order of the design, none where an extra reaches past the paper; `glued` is what is
    glued on them there.  `known_mm` is the thickness of what is known, `whole` whether
    that is all.
    """

    polygon: Any
    panels: tuple[PanelKey, ...]
    glued: tuple[Glued, ...]
    known_mm: float
    whole: bool

    @property
    def plies(self) -> int:
        """How many plies of paper lie there, mats not counted."""
        return len(self.panels)

    @property
    def mm(self) -> float | None:
        """The thickness in mm, None where a part of it is not known."""
        return self.known_mm if self.whole else None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ThickPlace:
    """A place of the closed card: `at` of it, `on_panel` of the flat paper of `panel`.

    `plies` and `glued` lie there, `known_mm` thick as far as that is known.
    """

    at: Point
    panel: PanelKey
    on_panel: Point
    plies: tuple[PanelKey, ...]
    glued: tuple[Glued, ...]
    known_mm: float


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ThicknessMap:
    """The closed card by its thickness: cells, the thickest place, and what is not known.

    `thickest` is the place where most is known to lie, None for a card without panels.
    `points` are single places: the middles of extras without a size, which count there
    only.  `stocks` have no caliper and would have to (None is paper without a
    stock), `sizeless` are extras without a size, `heights` those without a height, `loose` those
    without a place.
    """

    cells: tuple[ThickCell, ...]
    thickest: ThickPlace | None
    points: tuple[ThickCell, ...] = ()
    stocks: tuple[str | None, ...] = ()
    sizeless: tuple[Extra, ...] = ()
    heights: tuple[Extra, ...] = ()
    loose: tuple[Extra, ...] = ()

    @property
    def known(self) -> bool:
        """Whether everything that adds to the thickness is known."""
        return not (self.stocks or self.heights or self.loose)

    @property
    def mm(self) -> float | None:
        """The thickness of the closed card in mm, None where something of it is not known."""
        return self.thickest.known_mm if self.known and self.thickest is not None else None

    @property
    def most_plies(self) -> int:
        """The largest number of plies at one place."""
        return max((cell.plies for cell in self.cells), default=0)


def thickness_of(
    assembly: Assembly,
    cover: Cover,
    calipers: Mapping[str, float],
    glued: Sequence[Glued] = (),
) -> ThicknessMap:
    """How thick the closed card is everywhere; calipers in mm by stock, those not known left out.

    `glued` are the mats and extras on its panels; what is on panels that are not part of
    the closed card does not count.  What lies between two panels counts once, whichever of them
    it is glued on.
    """
    here = [one for one in glued if one.panel in cover.footprints]
    paper = {key: caliper_of(stock_of(assembly, key), calipers) for key in cover.footprints}
    cells = tuple(
        _cell(polygon, panels, parts, paper) for polygon, panels, parts in _regions(cover, here)
    )
    points = tuple(_points(cover, cells, here))
    extras = [(one.part, one) for one in here if isinstance(one.part, Extra)]
    return ThicknessMap(
        cells=cells,
        thickest=_thickest(cover, (*cells, *points)),
        points=points,
        stocks=tuple(dict.fromkeys(_unknown(assembly, paper, here))),
        sizeless=tuple(extra for extra, one in extras if isinstance(one.shape, shapely.Point)),
        heights=tuple(extra for extra, one in extras if one.mm is None),
        loose=tuple(extra for extra, one in extras if one.shape is None and one.mm),
    )


def stock_of(assembly: Assembly, key: PanelKey) -> str | None:
    """The name of the stock that a panel is cut from."""
    return assembly.divisions[key[0]].piece.stock


def _unknown(
    assembly: Assembly, paper: Mapping[PanelKey, float | None], glued: Iterable[Glued]
) -> Iterable[str | None]:
    yield from (stock_of(assembly, key) for key, caliper in paper.items() if caliper is None)
    yield from (one.part.stock for one in glued if isinstance(one.part, Mat) and one.mm is None)


def _cell(
    polygon: Any,
    panels: tuple[PanelKey, ...],
    glued: tuple[Glued, ...],
    paper: Mapping[PanelKey, float | None],
) -> ThickCell:
    heights = [*(paper[key] for key in panels), *(one.mm for one in glued)]
    return ThickCell(
        polygon=polygon,
        panels=panels,
        glued=glued,
        known_mm=math.fsum(height for height in heights if height is not None),
        whole=None not in heights,
    )


def _regions(
    cover: Cover, glued: Sequence[Glued]
) -> Iterable[tuple[Any, tuple[PanelKey, ...], tuple[Glued, ...]]]:
    """The cells of the cover, parted further along the rims of all that is glued on."""
    wide = [one for one in glued if one.shape is not None and one.shape.area > 0.0]
    if not wide:
        yield from ((cell.polygon, cell.panels, ()) for cell in cover.cells)
        return
    shapes = [laid(one.shape, cover.footprints[one.panel].placed) for one in wide]
    lines = [*shapely.linestrings(cover.edges), *shapely.boundary(shapes)]
    regions = shapely.get_parts(
        shapely.polygonize(shapely.get_parts(shapely.union_all(lines, grid_size=NODED_MM)))
    )
    # Twice the area over the length of the rim is the width of a strip.
    regions = regions[2.0 * shapely.area(regions) > SLIVER_MM * shapely.length(regions)]
    inside = shapely.point_on_surface(regions)
    keys = tuple(cover.footprints)
    plies = _within(inside, [cover.footprints[key].polygon for key in keys])
    parts = _within(inside, shapes)
    for region, on, under in zip(regions.tolist(), plies, parts, strict=True):
        if on or under:
            yield region, tuple(keys[one] for one in on), tuple(wide[one] for one in under)


def _within(places: Any, shapes: Sequence[Any]) -> list[list[int]]:
    """For each place the numbers of the shapes that it lies in."""
    found: list[list[int]] = [[] for _ in places]
    for place, shape in shapely.STRtree(shapes).query(places, predicate="within").T.tolist():
        found[place].append(shape)
    return [sorted(numbers) for numbers in found]


def _points(
    cover: Cover, cells: Sequence[ThickCell], glued: Sequence[Glued]
) -> Iterable[ThickCell]:
    """The middles of extras without a size, with all that lies there."""
    bare = [one for one in glued if isinstance(one.shape, shapely.Point)]
    if not bare:
        return
    spots = [laid(one.shape, cover.footprints[one.panel].placed) for one in bare]
    tree = shapely.STRtree([cell.polygon for cell in cells])
    for one, spot in zip(bare, spots, strict=True):
        near = tree.query(spot, predicate="dwithin", distance=MEETS_MM).tolist()
        under = max((cells[number] for number in near), key=_rank, default=None)
        # One without a size lies on every other one that it touches.
        beside = shapely.distance(spot, spots) <= MEETS_MM
        heights = [other.mm for other, touches in zip(bare, beside, strict=True) if touches]
        known = math.fsum(height for height in heights if height is not None)
        on = (other for other, touches in zip(bare, beside, strict=True) if touches)
        yield ThickCell(
            polygon=spot,
            panels=(one.panel,) if under is None else under.panels,
            glued=(*(() if under is None else under.glued), *on),
            known_mm=known + (0.0 if under is None else under.known_mm),
            whole=None not in heights and (under is None or under.whole),
        )


def _thickest(cover: Cover, cells: Sequence[ThickCell]) -> ThickPlace | None:
    """The thickest place: the largest cell of those that are equally thick, the lowest of those."""
    best = max(cells, key=_rank, default=None)
    if best is None:
        return None
    at = _middle(best.polygon)
    panel = best.panels[0] if best.panels else best.glued[0].panel
    return ThickPlace(
        at=at,
        panel=panel,
        on_panel=lifted_place(at, cover.footprints[panel].placed),
        plies=best.panels,
        glued=best.glued,
        known_mm=best.known_mm,
    )


def _rank(cell: ThickCell) -> tuple[float, float, float, float]:
    # Sums that differ by rounding are equal, or chance would choose the place.
    x, y, _, _ = cell.polygon.bounds
    return round(cell.known_mm, 9), round(cell.polygon.area, 3), -round(y, 3), -round(x, 3)


def _middle(shape: Any) -> Point:
    inside = shape.centroid
    if shape.area > 0.0 and not shape.contains(inside):
        inside = shapely.point_on_surface(shape)
    return Point(float(inside.x), float(inside.y))
