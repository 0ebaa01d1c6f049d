"""Envelopes and sheets are held against what is known: names, sizes, lengths."""

from __future__ import annotations

from fractions import Fraction

import pytest

from foldwright.design import Envelope, Form, parse_design, resolve
from foldwright.design.sheets import is_sheet, sheet_size
from foldwright.measures import Unit
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
    }


def test_a_clearance_is_no_negative_length() -> None:
    envelope = '[envelope]\nform = "four-flap"\nclearance_each_side = {c}\n'
    assert told(envelope.replace("{c}", "0")) == {}
    with pytest.raises(DesignError) as caught:
        told(envelope.replace("{c}", "-1"))
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.line) == ("not-positive", LINE + 3)


def refused(text: str) -> tuple[str, str, str]:
    with pytest.raises(DesignError) as caught:
        told(text)
    (problem,) = caught.value.problems
    return problem.rule, problem.message, problem.mend


def test_an_envelope_is_worked_out() -> None:
    text = (
        f'{HEAD}[envelope]\nform = "square-blank"\nclearance_each_side = "1/8 in"\n'
        'corner = "spare"\nstock = "thin"\n[measures]\nspare = 14\n'
        "[variant.wide]\nmeasures = { spare = 20 }\n"
    )
    design = parse_design(text)
    found = resolve(design)
    assert found.envelope == Envelope(
        form=Form.SQUARE_BLANK,
        clearance=Fraction("3.175"),
        corner=Fraction(14),
        stock="thin",
        place=found.envelope.place if found.envelope else design.place,
    )
    assert "thin" in found.stocks
    assert [note.rule for note in found.notes] == ["undeclared-stock"]
    wide = resolve(design, variant="wide").envelope
    assert wide is not None
    assert wide.corner == 20
    assert resolve(parse_design(f'{HEAD}[envelope]\nform = "none"\n')).envelope is None


def test_a_standard_envelope_has_a_name() -> None:
    envelope = '[envelope]\nform = "standard"\nstandard = "{s}"\n'
    assert told(envelope.replace("{s}", "C6/C5")) == {}
    assert refused(envelope.replace("{s}", "C61")) == (
        "unknown-envelope",
        'no standard envelope is called "C61"',
        'did you mean "C6"?',
    )


@pytest.mark.parametrize(
    ("form", "key", "of"),
    [
        ("four-flap", 'standard = "C6"', "standard"),
        ("standard", "corner = 12", "square-blank"),
    ],
)
def test_a_key_without_its_form_is_told(form: str, key: str, of: str) -> None:
    rule, _, mend = refused(f'[envelope]\nform = "{form}"\n{key}\n')
    assert (rule, mend) == ("envelope-key-unused", f'leave it out, or write form = "{of}"')


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
        "Letter",
        "legal",
        "ANSI C",
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


@pytest.mark.parametrize(
    ("text", "units", "sides"),
    [
        ("A4", Unit.MM, (210, 297)),
        ("a4", Unit.IN, (210, 297)),
        ("letter", Unit.MM, (Fraction("215.9"), Fraction("279.4"))),
        ("12 x 12", Unit.IN, (Fraction("304.8"), Fraction("304.8"))),
        ("12 x 12", Unit.MM, (12, 12)),
        ("8 1/2 x 11 in", Unit.MM, (Fraction("215.9"), Fraction("279.4"))),
        ("30 cm x 210 mm", Unit.IN, (300, 210)),
        ("big", Unit.MM, None),
    ],
)
def test_the_sides_of_a_sheet(
    text: str, units: Unit, sides: tuple[Fraction, Fraction] | None
) -> None:
    assert sheet_size(text, units) == sides
