"""This module holds the scanner: the line of every key and element, told by others than itself."""

from __future__ import annotations

from typing import Any

import pytest
import spanned_toml
from hypothesis import given
from hypothesis import strategies as st

from foldwright.sources import KeyPath, parse_source

# Each document with the lines that a person counted.
COUNTED: dict[str, tuple[str, dict[KeyPath, int]]] = {
    "quoted keys that hold signs": (
        '"a]b" = 1\n[t."x = [1]"]\n\'k#\' = 2\n"q\\"]\\u0041" = 3\n',
        {
            ("a]b",): 1,
            ("t", "x = [1]"): 2,
            ("t", "x = [1]", "k#"): 3,
            ("t", "x = [1]", 'q"]A'): 4,
        },
    ),
    "strings of several lines": (
        'a = """\n[no]\nb = 1\n\\""" # in it"""\nc = \'\'\'\n"""\n# no\'\'\'\n'
        'd = """""x"""""\ne = 1\n',
        {("a",): 1, ("c",): 5, ("d",): 8, ("e",): 9},
    ),
    "empty strings": ("a = \"\"\nb = ''\nc = \"\"\"\"\"\"\nd = ''''''\ne = 1\n", {("e",): 5}),
    "comments with quotes": (
        'a = 1 # "\n# """ \'\'\'\n[t] # ] [[ "\nb = [ # [ "\n 1, # ,\n 2,\n]\nc = 2\n',
        {("a",): 1, ("t",): 3, ("t", "b"): 4, ("t", "b", 0): 5, ("t", "b", 1): 6, ("t", "c"): 8},
    ),
    "arrays in arrays": (
        "points = [\n  [1, 2],\n\n  [\n    3,\n    4],\n]\n",
        {
            ("points",): 1,
            ("points", 0): 2,
            ("points", 0, 1): 2,
            ("points", 1): 4,
            ("points", 1, 0): 5,
            ("points", 1, 1): 6,
        },
    ),
    "inline tables": (
        "a = { b = 1, c = { d = [\n 1,\n 2 ], e.f = 3 }, g = 4 }\n"
        "h = [ {}, { i = 1 },\n{ j = 2 } ]\n",
        {
            ("a", "c", "d"): 1,
            ("a", "c", "d", 1): 3,
            ("a", "c", "e"): 3,
            ("a", "c", "e", "f"): 3,
            ("a", "g"): 3,
            ("h", 0): 4,
            ("h", 1, "i"): 4,
            ("h", 2, "j"): 5,
        },
    ),
    "dotted keys": (
        "a.b = 1\na . c = 2\na.'d e'.\"f\" = 3\n[g.h]\ni.j = 4\n",
        {
            ("a",): 1,
            ("a", "b"): 1,
            ("a", "c"): 2,
            ("a", "d e"): 3,
            ("a", "d e", "f"): 3,
            ("g",): 4,
            ("g", "h"): 4,
            ("g", "h", "i", "j"): 5,
        },
    ),
    "arrays of tables": (
        "[[piece]]\nn = 1\n[[piece.fold]]\nx = 1\n[[piece.fold]]\nx = 2\n[[piece]]\n"
        "[[piece.fold]]\nx = 3\n[piece.fold.more]\ny = 4\n[[ piece . 'fold' ]]\nx = 5\n",
        {
            ("piece",): 1,
            ("piece", 0): 1,
            ("piece", 0, "fold"): 3,
            ("piece", 0, "fold", 1): 5,
            ("piece", 0, "fold", 1, "x"): 6,
            ("piece", 1): 7,
            ("piece", 1, "fold", 0, "x"): 9,
            ("piece", 1, "fold", 0, "more"): 10,
            ("piece", 1, "fold", 0, "more", "y"): 11,
            ("piece", 1, "fold", 1): 12,
            ("piece", 1, "fold", 1, "x"): 13,
        },
    ),
    "a table named before its header": (
        "[a.b]\nx = 1\n[a]\ny = 2\n",
        {("a",): 3, ("a", "b"): 1, ("a", "y"): 4},
    ),
    "dates with a space, numbers with signs": (
        "a = [1979-05-27 07:32:00, -1.5e+3, +inf,\n 0xff, true]\nb = 07:32:00\n",
        {("a", 0): 1, ("a", 2): 1, ("a", 3): 2, ("a", 4): 2, ("b",): 3},
    ),
    "no line break at the end": ("[a]\n[a.b]\nc = 1", {("a", "b", "c"): 3}),
    "signs that are no line breaks": ('a = "\u2028\u0085"\n# \u2028\nb = 1\n', {("b",): 3}),
}


@pytest.mark.parametrize("name", COUNTED)
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_lines_are_those_a_person_counts(name: str, ending: str) -> None:
    text, lines = COUNTED[name]
    source = parse_source(text.replace("\n", ending), "card.toml")
    assert {path: source.place(*path).line for path in lines} == lines


def told_by_spans(value: Any, text: str) -> dict[KeyPath, int]:
    """The line of every key and element by the spans that a parser with positions keeps.

    The parser is the general-purpose package spanned-toml, a fork of the
    standard library's reader that keeps the offsets of keys and values.
    """
    found: dict[KeyPath, int] = {}

    def walk(spanned: Any, path: KeyPath) -> None:
        inner = spanned.inner() if isinstance(spanned, spanned_toml._types.Spanned) else spanned
        if isinstance(inner, dict):
            for key, item in inner.items():
                found[(*path, key.inner())] = text.count("\n", 0, key.span().start) + 1
                walk(item, (*path, key.inner()))
        elif isinstance(inner, list):
            for index, item in enumerate(inner):
                if item.span().stop:  # a table that a header makes has no span of its own
                    found[(*path, index)] = text.count("\n", 0, item.span().start) + 1
                walk(item, (*path, index))

    walk(value, ())
    return found


@pytest.mark.parametrize("name", [name for name in COUNTED if "before its header" not in name])
def test_lines_agree_with_a_parser_that_keeps_positions(name: str) -> None:
    text, _ = COUNTED[name]
    told = told_by_spans(spanned_toml.loads(text), text)
    source = parse_source(text, "card.toml")
    assert told
    assert {path: source.place(*path).line for path in told} == told


# Documents that know the lines of their own keys.

SCALARS = (
    "1",
    "-2.5",
    "true",
    "1979-05-27 07:32:00",
    '"a ] } , = # b"',
    "'c:\\] [[ #'",
    '"\\"]"',
    '"""one\n[two]\n# "three" """',
    "'''\n'''",
    '""',
)
KEYS = ("a", "b-c", "1", '"]"', "'# = ['", '"\\t}"')
MEANT = {'"]"': "]", "'# = ['": "# = [", '"\\t}"': "\t}"}


class Page:
    """A document being written, and the line on which each key of it stands."""

    def __init__(self) -> None:
        self.text = ""
        self.lines: dict[KeyPath, int] = {}
        self.comments = 0

    @property
    def line(self) -> int:
        return self.text.count("\n") + 1

    def value(self, draw: st.DrawFn, path: KeyPath, depth: int) -> None:
        self.lines.setdefault(path, self.line)
        kind = draw(st.sampled_from(("scalar", "array", "table") if depth else ("scalar",)))
        if kind == "scalar":
            self.text += draw(st.sampled_from(SCALARS))
        elif kind == "array":
            self.text += "["
            for index in range(draw(st.integers(0, 3))):
                self.gap(draw)
                self.value(draw, (*path, index), depth - 1)
                self.gap(draw)
                self.text += ","
            self.gap(draw)
            self.text += "]"
        else:
            keys = draw(st.lists(st.sampled_from(KEYS), max_size=3, unique=True))
            self.text += "{"
            for place, key in enumerate(keys):
                self.text += " , " if place else ""
                self.pair(draw, path, key, depth - 1)
            self.text += "}"

    def pair(self, draw: st.DrawFn, path: KeyPath, key: str, depth: int) -> None:
        parts = [key, draw(st.sampled_from(KEYS))] if draw(st.booleans()) else [key]
        for part in parts:
            path = (*path, MEANT.get(part, part))
            self.lines.setdefault(path, self.line)
        self.text += draw(st.sampled_from((".", " . "))).join(parts) + " = "
        self.value(draw, path, depth)

    def gap(self, draw: st.DrawFn) -> None:
        gap = draw(st.sampled_from(("", " ", "\n", "\n\n\t", ' # ] " \n')))
        self.comments += "#" in gap
        self.text += gap

    def body(self, draw: st.DrawFn, path: KeyPath) -> None:
        for key in draw(st.lists(st.sampled_from(KEYS), max_size=3, unique=True)):
            self.pair(draw, path, key, 2)
            self.gap(draw)
            self.text += "\n"


@st.composite
def pages(draw: st.DrawFn) -> Page:
    page = Page()
    page.body(draw, ())
    for number in range(draw(st.integers(0, 3))):
        name = f"t{number}"
        if draw(st.booleans()):
            page.lines[(name,)] = page.line
            page.text += f"[{name}]\n"
            page.body(draw, (name,))
            continue
        for index in range(draw(st.integers(1, 3))):
            page.lines.setdefault((name,), page.line)
            page.lines[(name, index)] = page.line
            page.text += f"[[ {name} ]] # ]\n"
            page.comments += 1
            page.body(draw, (name, index))
            for inner in range(draw(st.integers(0, 2))):
                page.lines.setdefault((name, index, "in ]"), page.line)
                page.lines[(name, index, "in ]", inner)] = page.line
                page.text += f'[[{name}."in ]"]]\n'
                page.body(draw, (name, index, "in ]", inner))
    return page


@given(pages(), st.sampled_from(("\n", "\r\n")))
def test_every_line_of_a_made_document_is_found(page: Page, ending: str) -> None:
    source = parse_source(page.text.replace("\n", ending), "card.toml")
    assert {path: source.place(*path).line for path in page.lines} == page.lines
    assert len(source.comments) == page.comments


def test_comments_are_kept_with_their_lines() -> None:
    text = '# top\n\na = "# no" # "yes" \n  # alone \nb = """\n# no\n"""\nc = [ # in\n]#end'
    source = parse_source(text, "card.toml")
    assert [(one.line, one.text, one.alone) for one in source.comments] == [
        (1, "top", True),
        (3, '"yes"', False),
        (4, "alone", True),
        (8, "in", False),
        (9, "end", False),
    ]
