"""This module holds the rules for limits: what the author asks of the finished card."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="closed-too-large",
        severity=STOP,
        text="the closed card is {width} by {height} mm and may be {most_width} by {most_height} "
        "mm: {over}",
        mend="make the card smaller, or raise the limit",
        about="The largest closed size that the design allows, in either of the two ways round: "
        "a card goes into its envelope turned by a quarter turn as well.",
    ),
    Rule(
        code="closed-size-unknown",
        severity=NOTE,
        text="the limit of the closed size is not judged, because the closed size is not known",
        mend="mend the lines that cannot be judged first",
        about="A piece that cannot be divided into panels cannot be folded shut.",
    ),
    Rule(
        code="limit-not-judged",
        severity=NOTE,
        text='the limit "{limit}" is read and kept but not judged yet',
        mend="check it on a folded sample",
        about="Plies are not counted and standing is not reckoned in this version.",
    ),
    Rule(
        code="piece-past-sheet",
        severity=WARN,
        text='piece "{name}" is {size}, {over} larger than a sheet of {sheet}',
        mend='give the stock "{stock}" a larger sheet, or make the piece smaller',
        about="A piece is cut in one from a sheet of its stock, its edges along those of the "
        "sheet; it may be turned by a quarter turn.",
    ),
)
