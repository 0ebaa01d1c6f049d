"""This module holds the rules for what is glued on panels, for mass, and for how a card stands."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="glued-on-no-panel",
        severity=STOP,
        text='{what} is for the panel "{name}", which is not there',
        mend="{hint}",
        about="Which panels a piece has is known once it is divided.",
    ),
    Rule(
        code="mat-leaves-nothing",
        severity=STOP,
        text='a margin of {margin} leaves nothing of {what} on panel "{panel}", where '
        "only one of less than {room} leaves any",
        mend="{hint}",
        about="A mat is as large as its panel less the margin all round.  It is a warn where the "
        "mat is for all panels: it is made for the others.",
    ),
    Rule(
        code="mat-in-parts",
        severity=NOTE,
        text='{what} comes in {count} parts on panel "{panel}"',
        mend="make the margin smaller, or cut and glue each part by itself",
        about="Where a panel is narrow the margins of its two sides run into each other.",
    ),
    Rule(
        code="extra-off-its-panel",
        severity=WARN,
        text='{what} lies off the panel "{panel}" at {spot}',
        mend="give its place on that panel, or name the panel that it is on",
        about="What is glued beside a panel weighs on another one, or on none.",
    ),
    Rule(
        code="grammage-unknown",
        severity=NOTE,
        text="{what} has no material, so what the card weighs is not known, nor how it stands",
        mend="give it one in the design, or with --material",
        about="The mass of paper is its area times its grammage; none is guessed.",
    ),
    Rule(
        code="extra-mass-unknown",
        severity=NOTE,
        text="{what} has no mass, so what the card weighs is not known, nor how it stands",
        mend="weigh it, and give its mass in g; 0 where it does not matter",
        about="A bead weighs as much as a mat: what is not known is not left out.",
    ),
    Rule(
        code="extra-without-a-place",
        severity=NOTE,
        text="{what} has a mass and no place, so how the card stands is not known",
        mend="give the place of its middle, at = [x, y]",
        about="Where a mass is matters as much as how large it is.",
    ),
    Rule(
        code="extra-without-a-height",
        severity=NOTE,
        text="{what} has no height: its mass counts as lying in its panel",
        mend="give its height, or height = 0 where it is flat",
        about="The centre of what stands up from a panel lies half its height above it.",
    ),
    Rule(
        code="one-copy-balanced",
        severity=NOTE,
        text='{count} of piece "{name}" are made, and one of them counts in how the card stands',
        mend="write the others as pieces of their own, each with its joint",
        about="Where the other copies go the design does not say; they do count in the mass.",
    ),
    Rule(
        code="tips",
        severity=WARN,
        text='in the pose "{pose}" the card tips: its centre of mass is {over}, {edge}',
        mend="make what lies on the table reach farther that way, or move weight to the other side",
        about="A card stands while its centre of mass is over what it stands on.  It is a stop "
        "where the design says that it is to stand.",
    ),
    Rule(
        code="stands-barely",
        severity=WARN,
        text='in the pose "{pose}" the card stands with only {margin} to spare {edge}: tilted by '
        "{tip} degrees that way it tips",
        mend="make what lies on the table reach farther that way, or move weight to the other side",
        about="At least 5 mm from the centre of mass to the edge of what the card stands on are "
        "common practice (no source).",
    ),
    Rule(
        code="below-the-table",
        severity=WARN,
        text='in the pose "{pose}" panel {panel} reaches {by} below the table',
        mend="name other panels in on, or hold a fold at another angle",
        about="A table is in the way of what hangs below it.  It is a stop where the design says "
        "that the card is to stand.",
    ),
    Rule(
        code="held-by-the-crease-alone",
        severity=NOTE,
        text='the pose "{pose}" stands, held by the crease alone: nothing else keeps {folds} at '
        "{angles}",
        mend="to have it stand for long, glue a stop strip or a gusset across {each}",
        about="A crease gives way little by little (common practice, no source).",
    ),
    Rule(
        code="standing-unknown",
        severity=NOTE,
        text='the limit "stands" is not judged: {why}',
        mend="{hint}",
        about="What is not judged must not look proved.",
    ),
)
