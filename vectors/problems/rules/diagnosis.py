"""This module holds the rules for measured folds: what was found on a made card and typed in."""

from __future__ import annotations

from .rule import STOP, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="measured-not-read",
        severity=STOP,
        text='"{text}" is not FOLD=PLACE',
        mend='write it as in --measured "steps 2=145"',
        about="A measured fold is its name, an equals sign, and where it was found.",
    ),
    Rule(
        code="measured-unknown-fold",
        severity=STOP,
        text='the design has no fold called "{name}"',
        mend="{hint}",
        about="A measured fold that is not there is a slip of the pen, not a finding.",
    ),
    Rule(
        code="measured-one-stretch",
        severity=STOP,
        text='"{name}" is one stretch of a fold, and a place is that of the whole line',
        mend='measure the line once and call it "{fold}"',
        about="All stretches of a straight fold lie on one line, so it has one place.",
    ),
    Rule(
        code="measured-bent",
        severity=STOP,
        text='fold "{name}" of "{piece}" is not one straight line, so no single place says where '
        "it lies",
        mend="leave it out and measure the straight folds",
        about="A place is the distance of an endless line from the corner of the piece.",
    ),
    Rule(
        code="measured-twice",
        severity=STOP,
        text='fold "{name}" of "{piece}" is measured twice',
        mend="keep the better of the two places",
        about="A line lies in one place only.",
    ),
    Rule(
        code="measured-off-piece",
        severity=STOP,
        text='fold "{name}" of "{piece}" cannot lie at {to}: there its ends would leave what '
        "they end on",
        mend="measure again from the lower left corner of the piece, square to the fold",
        about="A place that is not on the paper is most often measured from another edge.",
    ),
    Rule(
        code="measured-one-edition",
        severity=STOP,
        text="--measured goes with one edition of the design, not with --all-variants",
        mend="name the edition that was made with --variant, or leave --all-variants out",
        about="A made card is one card, so it can be held against one edition only.",
    ),
)
