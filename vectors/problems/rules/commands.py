"""This module holds the rules of the stage: commands."""

from __future__ import annotations

from .rule import NOTE, STOP, Rule

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
        code="material-needed",
        severity=STOP,
        text='no material is named for piece "{name}", so its kerf and scores are not known',
        mend="add --material card-200 or another one; foldwright list materials shows them",
        about="A file for the cutter rests on the paper: without a material none is written.",
    ),
    Rule(
        code="file-exists",
        severity=STOP,
        text="there is a file of this name already",
        mend="name another file, or move this one away",
        about="A design is somebody's work: it is never written over.",
    ),
    Rule(
        code="named-by-its-pattern",
        severity=NOTE,
        text='the design is called "{name}": "{other}" cannot be a name, for {reason}',
        mend="give it a name of your own in the file",
        about="File names are made of the name of a design; one of these cannot be.",
    ),
    Rule(
        code="no-measures-here",
        severity=NOTE,
        text='--set "{name}" changes nothing here: a list has no measures',
        mend="leave it out, or use it with new, prove or export",
        about="Every command takes --set, and this one has no use for it.",
    ),
    Rule(
        code="several-to-make",
        severity=NOTE,
        text='{count} of piece "{name}" are to be made',
        mend="work through its files {count} times",
        about="A piece with copies is written once, however many of it a card needs.",
    ),
    Rule(
        code="cannot-write-here",
        severity=STOP,
        text="this file cannot be written: {reason}",
        mend="name another file",
        about="Whatever the operating system has against writing a file; nothing is left of it.",
    ),
    Rule(
        code="picture-not-svg",
        severity=STOP,
        text="a picture is an SVG file, and this name does not end in .svg",
        mend="name a file that ends in .svg",
        about="A program that goes by the end of the name would open the file as something else.",
    ),
    Rule(
        code="unknown-pose",
        severity=STOP,
        text='the design has no pose called "{pose}"',
        mend="{hint}",
        about="Every card has the poses flat, open and closed; the others are written in the file.",
    ),
    Rule(
        code="pose-without-picture",
        severity=STOP,
        text='--pose "{pose}" says what a picture is to show, and none is asked for',
        mend="add --picture FILE.svg; all poses are proved anyway",
        about="An option that changes nothing was meant to do something.",
    ),
    Rule(
        code="pose-not-drawn",
        severity=STOP,
        text='the pose "{pose}" was not worked out, so there is nothing to draw',
        mend="see what the proof finds, or draw another pose",
        about="A picture shows panels where they are; a guess would look like a proof.",
    ),
    Rule(
        code="unknown-stock",
        severity=STOP,
        text='the design has no stock called "{name}"',
        mend="{hint}",
        about="A material for a stock that is not there is a slip of the pen, not a wish.",
    ),
    Rule(
        code="unknown-variant",
        severity=STOP,
        text='there is no variant called "{variant}"',
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
