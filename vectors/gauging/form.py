"""This module writes the form for the readings: a text with empty values to fill in."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from foldwright.profiles.make_up import BURNABLE
from foldwright.profiles.model import Tool

from .hinge_test import PLIES
from .model import Gauge, LeftOut, Setting
from .schema import SECTIONS, VERSION, Kind, Section
from .squares import COUNT

OUR_MARK = "# Readings of gauges; written by Foldwright, to be filled in."

_WIDTH = 98


def form_text(
    setting: Setting, gauges: Sequence[Gauge], left_out: Sequence[LeftOut], *, material: str
) -> str:
    """The form for the gauges that were drawn; `material` is its name, or its path from the form.

    The same form for the same gauges, byte for byte.
    """
    profile, tool = setting.profile, setting.tool
    lines = [
        OUR_MARK,
        *_comment(
            f"Material {profile.name}, tool {tool}. Fill in what you measured, leave the rest "
            "empty, and let the profile be written: foldwright gauge --measured FILE --to "
            "MATERIAL.toml"
        ),
        *_comment(
            'Lengths are mm; a text may have a unit of its own, such as "0.79 in". In place of '
            "[] goes one reading, or several in brackets: [20.1, 20.12]. A tooth is told by the "
            'ticks beside it, in groups of five: write their number, or "none" where no tooth '
            "will do."
        ),
        "#",
        "# Take care:",
        *(line for caution in setting.cautions for line in _comment(caution, "- ")),
        "",
        f"format   = {VERSION}    # of this form: leave it as it is",
        f"material = {_quoted(material)}",
        f"tool     = {_quoted(tool.value)}",
        f"name     = {_quoted(_own_name(profile.name))}    # of your own profile",
        *_make_up(tool),
        'made_of  = ""',
    ]
    drawn = {gauge.section: gauge.drawn for gauge in gauges}
    plies = PLIES[-1] if "hinge" in drawn else COUNT
    drawn["caliper"] = MappingProxyType({"plies": (float(plies),)})
    without = {one.section: one for one in left_out}
    for section in SECTIONS:
        lines += ["", f"# {section.title[0].upper()}{section.title[1:]}"]
        if section.name in drawn:
            lines += _section(section, drawn[section.name])
        elif section.name in without:
            lines += _comment(f"Left out: {without[section.name].reason}.")
    return "\n".join(lines) + "\n"


def _section(section: Section, drawn: Mapping[str, tuple[float, ...]]) -> list[str]:
    lines = [*_comment(section.how), f"[{section.name}]"]
    width = max(len(key) for key in (*section.drawn, *(asked.key for asked in section.asked)))
    for key in section.drawn:
        values = ", ".join(f"{value:g}" for value in drawn[key])
        told = "plies in the stack" if section.name == "caliper" else "as drawn: leave it"
        text = values if section.name == "caliper" else f"[{values}]"
        lines.append(f"{key:{width}} = {text}    # {told}")
    for asked in section.asked:
        empty = "[]" if asked.kind is Kind.LENGTHS else '""'
        lines.append(f"{asked.key:{width}} = {empty}    # {asked.about}")
    return lines


def _make_up(tool: Tool) -> list[str]:
    known = ", ".join(f'"{one}"' for one in BURNABLE)
    if tool is Tool.LASER:
        return _comment(
            "What your sheet is made of, only if you know it: without it no laser file is ever "
            f"written with your profile. Burned is only {known}."
        )
    return _comment("What your sheet is made of, if you know it; only a laser needs it.")


def _own_name(name: str) -> str:
    return f"{name} measured"[:80].strip()


def _quoted(text: str) -> str:
    # A TOML basic string escapes as JSON does, and letters stay letters.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _comment(text: str, start: str = "") -> list[str]:
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=f"# {start}",
        subsequent_indent="# " + " " * len(start),
        break_long_words=False,
        break_on_hyphens=False,
    )
