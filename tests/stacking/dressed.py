"""Cards with things glued on them, from the text of a design."""

from __future__ import annotations

from collections.abc import Mapping

from foldwright.design import Resolved, parse_design, resolve
from foldwright.folding.loops import PanelKey
from foldwright.panels import Assembly, assemble, divide

HEAD = 'format = 1\nname = "Pebble"\nunits = "mm"\n'


def card(text: str) -> tuple[Assembly, Resolved]:
    """A design, divided, from its text without the head."""
    resolved = resolve(parse_design(HEAD + text))
    divisions = {piece.name: divide(piece) for piece in resolved.pieces}
    assert [p for division in divisions.values() for p in division.problems] == []
    return assemble(divisions, resolved.joints), resolved


def named(assembly: Assembly) -> Mapping[str, PanelKey]:
    """The panels by their names."""
    return {
        panel.name: (piece, panel.index)
        for piece, division in assembly.divisions.items()
        for panel in division.panels
    }


PLATE = """
[[piece]]
name = "card"
outline = { rectangle = [100, 60] }
"""
