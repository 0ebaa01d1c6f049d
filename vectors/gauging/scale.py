"""This module judges at what scale the sheets came out, and names the usual traps of units.

CSS counts 96 px to the inch, older vector programs 90, typesetting 72 points; a
program that takes one for another makes everything larger or smaller by their
ratio (W3C, CSS Values and Units, section 5.2: 1 in = 96 px = 72 pt).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..measures.exact import FULL_SIZE_SHARE, READ_MM, SAME_SIZE_SHARE, TRUE_SIZE_SHARE
from ..problems import Collector, Place, problem
from .readings import Form

_PER_INCH = {72.0: "points", 90.0: "older pixels", 96.0: "pixels", 25.4: "mm", 1.0: "inches"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Scale:
    """How large the sheets came out for what was drawn; `share` is None where it must not be used.

    1 where nobody measured it.
    """

    share: float | None = 1.0


@dataclass(frozen=True, kw_only=True, slots=True)
class _Size:
    what: str
    found: float
    due: float
    place: Place

    @property
    def share(self) -> float:
        return self.found / self.due


def scale_of(form: Form, found: Collector) -> Scale:
    """The scale, by the bars and by the squares; what is wrong with it goes to `found`."""
    sizes = tuple(_sizes(form))
    if not sizes:
        return Scale()
    least, most = (choose(sizes, key=lambda one: one.share) for choose in (min, max))
    if most.share > least.share * (1.0 + SAME_SIZE_SHARE):
        found.add(
            problem(
                "gauge-scales-differ",
                place=most.place,
                first=most.what,
                first_share=_percent(most.share),
                second=least.what,
                second_share=_percent(least.share),
            )
        )
        return Scale(share=None)
    share = math.fsum(one.share for one in sizes) / len(sizes)
    off = abs(share - 1.0)
    if off > FULL_SIZE_SHARE:
        one = sizes[0]
        trap, mend = _trap(share)
        found.add(
            problem(
                "gauge-scale",
                place=one.place,
                measure_mm=one.found,
                what=one.what,
                found=f"{one.found:.4g} mm",
                due=f"{one.due:.4g} mm",
                share=_percent(share),
                trap=trap,
                mend=mend,
            )
        )
        return Scale(share=None)
    if off <= TRUE_SIZE_SHARE:
        # A person reads no ruler better than that.
        return Scale()
    found.add(problem("gauge-scale-slight", place=sizes[0].place, share=_percent(share)))
    return Scale(share=share)


def _sizes(form: Form) -> Iterator[_Size]:
    bars = form.parts.get("size_bar")
    if bars is not None:
        for (key, what), due in zip(
            (("metric", "the metric bar"), ("inch", "the bar in inches")),
            bars.drawn["drawn"],
            strict=False,
        ):
            reading = bars.lengths.get(key)
            if reading is not None:
                yield _Size(what=what, found=reading.mean, due=due, place=reading.place)
    squares = form.parts.get("kerf")
    if squares is not None:
        for axis in ("x", "y"):
            hole, piece = (squares.lengths.get(f"{one}_{axis}") for one in ("hole", "piece"))
            if hole is None or piece is None:
                continue
            # Readings that cannot be are told as such; they say nothing of the scale.
            if hole.mean - piece.mean >= -2.0 * READ_MM:
                # Half the sum: what the tool removed is in it twice, once taken away.
                yield _Size(
                    what=f"a square along {axis}",
                    found=(hole.mean + piece.mean) / 2.0,
                    due=squares.drawn["drawn"][0],
                    place=hole.place,
                )


def _percent(share: float) -> str:
    return f"{100.0 * share:.4g} %"


def _trap(share: float) -> tuple[str, str]:
    """What most often makes things come out at such a share, and what to do about it."""
    for one, name in _PER_INCH.items():
        for other, meant in _PER_INCH.items():
            # What is meant as one `other` comes out as one `one`.
            ratio = other / one
            if one != other and abs(share / ratio - 1.0) <= FULL_SIZE_SHARE:
                # Readings from a ruler of inches, written without their unit, look the same.
                ruler = (name, meant) == ("mm", "inches")
                instead = 'write readings in inches as "1.97 in"; or else ' if ruler else ""
                return (
                    f"that is {other:g} : {one:g}, {meant} taken for {name}",
                    f"{instead}set the unit of the import to mm, or export with --user-unit px96 "
                    "for a program that ignores the stated size; then make the sheets again",
                )
    if any(abs(share / ratio - 1.0) <= FULL_SIZE_SHARE for ratio in (10.0, 0.1)):
        instead = 'write readings in cm as "5 cm"; or else ' if share < 1.0 else ""
        return (
            "that is a factor of ten, mm and cm taken for each other",
            f"{instead}set the unit of the import to mm, and make the sheets again",
        )
    return (
        "that is none of the usual mistakes of a unit",
        "import the file at 100 %, with no fitting to a page, and make the sheets again",
    )
