"""This module finds the one measure that ends a spill: by trying, ruler step by ruler step.

How far a card spills follows its measures by pieces that are straight, so the first step
tells about how many are needed; the least number that does is then found by
doubling and halving.  Nothing is told that was not tried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from ..measures import Ruler
from ..measures.exact import SLIVER_MM
from .integer_search import MOST_STEPS, common_multiple
from .literals import Length

SpillTrial = Callable[[str, Fraction], float | None]
"""By how many mm the card spills with a measure, by its name, at a value in mm.

None where the design forbids that value or the card does not close with it.
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class SpillMend:
    """A measure put to another value, on a ruler: the card then spills by `spill_mm` only.

    That is 0, or less than counts.  `steps` is how far that is in steps of the ruler.
    """

    measure: str
    from_mm: Fraction
    to_mm: Fraction
    steps: Fraction
    spill_mm: float


def spill_mends(
    lengths: Sequence[Length], spill_mm: float, trial: SpillTrial, ruler: Ruler
) -> tuple[SpillMend, ...]:
    """The changes of one measure each that end a spill, of the fewest steps first.

    Those of as many steps stay in the order of the file.  No measure goes further than
    64 steps of the ruler, nor beyond its limits.
    """
    found = [
        mend
        for length in lengths
        for way in (1, -1)
        if (mend := _mend(length, way, spill_mm, trial, ruler)) is not None
    ]
    found.sort(key=lambda mend: mend.steps)
    return tuple(found)


def _mend(
    length: Length, way: int, spill_mm: float, trial: SpillTrial, ruler: Ruler
) -> SpillMend | None:
    """The least change of a measure to one side that ends the spill."""
    step = ruler.step if length.step is None else common_multiple(ruler.step, length.step)
    # The first line of the ruler to that side; a measure may lie between two lines.
    lines = length.value / step
    first = floor(lines) + 1 if way > 0 else ceil(lines) - 1
    bound = length.most if way > 0 else length.least
    most = int(MOST_STEPS * ruler.step / step)
    if bound is not None:
        most = min(most, floor(way * (bound / step - first)) + 1)

    def value(number: int) -> Fraction:
        return (first + way * number) * step

    def tried(number: int) -> float | None:
        within = number < most and value(number) > 0
        return trial(length.name, value(number)) if within else None

    last, left = -1, None
    for number in _ahead(spill_mm, tried, most):
        left = tried(number)
        if left is None:
            return None
        if left <= SLIVER_MM:
            last = number
            break
    if last < 0 or left is None:
        return None
    best, left = _least(tried, last, left)
    to = value(best)
    return SpillMend(
        measure=length.name,
        from_mm=length.value,
        to_mm=to,
        steps=abs(to - length.value) / ruler.step,
        spill_mm=left,
    )


def _ahead(spill_mm: float, tried: Callable[[int], float | None], most: int) -> Iterator[int]:
    """Numbers of lines to try, nothing where the first one does not lessen the spill."""
    after = tried(0)
    if after is None or after > spill_mm - SLIVER_MM:
        return
    yield 0
    if after <= SLIVER_MM or most < 2:
        return
    second = tried(1)
    gain = 0.0 if second is None else after - second
    number = 1 if gain <= SLIVER_MM else ceil(round(after / gain, 6))
    while number < most - 1:
        yield number
        number *= 2
    yield most - 1


def _least(tried: Callable[[int], float | None], number: int, left: float) -> tuple[int, float]:
    """The least line that will do, where all beyond it do, and the spill there."""
    low = -1
    while number - low > 1:
        middle = (low + number) // 2
        there = tried(middle)
        if there is not None and there <= SLIVER_MM:
            number, left = middle, there
        else:
            low = middle
    return number, left
