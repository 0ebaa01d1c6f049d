"""This module holds the rules for mats as parts to cut, and for panels to write on."""

from __future__ import annotations

from .rule import NOTE, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="mat-not-an-l",
        severity=NOTE,
        text='{what} on panel "{panel}" is no L of right angles with room for a seam, so it '
        "is cut as one piece",
        mend='leave out l_shape = "two", or name only panels that are L-shaped',
        about="Only an L comes apart into two rectangles with one straight cut.",
    ),
    Rule(
        code="print-seen-flat",
        severity=NOTE,
        text="the print directions of the mats are those of the flat pieces, for the design names "
        "no pose",
        mend='add a [[pose]] called "standing" that holds the card as it is looked at',
        about="Which way is up on a panel is known once it stands as its viewer sees it.",
    ),
    Rule(
        code="print-pose-missed",
        severity=WARN,
        text='the pose "{pose}" was not worked out, so the print directions of the mats are those '
        "of the flat pieces",
        mend="see what the proof finds of that pose, or cut no paper with a print direction yet",
        about="An arrow that points the wrong way turns the print of a mat upside down.",
    ),
    Rule(
        code="text-under-mat",
        severity=NOTE,
        text='mat {letter} covers the text "{text}" at {spot}',
        mend="move the text off the mat, or leave it there if it only says where the mat goes",
        about="A text that is drawn on the card is hidden once a mat is glued over it.",
    ),
)
