"""This module holds the rules for tolerance: what the errors of a tool do to a good design."""

from __future__ import annotations

from .rule import NOTE, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="tolerance-exceeds",
        severity=WARN,
        text="made by {tool}, whose lines lie within {tolerance}, 19 of 20 cards meet within {rss} "
        'round {loop} of "{piece}", with every line off the wrong way within {worst}, and the '
        "material gives {gives}{known}{more}",
        mend="{mend}",
        about="It says where care pays, and the worst loop of the card speaks for all.  Of each "
        "flat loop the errors of its lines are added up.  A warning: even their "
        "root-sum-square is more than the material gives.  A note: only their worst case is, "
        "or a figure is an estimate.  "
        "Nothing is said where both are within it.  It is never a stop, for the design is right.",
    ),
    Rule(
        code="tolerance-at-worst",
        severity=NOTE,
        text="made by {tool}, whose lines lie within {tolerance}, the loop round {loop} of "
        '"{piece}" meets within {rss} in 19 of 20 cards, with every line off the wrong way within '
        "{worst}, and the material gives {gives}{known}{more}",
        mend="{mend}",
        about="Only if all errors fall the wrong way at once does the card miss by more than the "
        "material gives.",
    ),
    Rule(
        code="tolerance-zero",
        severity=NOTE,
        text='"{material}" says that the {tool} has a tolerance of 0 mm, so nothing is reckoned '
        "from it",
        mend="measure a few lines on a scrap and give the largest error as the tolerance",
        about="No tool is exact; a tolerance of nothing would say that every card closes.",
    ),
    Rule(
        code="tolerance-too-large",
        severity=WARN,
        text='"{material}" says that the {tool} has a tolerance of {tolerance}, and the piece '
        '"{piece}" is only {side} wide: nothing is reckoned from it',
        mend="check the tolerance and its unit: in a material's file lengths are mm",
        about="An error as large as the card is no error of a line but a slip of the unit.",
    ),
    Rule(
        code="tolerance-flat-only",
        severity=NOTE,
        text='tolerance is not judged for the loop round {loop} of "{piece}", which does not lie '
        "flat when the card is shut",
        mend="make one on a scrap first",
        about="In a loop that stands up the angles of the folds count as much as their lines, and "
        "no profile says how exact those are.",
    ),
)
