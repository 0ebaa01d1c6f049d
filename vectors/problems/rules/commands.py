"""This module holds the rules of the stage: commands."""

from __future__ import annotations

from .rule import STOP, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="bad-usage",
        severity=STOP,
        text="{reason}",
        mend='see "{command} --help"',
        about="The command line names an option, a command or a value that is not there.",
    ),
    Rule(
        code="output-failed",
        severity=STOP,
        text="standard output cannot be written: {reason}",
        mend="free some space, or send the output elsewhere",
        about="A full disk or a closed device must not pass for a good answer.",
    ),
    Rule(
        code="no-material",
        severity=STOP,
        text='no material is named for the stock "{stock}", so its kerf and scores are not known',
        mend="add --material {example} (foldwright list materials shows the names)",
        about="A file for the cutter rests on the paper: without a material none is written.",
    ),
    Rule(
        code="unknown-stock",
        severity=STOP,
        text='--material names the stock "{stock}", which the design does not have',
        mend="{hint}",
        about="A material for a stock that is not there is a slip of the pen, not a wish.",
    ),
    Rule(
        code="unknown-variant",
        severity=STOP,
        text='the design has no variant "{variant}"',
        mend="{hint}",
        about="A variant is a table [variant.NAME] of the design file.",
    ),
    Rule(
        code="too-deep",
        severity=STOP,
        text="the input is nested too deeply to be read",
        mend="write it with fewer levels",
        about="Nesting without end must end in a sentence, not in a crash.",
    ),
    Rule(
        code="too-large",
        severity=STOP,
        text="the input needs more memory than there is",
        mend="split the design into smaller ones",
        about="A design that does not fit into memory must end in a sentence, not in a crash.",
    ),
)
