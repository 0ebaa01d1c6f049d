"""This module holds the rules for the length that folds take up, and for plies at their heights."""

from __future__ import annotations

from .rule import NOTE, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="thickness-gap",
        severity=WARN,
        text='with plies as thick as they are, the loop around {loop} of "{of}" is {gap} out: '
        "{detail}",
        mend="{hint}",
        about="Both sides of a slit are one sheet, so not every fold can have the length that it "
        "takes up for the plies that it wraps.  What is left is a note up to the gap that the "
        "material forgives, a warn up to twice that, a stop above it.",
    ),
    Rule(
        code="allowance-made",
        severity=NOTE,
        text='the lines of "{piece}" lie up to {most} off the design: {folds}; its blank is '
        "{size}, {before} in the design",
        mend="fold it so that these plies lie inside, and measure by the file that was written",
        about="A fold that wraps plies takes up length: it is added where the fold lies, shared "
        "out so that the sheet stays one sheet.",
    ),
    Rule(
        code="allowance-too-small",
        severity=NOTE,
        text='the lines of "{piece}" stay as designed, though {folds}: they would move by {most}, '
        "less than the {tolerance} within which the tool places them ({figure})",
        mend="use a tool that places them closer, or {hint}",
        about="A move that the tool cannot place is not made.",
    ),
    Rule(
        code="allowance-lines-kept",
        severity=WARN,
        text='the lines of "{piece}" stay as designed, though {folds}: moved by up to {most} '
        "they would not make the same panels ({why})",
        mend="leave more room between its lines, or {hint}",
        about="Moved lines must make the same panels, joined by the same folds.",
    ),
    Rule(
        code="allowance-glued",
        severity=NOTE,
        text="{folds}, and no line is moved for it: glue holds its panels where other poses need "
        "them, and loops over joints are not judged for thickness",
        mend="{hint}, or make a sample first",
        about="What is glued over a fold fits in every pose only if its own folds take up as much.",
    ),
    Rule(
        code="allowance-unknown",
        severity=NOTE,
        text='what the folds of "{piece}" take up for the plies that they wrap is not known: {why}',
        mend="{hint}",
        about="Which plies a fold wraps is known of a card that lies flat, of known paper, in a "
        "known order.",
    ),
)
