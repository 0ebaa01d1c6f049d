"""This module holds the rules of the stage: writing."""

from __future__ import annotations

from .rule import NOTE, STOP, Rule

RULES: tuple[Rule, ...] = (
    # What is to be written.
    Rule(
        code="stroke-not-finite",
        severity=STOP,
        text='the stroke of {role} "{source}" has a place that is not a number or beyond 1 km',
        mend="correct the measure that this line is made from",
        about="A file with such a number opens in no program, or opens empty.",
    ),
    Rule(
        code="stroke-empty",
        severity=STOP,
        text='the stroke of {role} "{source}" has no second point',
        mend="give the line two points that differ, or leave it out",
        about="A line of one point is nothing that a tool could run along.",
    ),
    Rule(
        code="page-not-sized",
        severity=STOP,
        text='the page of piece "{piece_name}" is {width} by {height} mm',
        mend="give the piece an outline with a width and a height",
        about="Programs take the size of a drawing from its page.",
    ),
    # Writers.
    Rule(
        code="no-format",
        severity=STOP,
        text="no format is asked for",
        mend="name at least one, such as svg",
        about="An export without a format would write nothing and look like a success.",
    ),
    Rule(
        code="not-a-writer",
        severity=STOP,
        text='the writer "{name}" lacks {missing}',
        mend="update or uninstall the distribution that registers it",
        about="A writer must have everything that the protocol of writers asks for.",
    ),
    Rule(
        code="writer-fails",
        severity=STOP,
        text='the writer "{name}" fails: {reason}',
        mend="leave this format out, or update the distribution that registers it",
        about="A fault of a plug-in is told as such and leaves no half-written file.",
    ),
    Rule(
        code="same-suffix",
        severity=STOP,
        text='the writers "{first}" and "{second}" both write files that end in {suffix}',
        mend="export the two formats to different folders",
        about="The second file would take the place of the first.",
    ),
    Rule(
        code="same-file-name",
        severity=STOP,
        text='the pieces "{first}" and "{second}" would both be called "{name}" in file names',
        mend="rename one of the two pieces",
        about="File names keep letters and digits only; two pieces must stay told apart.",
    ),
    # The folder and the files in it.
    Rule(
        code="folder-is-a-file",
        severity=STOP,
        text="this is a file, not a folder",
        mend="name another folder for the files",
        about="Files are written into a folder; a file of its name is never removed.",
    ),
    Rule(
        code="read-only",
        severity=STOP,
        text="nothing may be written here",
        mend="allow writing to the folder, or name another one",
        about="The folder belongs to somebody else, or lies on a disk that cannot be written.",
    ),
    Rule(
        code="disk-full",
        severity=STOP,
        text="the disk is full",
        mend="make room, or name a folder on another disk; no file was left half-written",
        about="A file is only renamed into place when all of it is on the disk.",
    ),
    Rule(
        code="cannot-write",
        severity=STOP,
        text="this cannot be written: {reason}",
        mend="name another folder for the files",
        about="Whatever else the operating system has against writing a file.",
    ),
    Rule(
        code="target-is-a-folder",
        severity=STOP,
        text="a folder has the name of a file that is to be written",
        mend="move the folder away, or name another one for the files",
        about="A folder is never replaced by a file.",
    ),
    Rule(
        code="target-is-a-link",
        severity=STOP,
        text="a link or device has the name of a file that is to be written",
        mend="remove it, or name another folder for the files",
        about="Writing through a link would change a file somewhere else.",
    ),
    Rule(
        code="target-not-ours",
        severity=STOP,
        text="this file exists and was not written by Foldwright",
        mend="name another folder, move the file away, or replace it with --replace",
        about="Only files that carry our mark are replaced without being asked.",
    ),
    Rule(
        code="target-was-read",
        severity=STOP,
        text="this is the design, or a file of a material, that the answer comes from",
        mend="name another file",
        about="What was read is never replaced by what is made of it, not even with --replace.",
    ),
    Rule(
        code="earlier-files",
        severity=NOTE,
        text="files of an earlier export of this design lie here still: {files}",
        mend="remove them, so that nobody cuts from them",
        about="An export with other options has other file names, and the old files stay.",
    ),
    # The read-back.
    Rule(
        code="read-back-form",
        severity=STOP,
        text="the written file does not read back: {reason}",
        mend="report this fault; no file was written",
        about="An independent reader must find the three layers and nothing else.",
    ),
    Rule(
        code="read-back-page",
        severity=STOP,
        text="the written page reads back as {found} mm in place of {drawn} mm",
        mend="report this fault; no file was written",
        about="The page tells other programs how large the drawing is.",
    ),
    Rule(
        code="read-back-strokes",
        severity=STOP,
        text='layer "{layer}" reads back with {found} strokes ({found_closed} closed) '
        "in place of {drawn} ({drawn_closed} closed)",
        mend="report this fault; no file was written",
        about="No stroke may be lost, doubled, opened or closed on its way into the file.",
    ),
    Rule(
        code="read-back-stroke",
        severity=STOP,
        text='stroke {number} of layer "{layer}", {role} "{source}", reads back {difference}',
        mend="report this fault; no file was written",
        about="Every vertex and the middle of every arc must lie within 1 µm of the drawing.",
    ),
)
