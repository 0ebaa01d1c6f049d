"""Pieces and the sheets that their stock is bought in."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from foldwright.design.pieces import Resolved
from foldwright.problems import Problem, Severity
from foldwright.proving import prove

DesignOf = Callable[[str], Resolved]

# 210 by 148 mm, A5 lying.
PIECE = """
    [stock.card]
    sheet = "{sheet}"
    [[piece]]
    name = "base"
    stock = "card"
    outline = {{ rectangle = [{width}, 148] }}
    """


def found(sheet: str, design_of: DesignOf, width: str = "210") -> list[Problem]:
    proof = prove(design_of(PIECE.format(sheet=sheet, width=width)), {})
    return [one for one in proof.findings if one.rule == "piece-past-sheet"]


@pytest.mark.parametrize("sheet", ["A5", "A4", "148 x 210 mm", "210 x 148 mm", "12 x 12 in"])
def test_a_piece_that_fits_either_way_round(sheet: str, design_of: DesignOf) -> None:
    assert found(sheet, design_of) == []


def test_a_piece_larger_than_its_sheet(design_of: DesignOf) -> None:
    # A6 is 105 by 148 mm (ISO 216): 62 mm are missing along, 43 mm across.
    (one,) = found("A6", design_of)
    assert (one.severity, one.measure_mm) == (Severity.WARN, 62.0)
    assert '"base" is 210 mm by 148 mm, 62 mm larger than a sheet of A6' in one.message


def test_a_hair_too_long(design_of: DesignOf) -> None:
    (one,) = found("A5", design_of, '"210.1 mm"')
    assert one.measure_mm == pytest.approx(0.1)


def test_a_stock_without_a_sheet(design_of: DesignOf) -> None:
    text = PIECE.format(sheet="A6", width="210").replace('sheet = "A6"', 'material = "card-200"')
    rules = {one.rule for one in prove(design_of(text), {}).findings}
    assert "piece-past-sheet" not in rules
