"""This module compares what was read back from a file with the drawing that was to be written."""

from __future__ import annotations

import math

from ..drawing import Drawing, Layer, Stroke, Work
from ..geometry import Path, Point, Segment
from ..measures.exact import MEETS_MM
from ..problems import Problem, problem
from .protocol import ReadBack, ReadStroke, in_file_order

# Differing strokes of a layer are told one by one up to this many: a fault of a
# writer touches all of them.
_TOLD = 3


def differences(
    drawing: Drawing, read: ReadBack, *, largest_sweep: float, tolerance: float = MEETS_MM
) -> tuple[Problem, ...]:
    """What a file does not hold as it was drawn; nothing when it is the same.

    Compared are the page, and per layer the number of strokes, how many of them
    are closed, their order, and for every line and arc both ends and the middle,
    each within `tolerance` mm.  `largest_sweep` (degrees) is the writer's: larger
    arcs are expected in even pieces.
    """
    found: list[Problem] = []
    for drawn, seen in ((drawing.width, read.width), (drawing.height, read.height)):
        if seen is not None and not abs(drawn - seen) <= tolerance:
            found.append(
                problem(
                    "read-back-page",
                    piece=drawing.piece,
                    found=f"{seen:.10g}",
                    drawn=f"{drawn:.10g}",
                )
            )
    for layer, works in in_file_order(drawing):
        due = [(work, stroke) for work, strokes in works for stroke in strokes]
        seen_strokes = [stroke for stroke in read.strokes if stroke.layer is layer]
        found.extend(_layer(drawing, layer, due, seen_strokes, largest_sweep, tolerance))
    return tuple(found)


def _layer(
    drawing: Drawing,
    layer: Layer,
    due: list[tuple[Work, Stroke]],
    seen: list[ReadStroke],
    largest_sweep: float,
    tolerance: float,
) -> list[Problem]:
    drawn_closed = sum(stroke.path.closed for _, stroke in due)
    found_closed = sum(stroke.path.closed for stroke in seen)
    if (len(due), drawn_closed) != (len(seen), found_closed):
        return [
            problem(
                "read-back-strokes",
                piece=drawing.piece,
                layer=layer.value,
                drawn=len(due),
                drawn_closed=drawn_closed,
                found=len(seen),
                found_closed=found_closed,
            )
        ]
    found: list[Problem] = []
    for number, ((work, stroke), other) in enumerate(zip(due, seen, strict=True), 1):
        difference = path_difference(
            stroke.path, other.path, largest_sweep=largest_sweep, tolerance=tolerance
        )
        if difference is None and other.work is not None and other.work is not work:
            difference = f"as {other.work} in place of {work}"
        if difference is not None:
            found.append(
                problem(
                    "read-back-stroke",
                    piece=drawing.piece,
                    number=number,
                    layer=layer.value,
                    role=stroke.role.value,
                    source=stroke.source,
                    difference=difference,
                )
            )
            if len(found) == _TOLD:
                break
    return found


def path_difference(
    drawn: Path, found: Path, *, largest_sweep: float, tolerance: float = MEETS_MM
) -> str | None:
    """In words how `found` differs from `drawn`; None where every place is within `tolerance` mm.

    Arcs of `drawn` that pass `largest_sweep` degrees are compared in even pieces.
    """
    if drawn.closed != found.closed:
        return "closed in place of open" if found.closed else "open in place of closed"
    largest = math.radians(largest_sweep)
    due = [
        piece
        for segment in drawn.segments
        for piece in ((segment,) if segment.is_line else segment.split(largest))
    ]
    seen = list(found.segments)
    if drawn.closed:
        # A last line too short to be told from none may be left out or added by
        # the closing.
        if len(due) == len(seen) + 1 and due[-1].chord <= tolerance and len(due) > 1:
            due.pop()
        elif len(seen) == len(due) + 1 and seen[-1].chord <= tolerance and seen[-1].is_line:
            seen.pop()
    if len(due) != len(seen):
        return f"with {len(seen)} lines and arcs in place of {len(due)}"
    for one, other in zip(due, seen, strict=True):
        for here, there in _places(one, other):
            off = here.distance(there)
            # Not "greater": a distance that is no number must not pass.
            if not off <= tolerance:
                x, y = here.floats()
                return f"{off:.4g} mm away from its place at ({x:.6g}, {y:.6g}) mm"
    return None


def _places(one: Segment, other: Segment) -> tuple[tuple[Point, Point], ...]:
    ends = ((one.start, other.start), (one.end, other.end))
    if one.is_line and other.is_line:
        return ends
    return (*ends, (one.middle, other.middle))
