"""This module judges the limits of a design: what its author asks of the finished card.

The closed card may be turned by a quarter turn to keep to its limit, as it may
on its way into an envelope; it may not lie aslant.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..design.pieces import Limits
from ..measures.exact import MEETS_MM
from ..problems import Place, Problem, problem
from .judging import millimetres
from .model import Closed


def limit_problems(
    limits: Limits | None, closed: Closed | None, *, stacked: bool = True
) -> Iterator[Problem]:
    """The limits that do not hold, each a stop, and those that cannot be judged, each a note.

    `closed` is None where the closed size is not known.  The limit of the thickness
    is judged with the plies; a note says so where those are not `stacked`.  That of
    standing is judged with the poses.
    """
    if limits is None:
        return
    if limits.closed is not None:
        most = float(limits.closed[0]), float(limits.closed[1])
        if closed is None:
            yield problem("closed-size-unknown", place=limits.closed_place)
        else:
            yield from _too_large(closed, most, limits.closed_place)
    if limits.thickness is not None and not stacked:
        yield problem("limit-not-judged", place=limits.place, limit="thickness")


def is_too_large(limits: Limits | None, closed: Closed) -> bool:
    """Whether the closed card passes the limit of its size."""
    return any(one.rule == "closed-too-large" for one in limit_problems(limits, closed))


def _too_large(closed: Closed, most: tuple[float, float], place: Place) -> Iterator[Problem]:
    size = closed.width_mm, closed.height_mm
    as_it_is = size[0] - most[0], size[1] - most[1]
    turned = size[0] - most[1], size[1] - most[0]
    if max(as_it_is) <= MEETS_MM or max(turned) <= MEETS_MM:
        return
    # Told for the way round that is nearer to fitting.
    best = turned if max(turned) < max(as_it_is) else as_it_is
    over = " and ".join(
        f"its {name} is {millimetres(by)} mm too large"
        for name, by in zip(("width", "height"), best, strict=True)
        if by > MEETS_MM
    )
    way = "even turned by a quarter turn " if best is turned else ""
    rest = "" if best is turned else ", and a quarter turn does not help"
    yield problem(
        "closed-too-large",
        place=place,
        measure_mm=max(best),
        width=millimetres(size[0]),
        height=millimetres(size[1]),
        most_width=millimetres(most[0]),
        most_height=millimetres(most[1]),
        over=f"{way}{over}{rest}",
    )
