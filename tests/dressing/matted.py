"""This module proves small cards with mats for the tests of what goes on a card."""

from __future__ import annotations

from pathlib import Path

from foldwright.design import parse_design, read_design
from foldwright.dressing.mats import Mats, mats_of
from foldwright.proving import Proof, prove_design

DESIGNS = Path(__file__).parents[1] / "designs"

HEAD = 'format = 1\nname = "matted"\nunits = "mm"\n'

# Two pages of 60 by 80 mm; the fold runs up the middle.
BOOK = (
    '[[piece]]\nname = "card"\noutline = { rectangle = [120, 80] }\n'
    '[[piece.fold]]\nname = "spine"\nsense = "valley"\npoints = [[60, 0], [60, 80]]\n'
)

# The same sheet with its fold across: the lower half is the floor, the upper one the wall.
STAGE = (
    '[[piece]]\nname = "card"\noutline = { rectangle = [80, 120] }\n'
    '[[piece.fold]]\nname = "gutter"\nsense = "valley"\npoints = [[0, 60], [80, 60]]\n'
)


def proved(text: str) -> Proof:
    """The proof of a design without its head."""
    return prove_design(parse_design(HEAD + text))


def matted(text: str) -> Mats:
    """The mats of a design without its head."""
    return mats_of(proved(text))


def shipped(name: str) -> Proof:
    """The proof of one of the designs of the tests."""
    return prove_design(read_design(DESIGNS / f"{name}.toml"))


def mat(on: str = "card", **keys: object) -> str:
    """A table [[mat]]; texts are quoted, whatever else is written as it is."""
    lines = [f'on = "{on}"']
    for key, value in keys.items():
        shown = f'"{value}"' if isinstance(value, str) else value
        lines.append(f"{key} = {shown}")
    return "[[mat]]\n" + "\n".join(lines) + "\n"


def pose(hold: float, fold: str = "spine", **keys: object) -> str:
    """A pose called standing in which one fold is held."""
    lines = [f'hold = {{ "card/{fold}" = {hold} }}']
    lines += [f"{key} = {value}" for key, value in keys.items()]
    return '[[pose]]\nname = "standing"\n' + "\n".join(lines) + "\n"
