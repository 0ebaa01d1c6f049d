"""This module writes a maker's own profile: the file of a material with what was measured."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence

from .figures import Measured, Outcome
from .readings import Form

OUR_MARK = "# Written by Foldwright from readings of gauges; measuring again replaces this file."


def profile_text(
    form: Form, outcome: Outcome, *, material: str, based_on: str, readings: str
) -> str:
    """The file of a material that is its base but for the figures that were measured.

    `material` is what the base calls itself, `based_on` how this file names it, and
    `readings` the form as a person would find it.  The same text for the same readings,
    byte for byte.
    """
    lines = [
        OUR_MARK,
        *_comment(
            f"The readings are in {readings}. Each figure says what it rests on; everything that "
            f"does not stand here is that of {material}. Lengths are mm."
        ),
        *(line for remark in outcome.remarks for line in _comment(remark)),
        "",
        f"name     = {_quoted(form.name)}",
        f"based_on = {_quoted(based_on)}",
        f"about    = {_quoted(f'{material}, measured on gauges made with the {form.tool}')}",
    ]
    if form.made_of is not None:
        # Only its owner knows what a sheet is made of, so it is never the base's word.
        lines.append(f"made_of  = {_quoted(form.made_of)}")
    for table in _tables(outcome.figures):
        keys = [one for one in outcome.figures if one.key[:-1] == table]
        if table:
            header = ".".join((table[0], form.tool.value, *table[1:]))
            lines += ["", f"[{header}]"]
        width = max(len(one.key[-1]) for one in keys)
        lines += [_figure(one, width) for one in keys]
    return "\n".join(lines) + "\n"


def _tables(figures: Sequence[Measured]) -> list[tuple[str, ...]]:
    """The tables of the figures: the top of the file first, others as they came."""
    return sorted({one.key[:-1]: None for one in figures}, key=bool)


def _figure(one: Measured, width: int) -> str:
    number = f"{one.value:.3f}".rstrip("0").rstrip(".")
    basis = _quoted(one.basis)
    return f'{one.key[-1]:{width}} = {{ is = {number}, basis = {basis}, confidence = "measured" }}'


def _quoted(text: str) -> str:
    # A TOML basic string escapes as JSON does, and letters stay letters.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _comment(text: str) -> list[str]:
    # A name may hold a line break, which would end the comment.
    plain = "".join(char if char.isprintable() else "?" for char in text)
    return textwrap.wrap(
        plain,
        98,
        initial_indent="# ",
        subsequent_indent="# ",
        break_long_words=False,
        break_on_hyphens=False,
    )
