"""What is kept and not judged is still held against what is known: pieces, sizes, names."""

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


def test_an_extra_off_its_piece() -> None:
    extra = '[[extra]]\non = "card/page"\nat = {at}\n'
    assert told(extra.replace("{at}", "[110, 170]")) == {}
    assert told(extra.replace("{at}", "[10, 20]")) == {}
    assert told(extra.replace("{at}", "[110.1, 30]")) == {
        "extra-off-its-piece": ("warn", 'extra 1 lies off piece "card" at (110.1, 30) mm', 3)
    }
    # The name of the panel alone is enough where there is one piece.
    assert "extra-off-its-piece" in told(extra.replace("card/", "").replace("{at}", "[9, 30]"))


def test_a_margin_that_leaves_something() -> None:
    mat = '[[mat]]\non = "card"\nmargin = {m}\n'
    assert told(mat.replace("{m}", "49.9")) == {}
    with pytest.raises(DesignError) as caught:
        told(mat.replace("{m}", "50"))
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.line) == ("margin-too-wide", LINE + 3)
    assert "which is 100 mm by 150 mm" in problem.message


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('[[mat]]\non = "card"\npanels = ["panel 9"]\n', 1),
        ('[[extra]]\non = "card/panel 9"\n', 1),
    ],
)
def test_what_is_only_counted_is_said_to_be_taken_on_trust(text: str, line: int) -> None:
    found = told(text)
    assert list(found) == ["taken-on-trust"]
    severity, message, place = found["taken-on-trust"]
    assert (severity, place) == ("note", line)
    assert "9" in message
    named = text.replace("panel 9", "page")
    assert told(named) == {}


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ('[[extra]]\non = "zebra/panel 9"\n', 'there is no piece "zebra": known here: "card"'),
        ('[[extra]]\non = "card/pages"\n', 'did you mean "card/page"?'),
        ('[[pose]]\nname = "up"\nhold = { "guter#9" = 90 }\n', 'did you mean "gutter"?'),
    ],
)
def test_a_reference_to_nothing_is_refused(text: str, hint: str) -> None:
    with pytest.raises(DesignError) as caught:
        told(text)
    (problem,) = caught.value.problems
    assert (problem.rule, problem.mend) == ("unknown-part", hint)


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
