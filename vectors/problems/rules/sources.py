"""This module holds the rules of the stage: sources, the text files as they are read."""

from __future__ import annotations

from .rule import STOP, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="no-such-file",
        severity=STOP,
        text='there is no file "{file}"',
        mend="check the spelling and the folder",
        about="A file that was named cannot be found.",
    ),
    Rule(
        code="file-is-a-folder",
        severity=STOP,
        text='"{file}" is a folder, not a file',
        mend="name the file inside it",
        about="A folder was named where a file is due.",
    ),
    Rule(
        code="unreadable-file",
        severity=STOP,
        text='"{file}" cannot be read: {reason}',
        mend="check that the file is in place and that you may read it",
        about="The system refuses to open or to read the file.",
    ),
    Rule(
        code="not-utf-8",
        severity=STOP,
        text='byte {byte} of "{file}" is not UTF-8 text',
        mend="save the file as plain text in UTF-8",
        about="TOML is UTF-8 by its own definition; any other encoding would be guesswork.",
    ),
    Rule(
        code="file-too-large",
        severity=STOP,
        text="the file holds {size}, more than {most}",
        mend="leave out what is not needed, or divide it into several files",
        about="A file beyond all use is refused before it takes minutes to read.",
    ),
    Rule(
        code="key-too-deep",
        severity=STOP,
        text="a key has more than {most} parts",
        mend="shorten the key: nothing here is nested that deep",
        about="A key of thousands of parts is a slip or an attack, and slow to read.",
    ),
    Rule(
        code="not-toml",
        severity=STOP,
        text="this is not TOML: {reason}{column}",
        mend="{hint}",
        about="The text breaks the grammar of TOML 1.0.",
    ),
    Rule(
        code="unknown-key",
        severity=STOP,
        text='there is no key "{key}" {where}',
        mend="{hint}",
        about="A key that nobody reads is nearly always a slip of the pen.",
    ),
    Rule(
        code="missing-key",
        severity=STOP,
        text="{key} is missing",
        mend="add {name} = ..., {due}",
        about="A value that has no sensible default must be written.",
    ),
    Rule(
        code="wrong-type",
        severity=STOP,
        text="{key} should be {due}, not {found}",
        mend="write {due}",
        about="A value of another type than the key takes.",
    ),
    Rule(
        code="unknown-word",
        severity=STOP,
        text='{key} should be {due}, not "{found}"',
        mend="{hint}",
        about="A word where only a few words are possible.",
    ),
    Rule(
        code="unusable-number",
        severity=STOP,
        text="{key} should be a number of ordinary size, not {found}",
        mend="write a finite number",
        about="A number that is not finite, or far beyond all lengths, has no place on paper.",
    ),
    Rule(
        code="unsafe-name",
        severity=STOP,
        text='"{name}" cannot be a name: {reason}',
        mend="use letters, digits, spaces, hyphens and underscores, at most {most} characters",
        about="File names are made of the names of designs and pieces.",
    ),
)
