"""This module is the pass that letters the texts of a piece, and tells which of them read badly.

A text is read from the face of the sheet that it is drawn on.  Where that is the back, as
it is where a job lies face down, the page is mirrored at the end: the text is mirrored
here first, so that it comes out readable and upright on the page, in the room that was
meant for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..design.pieces import Face, Mark, Piece
from ..drawing import Drawing, Layer, Role, Stroke, Work
from ..geometry import Path, Point, union_box
from ..geometry.boxes import overlapping
from ..geometry.inside import inside
from ..geometry.nearest import nearest
from ..lettering import CAPITAL, PITCH, Lettering, block_height, set_text
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .faces import face_of, marked_from
from .job import Job, Passed
from .text_room import Box, Way, clear_of, clear_of_box
from .wording import in_a_row, line_name, mm

# Capitals below this height are hard to read: a pen of 0.3 mm then leaves half a
# millimetre between the bars of an e, one of 0.5 mm a sixth.
LEAST_READABLE_MM = 2.0

# So much of a text is told, in signs.
_MOST_TOLD = 30


@dataclass(frozen=True, kw_only=True, slots=True)
class _Text:
    """A mark with its letters, and the boxes of its lines, as they are drawn."""

    mark: Mark
    told: str
    strokes: tuple[Path, ...]
    missing: tuple[str, ...]
    rows: tuple[Box, ...]


def letter(drawing: Drawing, job: Job) -> Passed:
    """The drawing with the strokes of the piece's texts; a sign that lacks is drawn as a box."""
    texts = [_text(mark, job) for mark in job.piece.marks if mark.text is not None]
    strokes = tuple(
        Stroke(
            path=path,
            layer=Layer.MARK,
            work=Work.DRAWN,
            piece=job.piece.name,
            source=text.mark.name,
            role=Role.MARK,
            side=marked_from(text.mark, job),
        )
        for text in texts
        for path in text.strokes
    )
    found: list[Problem] = []
    for text in texts:
        found += _unreadable(job, text)
        found += _off(job, text)
        found += _over_lines(job, text)
    found += _over_each_other(job, texts)
    return Passed(drawing.with_strokes((*strokes, *drawing.strokes)), tuple(found))


def _text(mark: Mark, job: Job) -> _Text:
    assert mark.text is not None
    made = _set(mark, job)
    strokes = tuple(path.rounded() for path in made.strokes)
    rows: dict[int, list[Path]] = {}
    if strokes:
        assert mark.at is not None and mark.height is not None
        unit = float(mark.height) / CAPITAL
        for path in strokes:
            # Half way between two base lines' capitals one line ends and the next begins.
            up = (path.start.floats()[1] - mark.at.floats()[1]) / unit + CAPITAL / 2.0
            rows.setdefault(math.floor(up / (PITCH * CAPITAL)), []).append(path)
    one_line = " ".join(mark.text.split())
    return _Text(
        mark=mark,
        told=one_line if len(one_line) <= _MOST_TOLD else f"{one_line[: _MOST_TOLD - 1]}…",
        strokes=strokes,
        missing=made.missing,
        rows=tuple(union_box(p.box() for p in rows[number]) for number in sorted(rows)),
    )


def _set(mark: Mark, job: Job) -> Lettering:
    text, at, height = mark.text, mark.at, mark.height
    assert text is not None and at is not None and height is not None
    if face_of(mark, job) is Face.FRONT:
        return set_text(text, at=at, height=height)
    made = set_text(text, at=at, height=height, mirrored=True)
    if job.options.turn_about.is_upright:
        return made
    # Upside down as well, it is mirrored in a level line.
    corner = Point(at.x + made.width, at.y + block_height(text, height))
    return set_text(text, at=corner, height=height, angle=180.0, mirrored=True)


def _unreadable(job: Job, text: _Text) -> Iterator[Problem]:
    mark = text.mark
    assert mark.at is not None and mark.height is not None
    if text.missing:
        yield job.problem(
            "glyph-missing",
            at=mark.at.floats(),
            place=mark.place,
            text=text.told,
            signs=in_a_row([_sign(sign) for sign in text.missing]),
            boxes="a box" if len(text.missing) == 1 else "boxes",
        )
    height = float(mark.height)
    if text.strokes and height < LEAST_READABLE_MM - MEETS_MM:
        yield job.problem(
            "text-small",
            at=mark.at.floats(),
            place=mark.place,
            measure_mm=height,
            text=text.told,
            height=mm(height),
            least=mm(LEAST_READABLE_MM),
        )


def _sign(sign: str) -> str:
    codes = " ".join(f"U+{ord(character):04X}" for character in sign)
    return f'"{sign}" ({codes})' if sign.isprintable() else codes


# Off the paper.


def _off(job: Job, text: _Text) -> Iterator[Problem]:
    """Tells how far letters run over the edge of the paper, or into an opening."""
    worst: tuple[float, Point, str] | None = None
    for rim, within, name in _rims(job.piece):
        for at in _outside(text.strokes, rim, within):
            by = nearest(rim, at).away
            if by > MEETS_MM and (worst is None or by > worst[0]):
                worst = by, at, name
    if worst is not None:
        by, at, name = worst
        yield job.problem(
            "text-off-paper",
            at=at.floats(),
            place=text.mark.place,
            measure_mm=by,
            text=text.told,
            rim=name,
            by=mm(round(by, 2)),
        )


def _rims(piece: Piece) -> Iterator[tuple[Path, bool, str]]:
    """The edges of the paper, whether the paper lies within them, and what they are called."""
    yield piece.outline.rounded(), True, "the outline"
    for opening in piece.openings:
        yield opening.path.rounded(), False, line_name(Role.OPENING, opening.name)


def _outside(strokes: tuple[Path, ...], rim: Path, within: bool) -> Iterator[Point]:
    """Places of strokes that are not on the paper's side of a rim, close to each other."""
    edges = [segment.box() for segment in rim.segments]
    count = len(strokes)
    near = {
        i for i, j in overlapping([path.box() for path in strokes] + edges, 0.0) if i < count <= j
    }
    for index, path in enumerate(strokes):
        if index in near:
            yield from (at for at in _places(path) if inside(rim, *at.floats()) is not within)
        # A stroke that is clear of the rim lies on one side of it.
        elif inside(rim, *path.start.floats()) is not within:
            yield from _places(path)


def _places(path: Path) -> Iterator[Point]:
    yield path.start
    step = max(path.length / 32.0, MEETS_MM)
    for segment in path.segments:
        parts = max(1, math.ceil(segment.length / step))
        yield from (segment.at(part / parts) for part in range(1, parts + 1))


# Over lines and other texts.


def _over_lines(job: Job, text: _Text) -> Iterator[Problem]:
    """Tells which cuts and folds run through a line of a text."""
    piece = job.piece
    lines = [
        *((fold.path, Role.FOLD, fold.name) for fold in piece.folds),
        *((slit.path, Role.SLIT, slit.name) for slit in piece.slits),
        *((opening.path, Role.OPENING, opening.name) for opening in piece.openings),
    ]
    for path, role, name in lines:
        ways = [way for row in text.rows for way in clear_of(row, path)]
        if ways:
            yield _crossed(job, text, line_name(role, name), max(ways, key=lambda way: way.by))


def _over_each_other(job: Job, texts: list[_Text]) -> Iterator[Problem]:
    rows = [(number, row) for number, text in enumerate(texts) for row in text.rows]
    worst: dict[tuple[int, int], Way] = {}
    for i, j in overlapping([row for _, row in rows], 0.0):
        pair = rows[i][0], rows[j][0]
        faces = {face_of(texts[number].mark, job) for number in pair}
        if pair[0] == pair[1] or len(faces) > 1:
            continue
        for way in clear_of_box(rows[j][1], rows[i][1]):
            if pair not in worst or way.by > worst[pair].by:
                worst[pair] = way
    for (first, second), way in sorted(worst.items(), key=lambda item: item[0]):
        yield _crossed(job, texts[second], f'the text "{texts[first].told}"', way)


def _crossed(job: Job, text: _Text, line: str, way: Way) -> Problem:
    # Rounded up, so that what is told suffices.
    by = mm(math.ceil(way.by * 100.0 - 1e-6) / 100.0)
    stays = _on_paper(job.piece, text, way)
    return job.problem(
        "text-over-line",
        at=way.at,
        place=text.mark.place,
        measure_mm=way.by,
        text=text.told,
        line=line,
        hint=f"move it {by} {way.towards}, or make it smaller"
        if stays
        else "make it smaller, or write it on more lines, for beside it there is no room",
    )


def _on_paper(piece: Piece, text: _Text, way: Way) -> bool:
    """Whether the box about a text is still within that about its paper once it has moved."""
    along, across = _TOWARDS[way.towards]
    left, bottom, right, top = union_box(text.rows)
    paper = piece.outline.rounded().box()
    return (
        paper[0] - MEETS_MM <= left + along * way.by
        and right + along * way.by <= paper[2] + MEETS_MM
        and paper[1] - MEETS_MM <= bottom + across * way.by
        and top + across * way.by <= paper[3] + MEETS_MM
    )


_TOWARDS = {"up": (0, 1), "down": (0, -1), "to the left": (-1, 0), "to the right": (1, 0)}
