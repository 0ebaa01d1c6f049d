"""This module knows the sizes of sheets and of envelopes by their names, from the file of sizes."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType

_MM = MappingProxyType({"mm": Fraction(1), "in": Fraction(254, 10)})


@dataclass(frozen=True, kw_only=True, slots=True)
class Size:
    """A size with a name, its short side first, in mm and exact.

    `series` is whose name it is: ISO A6 is a sheet, A6 of the announcement series an envelope.
    `basis` says how the size is known.  `enclosure` is the largest card that the trade puts into
    the envelope, None where no list says it.  `stock` says that paper for cards is sold so.
    """

    name: str
    series: str
    short_mm: Fraction
    long_mm: Fraction
    source: str
    basis: str
    enclosure: tuple[Fraction, Fraction] | None = None
    stock: bool = False

    @property
    def area_mm2(self) -> Fraction:
        """Its area."""
        return self.short_mm * self.long_mm

    def takes(self, width_mm: float, height_mm: float, slack_mm: float = 0.0) -> bool:
        """Whether a rectangle lies on it or in it, in either of the two ways round."""
        short, long = sorted((width_mm, height_mm))
        return short <= self.short_mm + slack_mm and long <= self.long_mm + slack_mm


@cache
def sheets() -> Mapping[str, Size]:
    """The sheets by name, in the order of the file."""
    return _by_name("sheets")


@cache
def envelopes() -> Mapping[str, Size]:
    """The envelopes by name, in the order of the file."""
    return _by_name("envelopes")


def smallest(sizes: Mapping[str, Size], width_mm: float, height_mm: float) -> Size | None:
    """The smallest of some sizes that takes a rectangle, the first of equals; None if none."""
    fits = (size for size in sizes.values() if size.takes(width_mm, height_mm))
    return min(fits, key=lambda size: size.area_mm2, default=None)


def sold_sheet(width_mm: float, height_mm: float, *, inches: bool) -> Size | None:
    """The smallest sheet that paper for cards is sold in, and that takes a rectangle.

    Whoever works in mm buys ISO sheets, whoever works in inches US ones, and both the sheets
    of card stock: those come first, and others only where none of them will do.
    """
    known = stock_sheets()
    home = {
        name: size
        for name, size in known.items()
        if size.series == _CARD_STOCK or size.series.startswith("US" if inches else "ISO")
    }
    return smallest(home, width_mm, height_mm) or smallest(known, width_mm, height_mm)


_CARD_STOCK = "US, card stock"


def by_area(size: Size) -> tuple[Fraction, str]:
    """What sizes are put in order by."""
    return size.area_mm2, size.name


def stock_sheets() -> Mapping[str, Size]:
    """The sheets that paper for cards is sold in."""
    return {name: size for name, size in sheets().items() if size.stock}


def _by_name(kind: str) -> Mapping[str, Size]:
    found: dict[str, Size] = {}
    for size in _sizes(kind):
        if size.name in found:
            raise ValueError(f"{kind} has the name {size.name} twice")
        found[size.name] = size
    return MappingProxyType(found)


def _sizes(kind: str) -> Iterator[Size]:
    # Costs time to import that only whoever asks for sizes should pay.
    from importlib.resources import files

    text = files("foldwright.profiles").joinpath("paper.toml").read_text(encoding="utf-8")
    for series in tomllib.loads(text, parse_float=Fraction)[kind]:
        mm = _MM[series["units"]]
        enclosures = series.get("enclosures", {})
        for name, sides in series["sizes"].items():
            short, long = (_number(side) * mm for side in sides)
            inner = enclosures.get(name)
            yield Size(
                name=name,
                series=series["series"],
                short_mm=short,
                long_mm=long,
                source=series["source"],
                basis=series["basis"],
                enclosure=None if inner is None else _pair(inner, mm),
                stock=series.get("stock", False),
            )


def _pair(sides: list[object], mm: Fraction) -> tuple[Fraction, Fraction]:
    short, long = (_number(side) * mm for side in sides)
    return short, long


def _number(value: object) -> Fraction:
    """A number, or a text of a whole number and a fraction: `5 3/4`."""
    return sum((Fraction(part) for part in str(value).split()), Fraction(0))
