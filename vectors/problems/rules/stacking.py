"""This module holds the rules for the closed card: thickness, spill, folds that are held open."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="closed-too-thick",
        severity=STOP,
        text="the closed card is {least}{thickness} thick at {spot} of panel {panel} and may "
        "be {most}: {parts} lie there",
        mend="{hint}",
        about="The largest thickness that the design allows.  Paper that is pressed is as thick as "
        "its plies together; the spring of its folds comes on top and is not reckoned.",
    ),
    Rule(
        code="thickness-unknown",
        severity=NOTE,
        text="the thickness of the closed card is not known{unjudged}: {missing}",
        mend="{hint}",
        about="What is not known is not guessed.",
    ),
    Rule(
        code="extra-without-size",
        severity=NOTE,
        text="the size of {what} is not given, so it counts at its middle only",
        mend="give it a size",
        about="What lies over its rim is not known without a size.",
    ),
    Rule(
        code="spills",
        severity=WARN,
        text="in the closed card panel {panel} sticks out of {past} by {by} at {spot}{more}",
        mend="{hint}",
        about="What sticks out is bent in the envelope.  It is a stop where the closed card is "
        "larger than the limit of the design.",
    ),
    Rule(
        code="shows-beside",
        severity=WARN,
        text="in the closed card panel {panel} shows beside {past}, {by} from it at {spot}{more}",
        mend="{hint}",
        about="It lies within the rectangle round what covers the card, so no envelope bends it.  "
        "A note where it lies in a bay of the cover, such as a notch.",
    ),
    Rule(
        code="spill-not-judged",
        severity=NOTE,
        text="whether anything sticks out of the closed card is not judged: {why}",
        mend="name its outer panels with cover = true",
        about="Which plies are the outermost follows from their order.",
    ),
    Rule(
        code="no-such-cover",
        severity=WARN,
        text="the cover {panel} is not part of the closed card",
        mend="join its piece to the first one with a [[joint]], or leave cover = true out",
        about="Only what is tied to the first piece can cover it.",
    ),
    Rule(
        code="extra-out-of-the-card",
        severity=WARN,
        text="{what} on panel {panel} sticks out of the closed card by {by}",
        mend="make it smaller or move it inwards by that much, or leave it so if it is meant to "
        "stick out",
        about="What sticks out is bent in the envelope, and no envelope is reckoned for it.",
    ),
    Rule(
        code="extra-past-its-panel",
        severity=NOTE,
        text="{what} reaches past the edge of panel {panel} by {by}",
        mend="glue down what lies on the panel and nothing that lies past it",
        about="What is glued over a fold keeps it from turning; a figure may stand free there.",
    ),
    Rule(
        code="fold-held-open",
        severity=WARN,
        text="{what} {holds} {fold} open: {height} high and only {clear} "
        "from it at {spot} of panel {panel}",
        mend="keep {what} at least {needs} from {fold}, or put it where no paper folds over it",
        about="Paper that is folded over a thing needs at least as much room beside it as the "
        "thing is high, and 1 mm for anything (common practice, no source).  A note where only "
        "the 1 mm is not kept.",
    ),
    Rule(
        code="plies-blocked",
        severity=STOP,
        text="the closed card cannot lie flat: panels {panels} would have to pass through each "
        "other, for {why} (at ({x}, {y}) mm of the closed card)",
        mend="shorten one of them, or turn a fold between them the other way",
        about="Every fold and every panel over a fold asks for an order of the plies; no order "
        "grants all of it.",
    ),
    Rule(
        code="plies-undecided",
        severity=NOTE,
        text="the order of the plies was not found within {guesses} guesses",
        mend='install the extra "layers", which decides it',
        about="A search that is cut short says so and guesses nothing.",
    ),
    Rule(
        code="closed-not-flat",
        severity=NOTE,
        text="the closed card does not lie flat, so it has no plies to count: panel {panel} "
        "stands out of its plane by {height}",
        mend="measure a folded sample, or give every fold the angle at which the card lies flat",
        about="Plies, thickness and spill are those of a card whose panels lie in one plane.",
    ),
    Rule(
        code="stack-not-judged",
        severity=NOTE,
        text="plies, thickness and spill are not judged: the card does not close",
        mend="make it close first",
        about="Where its panels lie when closed is then not known.",
    ),
)
