"""This module holds the rules for what goes round a card: its envelope, and the post."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="envelope-for-a-flat-card",
        severity=NOTE,
        text="the thickness of the closed card is not known, so its envelope has room for a flat "
        "one",
        mend="give the card a material, and its extras their height",
        about="A thick card lifts both faces of its envelope, and so needs a wider and a higher "
        "one.",
    ),
    Rule(
        code="envelope-no-standard",
        severity=WARN,
        text="no standard envelope takes the card: it needs {needs} inside, and the nearest, "
        "{name}, is {size}, {lacks} too small",
        mend="{hint}",
        about="The closed card with its mats and extras, the clearance on each side and the "
        "thickness, against the sizes of ISO 269, announcement, commercial and square envelopes.",
    ),
    Rule(
        code="envelope-too-small",
        severity=STOP,
        text='the standard envelope "{name}" does not take the card: the card needs {needs} '
        "inside and the envelope is {size}, {lacks} too small",
        mend="{hint}",
        about="The design asks for this envelope, so a card that does not go in is not the card "
        "that was meant.",
    ),
    Rule(
        code="blank-no-sheet",
        severity=WARN,
        text="the blank of the envelope is {blank}, {over} larger than a sheet of {sheet}",
        mend="{hint}",
        about="An envelope is cut in one piece from the sheet of its stock, its edges along those "
        "of the sheet.",
    ),
    Rule(
        code="envelope-flaps-short",
        severity=WARN,
        text="the upper and the lower flap of the envelope {overlap}, and should overlap by "
        "{least}",
        mend="{hint}",
        about="The upper flap is glued to the lower one (common practice, no source).",
    ),
    Rule(
        code="post-not-judged",
        severity=NOTE,
        text="what the post says of the card is not judged, because {what} {is_} not known",
        mend="{hint}",
        about="Services go by thickness and mass; what is not known is not guessed.",
    ),
    Rule(
        code="envelope-paper-assumed",
        severity=NOTE,
        text="the bought envelope is taken to be of paper of {grammage} g/m², {caliper} mm thick",
        mend="weigh the filled envelope, or name its paper as the stock of [envelope]",
        about="A standard envelope has a size and no paper; mass and thickness for the post need "
        "one.",
    ),
    Rule(
        code="post-refuses",
        severity=STOP,
        text='the service "{service}" does not take the card in its envelope: {fails}',
        mend="{hint}",
        about="The design asks for the service in its limits; its rules are those of the dated "
        "file, and they change.",
    ),
    Rule(
        code="post-surcharge",
        severity=WARN,
        text='the service "{service}" takes the card in its envelope at a surcharge: {fails}',
        mend="{hint}",
        about="A letter that machines cannot sort is carried, and costs more.",
    ),
    Rule(
        code="unknown-service",
        severity=STOP,
        text='no service of the post is called "{name}" in {file}',
        mend="{hint}",
        about="The services are those of the file of rules that is in use.",
    ),
    Rule(
        code="post-without-envelope",
        severity=STOP,
        text="the limit of the post cannot be judged, because the card has no envelope{why}",
        mend="add a table [envelope]{hint}",
        about="The post goes by the size of the envelope, not by that of the card.",
    ),
    Rule(
        code="post-service-twice",
        severity=STOP,
        text='"{name}" is the name of two services',
        mend="give each service a name of its own",
        about="A limit names a service, and must mean one.",
    ),
    Rule(
        code="post-rule-empty",
        severity=STOP,
        text="{key} says neither the least nor the most",
        mend="give it least, most, or both",
        about="A rule without a number refuses nothing.",
    ),
)
