"""This module says what the form asks for: its sections, and how each reading is to be taken."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from .hinge_test import PLIES

# Of the form, not of the program: a form of another version may mean another thing by a key.
VERSION = 1


class Kind(StrEnum):
    """What a reading is: lengths, once or repeated, or the number of a tooth."""

    LENGTHS = "lengths"
    TOOTH = "tooth"


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """One key that the maker fills in, and what it is for, in plain words."""

    key: str
    kind: Kind
    about: str
    # A fold may take up nothing; a length of anything else is more than that.
    may_be_nothing: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """The part of the form for one gauge; `drawn` are the keys of what was drawn."""

    name: str
    title: str
    how: str
    drawn: tuple[str, ...]
    asked: tuple[Asked, ...]


def _lengths(key: str, about: str, *, may_be_nothing: bool = False) -> Asked:
    return Asked(key=key, kind=Kind.LENGTHS, about=about, may_be_nothing=may_be_nothing)


def _tooth(key: str, about: str) -> Asked:
    return Asked(key=key, kind=Kind.TOOTH, about=about)


SECTIONS: tuple[Section, ...] = (
    Section(
        name="size_bar",
        title="size bar: did the file come in at its true size?",
        how="Measure both bars with a ruler, from the first long tick to the last one. "
        "The single line is the metric bar, the double line the one in inches.",
        drawn=("drawn",),
        asked=(
            _lengths("metric", "the single line, drawn 50 mm long"),
            _lengths("inch", "the double line, drawn 2 in long"),
        ),
    ),
    Section(
        name="kerf",
        title="square in a square: how much does the tool remove?",
        how="Take out the three squares. Measure each piece and the hole that it came from, with "
        "a caliper, across the middle and clear of the bridges: x along the drawn line, y "
        "across it. Give one reading a square; from all three it is told how well they repeat.",
        drawn=("drawn",),
        asked=(
            _lengths("hole_x", "the holes, along the drawn line"),
            _lengths("piece_x", "the pieces, along the drawn line"),
            _lengths("hole_y", "the holes, across it"),
            _lengths("piece_y", "the pieces, across it"),
        ),
    ),
    Section(
        name="slots",
        title="slot and tongue: which slot takes the edge of the material?",
        how="Push the tongue into the slots, the narrowest first, and count the ticks of the "
        "first one that it slides into without force.",
        drawn=("drawn",),
        asked=(_tooth("takes", "ticks below the narrowest slot that takes the tongue"),),
    ),
    Section(
        name="caliper",
        title="caliper: how thick is one ply?",
        how="Stack loose plies of the material, such as those of the hinge test or the squares, "
        "press them together and measure the stack.",
        drawn=("plies",),
        asked=(_lengths("stack", "the thickness of the whole stack"),),
    ),
    Section(
        name="hinge",
        title="hinge test: how much length does a fold take up?",
        how="Fold the strip with two ticks round two loose plies, pushed into the fold, rulers "
        "up. Lay one end of the strip flush with the ends of the plies and press the fold flat: "
        "the other end falls short. Read on the ruler how far from the end of the ply that is: "
        "whole mm stand on the left, half ones on the right. Do the same with four and six.",
        drawn=("plies",),
        asked=tuple(
            _lengths(f"short_{plies}", f"with {plies} plies", may_be_nothing=True)
            for plies in PLIES
        ),
    ),
    Section(
        name="score",
        title="score comb: how far should a score stop short of an edge?",
        how="Fold every tooth over. Choose the first one that neither tears at the ends of its "
        "score nor leaves them unfolded, and count its ticks.",
        drawn=("drawn",),
        asked=(_tooth("folds", "ticks of the tooth that folds best"),),
    ),
    Section(
        name="bridges",
        title="bridge comb: how long must a bridge be?",
        how="Lift the sheet and tap it. Count the ticks below the first square that still hangs "
        "in it and comes out by hand without tearing.",
        drawn=("drawn",),
        asked=(_tooth("holds", "ticks below the square with the shortest bridges that held"),),
    ),
    Section(
        name="perforation",
        title="perforation comb: which rhythm tears or folds as you want it?",
        how="Fold each tooth over and tear it off; the stiffest comes first. Count the ticks of "
        "the one that you like best.",
        drawn=("drawn_cut", "drawn_tie"),
        asked=(_tooth("tears", "ticks of the tooth that you like best"),),
    ),
)
