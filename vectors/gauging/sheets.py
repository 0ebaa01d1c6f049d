"""This module lays gauges on sheets: in rows from the top, a new sheet where one is full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..compiling.order import nearest_next
from ..drawing import Drawing, Layer, Role, Stroke, Work
from ..geometry import Vector
from .model import Gauge, LeftOut, Setting, Sheet

# Half an A4 sheet, lying: A5 (ISO 216).
A5_MM = (210.0, 148.0)
# Clear of the edges of the sheet, and from gauge to gauge, in mm.
MARGIN_MM = 6.0
BETWEEN_MM = 8.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Page:
    """The paper that gauges are laid on, in mm, and how far they keep from each of its edges."""

    width: float = A5_MM[0]
    height: float = A5_MM[1]
    left: float = MARGIN_MM
    right: float = MARGIN_MM
    bottom: float = MARGIN_MM
    top: float = MARGIN_MM

    @property
    def room(self) -> tuple[float, float]:
        """The width and height that are left for gauges."""
        return self.width - self.left - self.right, self.height - self.bottom - self.top


@dataclass(frozen=True, kw_only=True, slots=True)
class Laid:
    """What became of the gauges: a drawing a sheet, those that lie on one, those left out."""

    drawings: tuple[Drawing, ...]
    gauges: tuple[Gauge, ...]
    left_out: tuple[LeftOut, ...]


def lay(found: Sequence[Gauge | LeftOut], setting: Setting, page: Page) -> Laid:
    """Sheets by subject; a gauge that is larger than the page is left out, and it is said why."""
    wide, tall = page.room
    left_out = [one for one in found if isinstance(one, LeftOut)]
    gauges = []
    for one in found:
        if isinstance(one, Gauge):
            if one.width <= wide and one.height <= tall:
                gauges.append(one)
            else:
                left_out.append(_too_large(one, wide, tall))
    drawings: list[Drawing] = []
    for sheet in Sheet:
        pages = _pages([one for one in gauges if one.sheet is sheet], page)
        for number, strokes in enumerate(pages, 1):
            name = str(sheet) if number == 1 else f"{sheet} {number}"
            drawings.append(_drawing(name, strokes, setting, page))
    return Laid(drawings=tuple(drawings), gauges=tuple(gauges), left_out=tuple(left_out))


def _too_large(gauge: Gauge, wide: float, tall: float) -> LeftOut:
    return LeftOut(
        section=gauge.section,
        name=gauge.name,
        reason=f"it is {gauge.width:.4g} by {gauge.height:.4g} mm, and the sheet has room for "
        f"{wide:.4g} by {tall:.4g} mm",
    )


def _pages(gauges: Sequence[Gauge], page: Page) -> list[list[Stroke]]:
    """The strokes of each page: gauge beside gauge as long as there is room, then a row below."""
    pages: list[list[Stroke]] = []
    right_end, bottom_end = page.width - page.right, page.bottom
    x = row_top = row_bottom = 0.0
    for gauge in gauges:
        if pages and x + gauge.width <= right_end and row_top - gauge.height >= bottom_end:
            top = row_top
        else:
            top = row_bottom - BETWEEN_MM
            if not pages or top - gauge.height < bottom_end:
                pages.append([])
                top = page.height - page.top
            x, row_top, row_bottom = page.left, top, top
        by = Vector(x, top - gauge.height)
        pages[-1] += [replace(one, path=one.path.moved(by)) for one in gauge.strokes]
        x += gauge.width + BETWEEN_MM
        row_bottom = min(row_bottom, top - gauge.height)
    return pages


def _drawing(name: str, strokes: Sequence[Stroke], setting: Setting, page: Page) -> Drawing:
    profile, tool = setting.profile, setting.tool
    return Drawing(
        piece=name,
        title=f"gauges for {profile.name}, {tool}: {name}",
        width=page.width,
        height=page.height,
        strokes=tuple(replace(one, piece=name) for one in _in_order(strokes)),
        cautions=setting.cautions,
    )


def _in_order(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Marks, scores, then cuts from the inside outwards, each time the nearest next."""
    groups: dict[tuple[int, bool, int], list[Stroke]] = {}
    for one in strokes:
        solid = one.work is not Work.PERFORATED
        key = (list(Layer).index(one.layer), solid, int(one.role is Role.OUTLINE))
        groups.setdefault(key, []).append(one)
    found: list[Stroke] = []
    here = (0.0, 0.0)
    for key in sorted(groups):
        found += nearest_next(groups[key], here)
        here = found[-1].path.end.floats()
    return found
