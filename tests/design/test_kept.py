"""What is kept and not judged is still held against what is known: sizes, lengths."""

from __future__ import annotations

import pytest

from foldwright.design import parse_design, resolve
from foldwright.design.sheets import is_sheet
from foldwright.problems import DesignError

HEAD = """\
format = 1
name = "Pebble"
units = "mm"

[[piece]]
name = "card"
outline = { rectangle = [10, 20, 100, 150] }

  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [[10, 95], [110, 95]]

  [[piece.panel]]
  name = "page"
  at = [50, 50]
"""
LINE = HEAD.count("\n")


def told(text: str) -> dict[str, tuple[str, str, int]]:
    notes = resolve(parse_design(HEAD + text, "card.toml")).notes
    return {
        note.rule: (str(note.severity), note.message, (note.place.line or 0) - LINE)
        for note in notes
        if note.rule != "not-judged"
    }


def test_a_clearance_is_no_negative_length() -> None:
    envelope = '[envelope]\nform = "four-flap"\nclearance_each_side = {c}\n'
    assert told(envelope.replace("{c}", "0")) == {}
    with pytest.raises(DesignError) as caught:
        told(envelope.replace("{c}", "-1"))
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.line) == ("not-positive", LINE + 3)


def test_an_unknown_sheet_is_a_note() -> None:
    stock = '[stock.card]\nmaterial = "card-200"\nsheet = "{s}"\n'
    assert told(stock.replace("{s}", "A4")) == {}
    severity, message, line = told(stock.replace("{s}", "A99"))["unknown-sheet"]
    assert (severity, line) == ("note", 3)
    assert '"A99"' in message


@pytest.mark.parametrize(
    "text",
    [
        "A4",
        "a10",
        "B0",
        "C6",
        "12x12in",
        "12 x 12 in",
        "210 x 297 mm",
        "8 1/2 in x 11 in",
        "30\u00d730",
    ],
)
def test_sheets_that_are_known(text: str) -> None:
    # A and B: ISO 216; C: ISO 269; any other sheet by its sides.
    assert is_sheet(text)


@pytest.mark.parametrize(
    "text", ["A11", "A99", "D4", "", "big", "0 x 12 in", "12", "12 x", "12 x 12 feet"]
)
def test_sheets_that_are_not(text: str) -> None:
    assert not is_sheet(text)
