"""This module lists the occasions for the command list, and writes one for the command new."""

from __future__ import annotations

from dataclasses import replace

from ..occasions import Occasion, find, names

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterator

    from ..design import Design
    from ..problems import Problem


def asked_for(name: str) -> Occasion | None:
    """The occasion that a command line asks for by `name`; None where that is a pattern.

    An installed pattern of the same name comes first.  Raises PlugInError where there is
    neither, and names what is nearest.
    """
    from .. import plugins

    patterns = plugins.names(plugins.Group.PATTERNS)
    if name in patterns:
        return None
    occasion = find(name)
    if occasion is None:
        raise _unknown(name, patterns)
    return occasion


def listed_occasions() -> tuple[list[dict[str, object]], list[str]]:
    """The occasions as rows of the JSON answer, and as lines for a person."""
    from importlib.metadata import version

    from ..occasions import shipped

    rows: list[dict[str, object]] = []
    lines: list[str] = []
    for one in shipped():
        design = _design(one, one.text)
        editions = list(design.variants)
        rows.append(
            {
                "name": one.name,
                "distribution": "foldwright",
                "version": version("foldwright"),
                "state": "good",
                "about": one.about,
                "occasion": one.occasion,
                "pattern": design.pattern,
                "editions": editions,
            }
        )
        made_of = "written out" if design.pattern is None else f"pattern {design.pattern}"
        lines += [
            f"  {one.name}: {one.occasion}.  {one.about}",
            f"    {made_of}; variants {', '.join(editions)}",
        ]
    return rows, lines


def answered(
    occasion: Occasion, options: Namespace
) -> tuple[str, dict[str, object], tuple[Problem, ...]]:
    """The text of the design file, what the JSON answer tells of it, and what there is to say.

    It is as it ships, with its own name, but for the measures and the hand that are asked for.
    Raises DesignError for options that a finished design does not take, and for measures that it
    does not have or whose values are out of their limits.
    """
    from ..design import resolve
    from ..design.rewriting import with_measures, with_mirrors
    from .sizing import mirrored_if_asked

    design = _design(occasion, occasion.text)
    _refuse(occasion, design, options)
    text, values = occasion.text, dict(options.overrides)
    if values:
        resolve(design, overrides=values)
        text = with_measures(design, values)
    if options.mirrored:
        text = with_mirrors(text, mirrored_if_asked(_design(occasion, text), options))
    told: dict[str, object] = {
        "pattern": design.pattern,
        "occasion": occasion.name,
        "units": str(design.units),
        "written_out": design.pattern is None,
    }
    return text, told, tuple(_to_say(_design(occasion, text)))


def _to_say(design: Design) -> Iterator[Problem]:
    """The variants that do not take what is set, and the texts that a mirror turned round.

    The design as it is takes all of it: that was seen before.
    """
    from ..design import resolve
    from ..problems import DesignError, Place, problem

    for one in resolve(design).notes:
        if one.rule == "texts-turned-round":
            yield replace(one, place=Place())
    for name in design.variants:
        try:
            resolve(design, variant=name)
        except DesignError as error:
            first = error.problems[0]
            yield problem("variant-refuses", variant=name, reason=first.message, hint=first.mend)


def _design(occasion: Occasion, text: str) -> Design:
    """The design, called by its name in messages: there is no file of its own yet."""
    from ..design import parse_design

    return parse_design(text, f"occasion {occasion.name}")


def _refuse(occasion: Occasion, design: Design, options: Namespace) -> None:
    """Raise DesignError for each option that makes no sense for a finished design."""
    from ..problems import DesignError, problem

    scaled = "--scale" if options.scale is not None else "--scale-to"
    in_full = (
        "its pieces stand in the file"
        if design.pattern is None
        else f"foldwright new {design.pattern} --written-out starts from its pattern"
    )
    refused = (
        (
            "--units in",
            options.units == "in",
            "its inch edition stands in the file; prove and export it with --variant inch",
        ),
        ("--written-out", options.written_out, in_full),
        ("--mats", options.mats, "its mats stand in the file"),
        (
            scaled,
            options.scale is not None or options.scale_to is not None,
            f"each edition has measures of its own; prove and export the file with {scaled}",
        ),
    )
    wrong = tuple(
        problem("not-of-an-occasion", option=option, name=occasion.name, instead=instead)
        for option, given, instead in refused
        if given
    )
    if wrong:
        raise DesignError(wrong)


def _unknown(name: str, patterns: tuple[str, ...]) -> Exception:
    """The error for a name that neither a pattern nor an occasion has."""
    from ..problems import PlugInError, likely, problem

    near = likely(name, (*patterns, *names()), alike=0.5)
    hint = (
        f'did you mean "{near}"?'
        if near
        else "foldwright list patterns and foldwright list occasions show what there is"
    )
    return PlugInError(problem("unknown-plug-in", kind="pattern or occasion", name=name, hint=hint))
