"""This module holds the rules for editions of another size: what does not follow, and why."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="unfit-factor",
        severity=STOP,
        text='"{found}" is no factor to scale by',
        mend='write a number above 0, such as 0.5, "3/4" or 1.25',
        about="A factor multiplies lengths; one of 0 or less leaves no card.",
    ),
    Rule(
        code="unfit-size",
        severity=STOP,
        text='"{found}" is no size of a closed card',
        mend="{hint}",
        about="The finished size is told as the two sides of the closed card, either way round.",
    ),
    Rule(
        code="size-of-a-sheet",
        severity=NOTE,
        text='"{found}" is taken as the ISO sheet of {sheet}; an envelope of {envelope} has that '
        "name too",
        mend="for a card that goes into that envelope write its two sides, 1/8 to 1/4 in smaller",
        about="The names A2 to A10 are those of sheets in one standard, and of envelopes for "
        "cards in the trade of another country.",
    ),
    Rule(
        code="size-does-not-follow",
        severity=STOP,
        text="the closed size cannot be reached by scaling: {why}",
        mend="{mend}",
        about="Only lengths that the design states in [measures] scale; what is written out in "
        "the lines, or marked as fixed, stays.",
    ),
    Rule(
        code="size-out-of-reach",
        severity=STOP,
        text="no factor brings the closed card down to {asked}: {why}",
        mend="ask for a larger size, or lower what does not follow: {stays}",
        about="Fixed lengths, limits and numbers in the lines keep a card from shrinking for ever.",
    ),
    Rule(
        code="size-not-met",
        severity=NOTE,
        text="asked for a closed size of {asked}; with one factor it comes to {reached}, which is "
        "{short}",
        mend="accept it, or {hint}",
        about="Width and height follow the same factor, and a ruler has no line everywhere: the "
        "largest card that fits inside the size is taken.",
    ),
    Rule(
        code="scale-limited",
        severity=WARN,
        text='the measure "{name}" would be {wanted} at this scale, and its {word} is {limit}: it '
        "is set to {value}",
        mend='{hint}, or mark it scale = "fixed"',
        about="Limits say what can be folded or held at all, so they do not scale.",
    ),
    Rule(
        code="not-scaled",
        severity=NOTE,
        text="written out as numbers, these do not follow the scale: {told}",
        mend="give them a name in [measures] where they are to follow",
        about="A number in a line may be a clearance or a thickness as well as a part of the "
        "shape; only measures say which.",
    ),
    Rule(
        code="scaled-differs",
        severity=STOP,
        text="the scaled design is not the same when it is read again, so it is not written",
        mend="change the measures in the file by hand",
        about="A design that is written is read again and proved before its file gets its name.",
    ),
    Rule(
        code="scaled-one-edition",
        severity=STOP,
        text="--all-variants proves every edition, but --scaled-to writes one",
        mend="name the edition with --variant, or leave --all-variants out",
        about="Editions share measures, so one file holds the sizes of one of them.",
    ),
    Rule(
        code="scaled-and-mended",
        severity=STOP,
        text="--scaled-to writes the scaled design as it is, and --round-to and --mend change it",
        mend="leave --scaled-to out: --mend writes what is scaled, rounded and mended",
        about="One file holds one design, and two options would write two different ones.",
    ),
    Rule(
        code="nothing-scaled",
        severity=STOP,
        text="--scaled-to names a file for the scaled design, and no scale is given",
        mend="add --scale FACTOR or --scale-to SIZE",
        about="An option that changes nothing was meant to do something.",
    ),
    Rule(
        code="size-of-an-envelope",
        severity=NOTE,
        text="{found} is the size of an envelope: a card of that size does not go into one",
        mend="ask for a size with some room round it, or for the sheet that goes into it, such as "
        "A6 into C6",
        about="The names of sheets hold for finished sizes too, and the C series are envelopes.",
    ),
)
