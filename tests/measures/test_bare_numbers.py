"""What a number without a unit means, as the README states it: a length, or a plain number."""

from __future__ import annotations

import pytest

from foldwright.measures import Scope, Unit, as_length, length, number, parse
from foldwright.problems import DesignError

SCOPE = Scope.of(Unit.IN, {"width": length(100), "steps": number(2)})


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # 1 in = 25.4 mm: numbers alone, and beside a length, are in the file's inches.
        ("3 + 1", 4 * 25.4),
        ("2 * 4", 8 * 25.4),
        ("width + 2", 150.8),
        ("2 * width", 200),
        ("width / 4", 25),
        ("100 mm + 100 mm * tan(45 deg)", 200),
        ("10 mm * steps", 20),
        ('6"', 152.4),
    ],
)
def test_lengths(text: str, mm: float) -> None:
    assert float(as_length(parse(text).evaluate(SCOPE), Unit.IN)) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize("text", ["100 * tan(45 deg)", "100 + 100 * tan(45 deg)", "10 * steps"])
def test_plain_numbers_are_refused_as_lengths_with_the_way_to_write_them(text: str) -> None:
    with pytest.raises(DesignError) as caught:
        as_length(parse(text).evaluate(SCOPE), Unit.IN)
    (problem,) = caught.value.problems
    assert problem.rule == "not-a-length"
    assert '"100 mm * tan(30 deg)"' in problem.mend
