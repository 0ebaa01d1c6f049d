"""This module checks that drawn lines stay on the paper; they divide nothing."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..design.pieces import Mark, Piece
from ..geometry import Point, Segment
from ..geometry.boxes import overlapping
from ..geometry.meetings import Overlap, meetings, share_of
from ..measures.exact import MEETS_MM
from ..problems import Problem, problem
from .curves import told
from .faces import contains


def mark_problems(piece: Piece) -> Iterator[Problem]:
    """A problem for each mark that runs over an edge of the paper, or lies off it."""
    drawn = [
        (mark, segment)
        for mark in piece.marks
        if mark.path is not None
        for segment in mark.path.segments
    ]
    if not drawn:
        return
    rims = [*piece.outline.segments, *(s for o in piece.openings for s in o.path.segments)]
    met: dict[int, list[tuple[float, Point]]] = {}
    boxes = [segment.box() for segment in (*rims, *(segment for _, segment in drawn))]
    for i, j in overlapping(boxes, MEETS_MM):
        if i < len(rims) <= j:
            number = j - len(rims)
            for meeting in meetings(drawn[number][1], rims[i], MEETS_MM):
                if not isinstance(meeting, Overlap):
                    met.setdefault(number, []).append((meeting.first, meeting.at))
    off: dict[str, list[tuple[Mark, bool, Point]]] = {}
    for number, (mark, segment) in enumerate(drawn):
        ends = sorted(met.get(number, ()), key=lambda one: (one[0], one[1].floats()))
        shares = sorted({0.0, 1.0, *(share for share, _ in ends)})
        for low, high in pairwise(shares):
            middle = segment.at((low + high) / 2.0)
            on = _on_paper(piece, rims, middle)
            crossing = next((at for share, at in ends if share in (low, high)), middle)
            off.setdefault(mark.name, []).append((mark, on, middle if on else crossing))
    for parts in off.values():
        wrong = [at for _, on, at in parts if not on]
        if not wrong:
            continue
        mark = parts[0][0]
        whole = len(wrong) == len(parts)
        yield problem(
            "outside-outline" if whole else "crosses-outline",
            place=mark.place,
            piece=piece.name,
            at=wrong[0].floats(),
            what=told("mark", mark.name),
            rim="the edge of the paper",
        )


def _on_paper(piece: Piece, rims: list[Segment], at: Point) -> bool:
    if any(share_of(segment, at, MEETS_MM) is not None for segment in rims):
        return True
    return contains(piece.outline, at) and not any(
        contains(opening.path, at) for opening in piece.openings
    )
