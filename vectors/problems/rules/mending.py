"""This module holds the rules for mends of measures: why there is none, why none is written."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="no-measure-to-change",
        severity=NOTE,
        text="there is no measure that a mend may change: none is written as a plain length, "
        "or all of those are to be kept",
        mend="give the lengths that may change names in [measures], without keep = true",
        about="A mend changes lengths that the design states as a number; those that are reckoned "
        "from others follow, and those to be kept stay.",
    ),
    Rule(
        code="measures-are-tied",
        severity=NOTE,
        text="no measure can be changed: the limits of {names} leave one value each",
        mend="lower a least or raise a most",
        about="A mend keeps to the limits that the design states.",
    ),
    Rule(
        code="no-measure-mends",
        severity=NOTE,
        text="no change of {names} closes the card: searched were {reach}, within their limits",
        mend="choose a finer ruler, widen a limit, or move a line by hand",
        about="The lengths that would close it lie between the ruler's lines, beyond a limit, "
        "further away, or in numbers that stand in the lines and have no name.",
    ),
    Rule(
        code="nothing-to-mend",
        severity=NOTE,
        text="every loop closes already, so nothing is written",
        mend="leave it as it is",
        about="A design that closes needs no mend.",
    ),
    Rule(
        code="not-mended",
        severity=WARN,
        text="{why}, so no mended design is written",
        mend="{mend}",
        about="What is written out in numbers, or cannot be judged, has to be mended by hand.",
    ),
    Rule(
        code="mended-differs",
        severity=STOP,
        text="the mended design does not close when it is read again, so it is not written",
        mend="change the measures in the file by hand",
        about="A mended design is read again and proved before its file gets its name.",
    ),
    Rule(
        code="edition-open",
        severity=WARN,
        text="another edition of the mended design does not close: {edition}",
        mend="prove the mended file{again} and mend that edition too",
        about="Editions share measures; a mend is made for the one that was asked for.",
    ),
    Rule(
        code="not-rounded",
        severity=NOTE,
        text="not rounded: {names}, {why}",
        mend="{mend}",
        about="Rounding keeps to the limits that the design states, makes no length 0, and leaves "
        "a card that closes closed.",
    ),
    Rule(
        code="unknown-ruler",
        severity=STOP,
        text='there is no ruler "{found}"',
        mend="choose one of {known}",
        about="Rulers are called by their division.",
    ),
    Rule(
        code="mend-one-edition",
        severity=STOP,
        text="--all-variants proves every edition, but --mend and --round-to change one",
        mend="name the edition with --variant, or leave --all-variants out",
        about="Editions share measures, so a mend of one may open another.",
    ),
)
