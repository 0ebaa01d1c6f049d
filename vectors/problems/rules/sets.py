"""This module holds the rules for the whole set of a card: which of its parts are written."""

from __future__ import annotations

from .rule import NOTE, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="part-without-material",
        severity=WARN,
        text="no file is written for {parts}: {why}",
        mend="{hint}",
        about="What goes on and round a card may be cut by hand from paper that nobody described; "
        "the card itself is written all the same, and what is left out is told.",
    ),
    Rule(
        code="no-such-part",
        severity=WARN,
        text="there is nothing of it to cut: {why}",
        mend="leave it out, or add {table} to the design",
        about="A part that is asked for and is not there is a misunderstanding.  It is a stop "
        "where nothing else is left to write.",
    ),
    Rule(
        code="nothing-to-place",
        severity=NOTE,
        text="{option} changes nothing: {why}",
        mend="leave it out",
        about="An option without an effect is often a misunderstanding.",
    ),
    Rule(
        code="letter-no-room",
        severity=NOTE,
        text="{parts} {have} no room for a letter on the back",
        mend="write it there with a pencil",
        about="Letters smaller than 2 mm cannot be read.",
    ),
    Rule(
        code="sense-no-room",
        severity=NOTE,
        text='piece "{piece}" has no room for a letter beside the {folds} {names}',
        mend="see its sense in the picture of prove",
        about="The letters M and V keep 1 mm from every fold and cut, or the tool would run "
        "through them.",
    ),
)
