"""This module makes the picture of a card's own envelope: its blank with all measures to mark.

Measures run from the corners along the edges, as one marks them on the sheet: along the lower
edge of a square, along the lower and up the left edge of other blanks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from ..design.pieces import Fold, Form, Piece
from ..dressing.envelopes import EnvelopeAnswer
from ..geometry import Point, Vector
from ..measures import Unit, exact_text
from .boxes import box_of_parts
from .columns import TextColumn
from .dimensions import measured, straight
from .flat import Placing, lines_of, placing_of
from .framing import framed
from .legend import legend_for
from .lettering import LINE_HEIGHT, width_of
from .model import Anchor, Part, Picture, Words, moved
from .scales import scale_for, scale_text

_ROOM = 150.0
_BETWEEN = 8.0
_TITLE, _SIZE = 5.5, 3.0
# From the blank to the first row of measures, and from row to row.
_AWAY, _ROW = 7.0, 7.5


def envelope_picture(answer: EnvelopeAnswer, design: str, units: Unit) -> Picture:
    """The picture of an envelope that is cut for a card.  Raises ValueError for a standard one."""
    if not answer.pieces or answer.blank_mm is None or answer.inside_mm is None:
        raise ValueError("a standard envelope has no blank")
    piece = answer.pieces[0].piece
    scale = scale_for(max(answer.blank_mm), _ROOM)
    placing = placing_of(piece, scale)
    drawn: list[Part] = list(lines_of(piece, placing))
    drawn += _names(piece, placing)
    lower, upright = (_of_square if answer.form is Form.SQUARE_BLANK else _of_flaps)(piece)
    for row, ends in enumerate(lower):
        drawn += _below(ends, placing, row, units)
    drawn += _beside(upright, placing, units)
    left, bottom, right, top = box_of_parts(drawn)
    inner = max(right - left, 130.0)
    column = TextColumn(inner)
    about = _about(answer, scale, units)
    title = f"{design}: the envelope"
    column.add(title, size=_TITLE, bold=True)
    for sentence in about:
        column.add(sentence, size=_SIZE)
    parts: list[Part] = list(column.parts)
    y = -column.height - _BETWEEN
    parts += moved(drawn, Vector(-left + (inner - (right - left)) / 2.0, y - top))
    y -= top - bottom + _BETWEEN
    legend = legend_for(drawn, inner)
    parts += moved(legend.parts, Vector(0.0, y))
    y -= legend.height
    return framed(title, " ".join(about), parts, width=inner, foot=y)


def _about(answer: EnvelopeAnswer, scale: float, units: Unit) -> list[str]:
    assert answer.blank_mm is not None
    assert answer.inside_mm is not None
    assert answer.play_mm is not None
    inside, blank, play = (
        " by ".join(_text(side, units) for side in sides)
        for sides in (answer.inside_mm, answer.blank_mm, answer.play_mm)
    )
    sheet = "" if answer.sheet is None else f", cut from {answer.sheet}"
    found = [
        f"Blank {blank}{sheet}; pocket {inside}, {play} more than the card. "
        f"Seen from the inside, drawn {scale_text(scale)}: go by the measures.",
        "Score all folds as valleys. Fold the side flaps in first, then the lower flap onto them, "
        "with glue along its edges only; the upper flap closes it.",
    ]
    if answer.depth_mm:
        found.append(
            f"Each flap turns on two folds by 90 degrees; the walls between them are "
            f"{_text(answer.depth_mm, units)} high, and stand up when it is filled."
        )
    found.append(
        "Sharp blade: steel ruler, mat underneath, cut away from your hands, cap it when you put "
        "it down."
    )
    return found


def _text(mm: float, units: Unit) -> str:
    """A length for a ruler: tenths of a millimetre; thousandths of an inch if no sixteenths."""
    if units is Unit.IN:
        return exact_text(round(mm, 6), units) if _on_sixteenths(mm) else f"{mm / 25.4:.3f} in"
    return f"{round(mm, 1):g} mm"


def _on_sixteenths(mm: float) -> bool:
    steps = mm / 1.5875
    return abs(steps - round(steps)) < 1e-6


def _names(piece: Piece, placing: Placing) -> Iterator[Words]:
    """The names of the panels that have room for theirs."""
    scores = sorted(
        {round(float(v.at.x), 6) for fold in piece.folds for v in fold.path.vertices if _up(fold)}
    )
    left, _, right, _ = piece.outline.box()
    edges = [left, *scores, right]
    for panel in piece.panel_names:
        x = float(panel.at.x)
        room = next(b - a for a, b in pairwise(edges) if a <= x <= b) * placing.scale
        at = placing.point(panel.at)
        if "wall" in panel.name or width_of(panel.name, _SIZE) > room:
            continue
        yield Words(
            text=panel.name,
            at=Point(float(at.x), float(at.y) - _SIZE * 0.35),
            size=_SIZE,
            anchor=Anchor.MIDDLE,
        )


def _up(fold: Fold) -> bool:
    """Whether a fold stands upright."""
    first, second = (vertex.at for vertex in fold.path.vertices)
    return math.isclose(float(first.x), float(second.x))


Ends = tuple[float, float]


def _of_square(piece: Piece) -> tuple[list[Ends], list[float]]:
    """Where scores meet the lower edge of a square, each from its own corner, and the edge."""
    side = piece.outline.box()[2]
    meets: set[float] = set()
    for fold in piece.folds:
        (x0, y0), (x1, y1) = (vertex.at.floats() for vertex in fold.path.vertices)
        at = x0 - y0 * (x1 - x0) / (y1 - y0)
        if -1e-6 < at < side + 1e-6:
            meets.add(round(at, 6))
    # The two lines cross inside the square, so each is the farther one from its corner.
    return [(0.0, max(meets)), (min(meets), side), (0.0, side)], []


def _of_flaps(piece: Piece) -> tuple[list[Ends], list[float]]:
    """Where upright scores stand on the lower edge, and level ones on the left edge."""
    left, bottom, right, top = piece.outline.box()
    lower, upright = {right}, {top}
    for fold in piece.folds:
        x, y = fold.path.start.floats()
        if _up(fold):
            lower.add(round(x, 6))
        else:
            upright.add(round(y, 6))
    return [(left, x) for x in sorted(lower)], [bottom, *sorted(upright)]


def _below(ends: Ends, placing: Placing, row: int, units: Unit) -> Iterator[Part]:
    """A measure along the lower edge."""
    y = -(_AWAY + row * _ROW)
    low, high = (float(placing.point(Point(x, 0.0)).x) for x in ends)
    for x in (low, high):
        yield straight(x, -1.5, x, y - 1.5)
    yield from measured(Point(low, y), Point(high, y))
    text = _text(ends[1] - ends[0], units)
    if width_of(text, _SIZE) < high - low:
        at, anchor = Point((low + high) / 2.0, y + 1.2), Anchor.MIDDLE
    else:
        at, anchor = Point(high + 2.0, y - _SIZE * 0.35), Anchor.START
    yield Words(text=text, at=at, size=_SIZE, anchor=anchor)


def _beside(places: Sequence[float], placing: Placing, units: Unit) -> Iterator[Part]:
    """Measures up the left edge, each from the lower corner, at the end of a line of its own."""
    free = -math.inf
    for place in places[1:]:
        y = float(placing.point(Point(0.0, place)).y)
        # Lines of words that are too near to each other are put apart.
        at = max(y, free)
        free = at + _SIZE * LINE_HEIGHT
        yield straight(-1.5, y, -_AWAY, y)
        yield straight(-_AWAY, y, -_AWAY - 3.0, at)
        yield Words(
            text=_text(place - places[0], units),
            at=Point(-_AWAY - 4.0, at - _SIZE * 0.35),
            size=_SIZE,
            anchor=Anchor.END,
        )
