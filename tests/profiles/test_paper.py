"""Sizes of sheets and envelopes, against the standards and the lists they come from."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from foldwright.profiles.paper import by_area, envelopes, sheets, smallest, sold_sheet, stock_sheets

FILE = Path(__file__).parents[1] / "published" / "envelopes.toml"
FACTS: dict[str, Any] = {
    fact["id"]: fact["value"] for fact in tomllib.loads(FILE.read_text(encoding="utf-8"))["fact"]
}


@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_each_size_halves_the_one_before(letter: str) -> None:
    """ISO 216 and ISO 269: the long side is halved and half a millimetre dropped."""
    for number in range(10):
        large, small = sheets()[f"{letter}{number}"], sheets()[f"{letter}{number + 1}"]
        assert small.long_mm == large.short_mm
        assert small.short_mm == large.long_mm // 2


@pytest.mark.parametrize("name", FACTS["P01"])
def test_iso_sheets(name: str) -> None:
    size = sheets()[name]
    assert [size.short_mm, size.long_mm] == FACTS["P01"][name]


@pytest.mark.parametrize("name", FACTS["P05"])
def test_iso_envelopes(name: str) -> None:
    size = envelopes()[name]
    assert [size.short_mm, size.long_mm] == FACTS["P05"][name]
    assert size.series == "ISO 269"


@pytest.mark.parametrize("name", FACTS["P06"])
def test_announcement_envelopes(name: str) -> None:
    size = envelopes()[name]
    inches = [side / Fraction("25.4") for side in (size.short_mm, size.long_mm)]
    assert inches == FACTS["P06"][name]
    # The largest card is 1/4 in smaller on each dimension.
    assert size.enclosure is not None
    assert size.enclosure == (size.short_mm - Fraction("6.35"), size.long_mm - Fraction("6.35"))


@pytest.mark.parametrize("name", FACTS["P10"])
def test_us_sheets(name: str) -> None:
    size = sheets()["Legal" if name == "legal" else f"ANSI {name}"]
    inches = [side / Fraction("25.4") for side in (size.short_mm, size.long_mm)]
    assert inches == FACTS["P10"][name]


def test_every_size_has_a_source_and_its_short_side_first() -> None:
    for size in (*sheets().values(), *envelopes().values()):
        assert size.source
        assert size.basis
        assert 0 < size.short_mm <= size.long_mm
        if size.enclosure is not None:
            assert size.enclosure[0] < size.short_mm
            assert size.enclosure[1] < size.long_mm


def test_the_smallest_takes_it_either_way_round() -> None:
    assert smallest(stock_sheets(), 297, 210) == sheets()["A4"]
    found = smallest(sheets(), 211, 100)
    assert found is not None
    larger = [size for size in sheets().values() if size.takes(100, 211)]
    assert found.area_mm2 == min(size.area_mm2 for size in larger)
    assert smallest(sheets(), 2000, 10) is None
    # Equal areas go by name.
    assert by_area(envelopes()["A-long"]) < by_area(envelopes()["No. 9"])


def test_the_sheets_of_the_units_come_first() -> None:
    """A blank of 200 by 250 mm lies on both A4 and Letter; each is named to whoever buys it."""

    def sold(width: float, height: float, *, inches: bool) -> str | None:
        size = sold_sheet(width, height, inches=inches)
        return None if size is None else size.name

    assert (sold(200, 250, inches=False), sold(200, 250, inches=True)) == ("A4", "Letter")
    assert (sold(230, 230, inches=False), sold(230, 230, inches=True)) == ("12 x 12 in",) * 2
    # No US sheet is as large as A0.
    assert sold(840, 1180, inches=True) == "A0"
    assert sold(2000, 10, inches=False) is None
