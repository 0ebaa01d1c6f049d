"""A value that TOML cannot read is told as it should be written, and so it can be read."""

from __future__ import annotations

import pytest

from foldwright.problems import DesignError
from foldwright.sources import parse_source

# Each row as it was written, and what its value should be.
SLIPS = {
    "strip = 5 3/4": '"5 3/4"',
    "strip = 41 mm": '"41 mm"',
    "strip = 41mm": '"41mm"',
    "strip = 41,5": "41.5",
    "strip = 41,5 mm": '"41.5 mm"',
    "strip = width / 3": '"width / 3"',
    "strip = min(width, 40 mm)  # as wide as that": '"min(width, 40 mm)"',
    'strip = 5 3/4"': '"5 3/4 in"',
    "strip = 90 deg": '"90 deg"',
    "strip = { is = 41 mm, least = 10 }": '"41 mm"',
    "strip = { is = 41, least = width / 3 }": '"width / 3"',
}


def mend_of(text: str) -> str:
    with pytest.raises(DesignError) as caught:
        parse_source(text, "card.toml")
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.line) == ("not-toml", 2)
    return problem.mend


@pytest.mark.parametrize("row", SLIPS)
def test_a_value_without_its_quotes_is_told_with_them(row: str) -> None:
    mend = mend_of(f"format = 1\n{row}\nname = 'b'\n")
    key, told = mend.rpartition(": ")[2].split(" = ")
    assert told == SLIPS[row]
    parse_source(f"{key} = {told}", "card.toml")


def test_a_missing_value_is_told_with_what_may_stand_there() -> None:
    for text in ("format = 1\nstrip =\n[x]\n", "format = 1\nstrip ="):
        told = 'write a value behind the sign of "strip": a number, or a text in quotes'
        assert mend_of(text) == told


@pytest.mark.parametrize("row", ["[[piece]", "strip 41", "strip = [1, 2", "strip == 2", "= 3"])
def test_what_is_wrong_otherwise_is_not_told_as_that(row: str) -> None:
    assert "quotes" not in mend_of(f"format = 1\n{row}\n")
