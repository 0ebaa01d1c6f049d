"""This module lays the text of a design out for a person who goes on with it.

Comments say what each kind of block is, keys stand in columns, and no line is
longer than 100 signs: what does not fit is a table of its own, a list with a line
an item, or a text that goes on in the next line.  It reads back as the same design.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..measures import Unit
from .model import Design
from .writer import Block, blocks, measure_rows

LONGEST_LINE = 100
"""So many signs a line has at most."""

MIRRORED_COMMENT = "all lines stand as for the right hand; true mirrors the whole as it is made"
"""What stands beside the key that makes the mirror image, whose lines nobody finds in the file."""

_COMMENT_WIDTH = 88
_INDENT = "  "

# What the first block of each kind is introduced with, by its header; a name
# after a point belongs to what is named.
_COMMENTS = {
    "stock": "Paper and board: a material that ships (foldwright list materials) or a file of"
    " your own.",
    "piece": "Pieces, each with its front to the viewer.  A place is [x, y] from the lower left"
    " corner, x to the right and y up.",
    "piece.slit": "Slits: cuts that remove nothing.",
    "piece.band": "Parallel folds: the first one runs from `from` to `to`, the next ones lie to the"
    " right of it, as far on as `walk` says.",
    "piece.fold": "Folds: a valley turns towards the viewer, a mountain away, by 180 degrees unless"
    " `angle` says otherwise.",
    "piece.opening": "Holes.",
    "piece.mark": "Lines and letters that are drawn.",
    "piece.panel": "Names of panels, each for the one that its place lies in.",
    "joint": "Glue: the line on the one panel comes to lie on the line on the other, face on face.",
    "mat": "Mats: decorative pieces on panels, with an even margin; `up` is where their print"
    " points as the card stands.",
    "extra": "What is stuck on.",
    "pose": "Poses: the folds that are held, in degrees, 0 flat and 180 shut; the others follow."
    "  `on` lies on the table, `view` is the viewer's side.",
    "pose.touch": "Lines that lie on panels in this pose only.",
    "envelope": "The envelope.",
    "limits": "What the finished card must keep to.",
    "variant": "Editions: other measures, other materials.",
}

_MEASURES = (
    "Measures: `is` is the value and can be changed, from `least` to `most`; it is set in steps"
    " of `step`, and `scale` says what becomes of it when the design is scaled.  A bare number"
    ' is in {bare}; "41 mm", "1 5/8 in" and arithmetic such as "width / 2" stand in quotes.'
)


def laid_out(design: Design, head: Iterable[str] = ()) -> str:
    """The TOML text of a design, with comments; `head` are the paragraphs it begins with."""
    heading = "".join(_comment(paragraph) for paragraph in head)
    parts = [heading] if heading else []
    written = blocks(design)
    at = next((i for i, one in enumerate(written) if one.header == "[measures]"), None)
    if at is not None:
        bare = "inches" if Unit(design.units) is Unit.IN else "millimetres"
        parts.extend(laid_out_blocks(written[:at]))
        parts.append(_comment(_MEASURES.format(bare=bare)))
        parts.extend(_measures(design))
        written = written[at + 1 :]
    return "\n".join((*parts, *laid_out_blocks(written)))


def laid_out_blocks(given: Iterable[Block]) -> Iterator[str]:
    """The texts of blocks, the first one of each kind with a comment on it."""
    told: set[str] = set()
    for block in given:
        kind = _kind(block)
        comment = _COMMENTS.get(kind)
        first, *others = _lines(block)
        yield first if comment is None or kind in told else _comment(comment) + first
        yield from others
        told.add(kind)


def _kind(block: Block) -> str:
    """What a block is: its header without brackets, and without the name of a thing in it."""
    header = "" if block.header is None else block.header.strip("[]")
    return header.partition(".")[0] if header.startswith(("stock.", "variant.")) else header


def _measures(design: Design) -> Iterator[str]:
    for name, draft in design.measures.items():
        rows = dict(measure_rows(draft))
        # What it is stands first, as in a label.
        ordered = [(key, rows.pop(key)) for key in ("about", "is", "number") if key in rows]
        yield from _lines(Block(header=f"[measures.{name}]", rows=(*ordered, *rows.items())))


def _comment(text: str) -> str:
    return (
        textwrap.fill(
            text,
            width=_COMMENT_WIDTH,
            initial_indent="# ",
            subsequent_indent="# ",
            break_long_words=False,
            break_on_hyphens=False,
        )
        + "\n"
    )


def _lines(block: Block) -> list[str]:
    """The texts of a block and of the tables inside it that are too long for one line."""
    name = "" if block.header is None else block.header.strip("[]")
    inner: list[Block] = []
    kept: list[tuple[str, _Value]] = []
    for key, text in block.rows:
        value = _read(text)
        is_long = len(key) + len(" = ") + len(text) > LONGEST_LINE
        if is_long and isinstance(value, _Table) and name:
            rows = tuple((k, v.flat) for k, v in value.rows)
            inner.append(Block(header=f"[{name}.{key}]", rows=rows))
        else:
            kept.append((key, value))
    column = max((len(key) for key, _ in kept), default=0)
    lines = [] if block.header is None else [block.header]
    for key, value in kept:
        start = f"{key:{column}} = "
        said = f"  # {MIRRORED_COMMENT}" if not name and key == "mirrored" else ""
        lines.append(start + _fitted(value, len(start), "") + said)
    return ["\n".join(lines) + "\n", *(text for one in inner for text in _lines(one))]


# The TOML texts of values as the writer makes them, taken apart to be broken
# where they are too long.


@dataclass(frozen=True, slots=True)
class _Plain:
    """A text, a number or a word."""

    flat: str


@dataclass(frozen=True, slots=True)
class _List:
    """A list of values."""

    items: tuple[_Value, ...]

    @property
    def flat(self) -> str:
        """The list on one line."""
        return "[" + ", ".join(item.flat for item in self.items) + "]"


@dataclass(frozen=True, slots=True)
class _Table:
    """An inline table."""

    rows: tuple[tuple[str, _Value], ...]

    @property
    def flat(self) -> str:
        """The table on one line."""
        return "{ " + ", ".join(f"{key} = {value.flat}" for key, value in self.rows) + " }"


_Value = _Plain | _List | _Table

_TOKEN = re.compile(r'"(?:\\.|[^"\\])*"|[\[\]{},=]|[^\s\[\]{},="]+')


def _read(text: str) -> _Value:
    waiting = [match.group() for match in _TOKEN.finditer(text)]
    waiting.reverse()
    return _value(waiting)


def _value(waiting: list[str]) -> _Value:
    token = waiting.pop()
    if token == "[":
        items: list[_Value] = []
        while waiting[-1] != "]":
            items.append(_value(waiting))
            if waiting[-1] == ",":
                waiting.pop()
        waiting.pop()
        return _List(tuple(items))
    if token == "{":
        rows: list[tuple[str, _Value]] = []
        while waiting[-1] != "}":
            key = waiting.pop()
            # The sign between a key and its value.
            waiting.pop()
            rows.append((key, _value(waiting)))
            if waiting[-1] == ",":
                waiting.pop()
        waiting.pop()
        return _Table(tuple(rows))
    return _Plain(token)


def _fitted(value: _Value, column: int, indent: str, after: int = 0) -> str:
    """A value that begins at a column with `after` signs behind it, in lines short enough.

    Lines after the first one are indented by more than `indent`.
    """
    if column + len(value.flat) + after <= LONGEST_LINE:
        return value.flat
    inside = indent + _INDENT
    match value:
        case _List():
            items = [inside + _fitted(item, len(inside), inside, 1) for item in value.items]
            return "[\n" + ",\n".join(items) + f",\n{indent}]"
        case _Table():
            # TOML lets no line end between the braces, but inside a value.
            text = "{ "
            for at, (key, item) in enumerate(value.rows):
                text += (", " if at else "") + f"{key} = "
                begin = len(text.rpartition("\n")[2]) + (0 if "\n" in text else column)
                # What stands behind it in its last line: the next key and what opens its
                # value, or the brace and what follows that.
                behind = len(" }") + after
                if at + 1 < len(value.rows):
                    behind = len(f", {value.rows[at + 1][0]} = [")
                text += _fitted(item, begin, indent, behind)
            return text + " }"
        case _Plain():
            return _broken(value.flat, inside)


def _broken(text: str, indent: str) -> str:
    """A text in quotes that goes on in other lines; a single space is where it may break."""
    room = LONGEST_LINE - len(indent) - len('""",')
    lines = [""]
    for word in re.split(r"(?<=[^ ] )(?=[^ ])", text[1:-1]):
        if lines[-1] and len(lines[-1]) + len(word) > room:
            lines.append("")
        lines[-1] += word
    return '"""\\\n' + "\\\n".join(indent + line for line in lines) + '"""'
