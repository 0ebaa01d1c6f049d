"""This module holds the rules for folding: loops that do not close, vertices that stay up."""

from __future__ import annotations

from .rule import NOTE, STOP, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="buckles",
        severity=STOP,
        text='the loop round {loop} of "{of}" buckles by {gap} when closed: {sides}{look}',
        mend="{mend}",
        about="One side of the loop reaches farther than the other lets it, so the paper bulges.  "
        "The severity follows from the gap that the material forgives.",
    ),
    Rule(
        code="gapes",
        severity=STOP,
        text='the loop round {loop} of "{of}" gapes by {gap} when closed{sides}{turn}',
        mend="{mend}",
        about="The panels of the loop do not meet again: a side falls short and the paper pulls.  "
        "The severity follows from the gap that the material forgives.",
    ),
    Rule(
        code="turned",
        severity=STOP,
        text='the loop round {loop} of "{of}" crosses {count} half turns, an odd number, '
        "so its panels come back face down",
        mend="add the fold that is missing or leave out the one too many",
        about="Every half turn turns the paper over; round a loop it must come back face up.",
    ),
    Rule(
        code="kawasaki",
        severity=STOP,
        text='the folds that meet at {spot} in "{of}" cannot fold flat: every other angle '
        "adds to {first} and {second} degrees, not 180 each (gap {gap})",
        mend="{mend}",
        about="Kawasaki's theorem, at an inner vertex whose folds are all turned shut.",
    ),
    Rule(
        code="maekawa",
        severity=STOP,
        text='of the folds that meet at {spot} in "{of}" {mountains} are mountains and '
        "{valleys} valleys; folded flat they must differ by 2",
        mend="turn the sense of one of them",
        about="Maekawa's theorem, at an inner vertex whose folds are all turned shut.",
    ),
    Rule(
        code="material-unknown",
        severity=NOTE,
        text="{what} has no material, so no gap is forgiven and no thickness is known",
        mend="give it one in the design, or with --material",
        about="How much a card forgives, and how thick it is, depends on its paper.",
    ),
    Rule(
        code="first-piece-measured",
        severity=NOTE,
        text='the closed size is that of the first piece, "{piece}"',
        mend="put the piece that is folded last of all first in the file",
        about="A design of several pieces has one closed size.",
    ),
)
