"""This module proves small cards with envelopes, for tests."""

from __future__ import annotations

from types import MappingProxyType

from foldwright.design import parse_design
from foldwright.design.pieces import Piece, Resolved
from foldwright.proving import Proof, prove, prove_design


def card(
    envelope: str,
    *,
    width: str = "105",
    height: str = "148",
    units: str = "mm",
    material: str = "card-200",
    more: str = "",
) -> Proof:
    """The proof of a half fold card that closes to a width and a height, with its envelope."""
    text = f"""\
format = 1
name = "Pebble"
units = "{units}"

[stock.card]
material = "{material}"

[stock.thin]
material = "text-120"
sheet = "A4"

[measures]
width = "{width}"
height = "{height}"

[[piece]]
name = "card"
stock = "card"
outline = {{ rectangle = ["2 * width", "height"] }}

  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [["width", 0], ["width", "height"]]

[envelope]
{envelope}
{more}"""
    if not material:
        text = text.replace('material = ""\n', "")
    return prove_design(parse_design(text, "card.toml"))


def proof_of(piece: Piece) -> Proof:
    """The proof of one piece by itself."""
    return prove(
        Resolved(
            name="Envelope",
            version=None,
            units="mm",
            variant=None,
            pieces=(piece,),
            joints=(),
            stocks=MappingProxyType({}),
            measures=MappingProxyType({}),
        ),
        {},
    )


def stops_and_warns(proof: Proof) -> list[str]:
    """The rules that a proof finds broken, notes left out."""
    return [one.rule for one in proof.findings if str(one.severity) != "note"]
