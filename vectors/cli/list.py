"""This module is the command list: what is installed, plug-ins included."""

from __future__ import annotations

from .arguments import add_json, add_set

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable
    from typing import Any

    from foldwright.profiles.model import BridgeWay, Figure, Profile, ToolWay

    from ..plugins import PlugIn
    from ..problems import Problem
    from ..writers.protocol import Writer
    from .patterns_told import ToldPattern

    Reading = tuple[object, tuple[Problem, ...]]

KINDS = ("patterns", "materials", "writers")
OCCASIONS = "occasions"


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument(
        "what",
        choices=(*KINDS, OCCASIONS),
        nargs="?",
        metavar="WHAT",
        help="patterns, materials, writers or occasions (finished designs to start from); all if "
        "left out",
    )
    parser.add_argument(
        "--html",
        metavar="FOLDER",
        help="with patterns: write a page of them into this folder, index.html, with pictures of "
        "each one flat, closed and standing, in place of the list",
    )
    parser.add_argument(
        "--replace",
        action="store_true",
        help="with --html: replace files that Foldwright did not write as well",
    )
    add_set(parser, "taken by every command; there is no measure here that it could change")
    add_json(parser)


def run(options: Namespace) -> int:
    """Print what is installed; a plug-in that does not load is told, and listed as broken."""
    from ..plugins import Group, listed
    from ..problems import problem
    from .tell import tell_problems, write_json

    _check_usage(options)
    groups = dict(zip(KINDS, (Group.PATTERNS, Group.MATERIALS, Group.WRITERS), strict=True))
    kinds = (*KINDS, OCCASIONS) if options.what is None else (options.what,)
    answer: dict[str, list[dict[str, object]]] = {}
    texts: list[str] = []
    troubles: list[Problem] = [
        problem("no-measures-here", name=name) for name, _ in options.overrides
    ]
    if options.html is not None:
        from .gallery import write_gallery

        return write_gallery(options, troubles)
    for kind in kinds:
        if kind == OCCASIONS:
            from .occasions import listed_occasions

            answer[kind], lines = listed_occasions()
            texts.append("\n".join([f"{kind}:", *lines]))
            continue
        read, as_json, as_text = _KINDS[kind]
        rows = []
        lines = []
        for plug_in in listed(groups[kind]):
            row: dict[str, object] = {
                "name": plug_in.name,
                "distribution": plug_in.distribution,
                "version": plug_in.version,
            }
            value, trouble = read(plug_in)
            if trouble:
                troubles.extend(trouble)
                rows.append({**row, "state": "broken", "message": trouble[0].message})
            else:
                rows.append({**row, "state": "good", **as_json(value)})
                lines.append(as_text(plug_in.name, value))
        answer[kind] = rows
        texts.append("\n".join([f"{kind}:", *lines]))
    if options.json:
        write_json(answer)
    else:
        print("\n\n".join(texts))
    tell_problems(troubles)
    return 0


def _check_usage(options: Namespace) -> None:
    """Raise DesignError where a page is asked for of anything but patterns, or half asked for."""
    from ..problems import DesignError, problem

    if options.html is not None and options.what != KINDS[0]:
        raise DesignError(problem("page-of-patterns"))
    if options.replace and options.html is None:
        raise DesignError(problem("replace-without-page"))


# Each kind of plug-in: how it is read, told in JSON, told as text.


def _pattern(plug_in: PlugIn) -> Reading:
    from .patterns_told import told_pattern

    return told_pattern(plug_in)


def _material(plug_in: PlugIn) -> Reading:
    from foldwright.profiles.load import load_material

    from ..problems import FoldwrightError

    if plug_in.problem is not None:
        return None, (plug_in.problem,)
    try:
        return load_material(plug_in.name), ()
    except FoldwrightError as error:
        return None, error.problems


def _writer(plug_in: PlugIn) -> Reading:
    from ..writers.protocol import Writer
    from .installed import checked

    return checked(plug_in, Writer)


def _pattern_json(told: ToldPattern) -> dict[str, object]:
    return told.json


def _pattern_text(name: str, told: ToldPattern) -> str:
    return told.text


def _material_json(profile: Profile) -> dict[str, object]:
    return {
        "about": profile.about,
        "made_of": profile.made_of,
        "grain": None if profile.grain is None else str(profile.grain),
        "grammage": _figure_json(profile.grammage),
        "caliper_mm": _figure_json(profile.caliper),
        "gives_mm": _figure_json(profile.gives_mm),
        "cautions": list(profile.cautions),
        "tools": {str(tool): _way_json(profile, way) for tool, way in profile.tools.items()},
    }


def _material_text(name: str, profile: Profile) -> str:
    good = [way for way in profile.tools.values() if way.refused is None]
    lines = [
        f"  {name}: {profile.about}",
        f"    {profile.grammage.value:.4g} g/m², caliper (paper thickness) "
        f"{profile.caliper.value:.3g} mm, gives {profile.gives_mm.value:g} mm; "
        f"{', '.join(str(way.tool) for way in good)}",
    ]
    lines += [f"    {_way_text(way)}" for way in good]
    lines += [
        f"    not {tool}: {way.refused}"
        for tool, way in profile.tools.items()
        if way.refused is not None
    ]
    return "\n".join(lines)


def _way_text(way: ToolWay) -> str:
    """What one tool does, in one line."""
    from ..drawing import Side

    words = []
    if way.kerf is not None and (way.kerf.value or way.kerf_y is not None):
        across = "" if way.kerf_y is None else f" along x, {way.kerf_y.value:g} mm along y"
        words.append(f"kerf {way.kerf.value:g} mm{across}")
    score = way.score
    if score is None:
        words.append("no scores")
    else:
        dashes = " in dashes" if score.dashes is not None else ""
        lines = " in two lines" if score.shift.value else ""
        valleys = ", valleys from the back" if score.valleys_from is Side.BACK else ""
        words.append(f"scores {score.work}{dashes}{lines}{valleys}")
    if way.slit.size is not None:
        end = f"{way.slit.size.value:g} mm"
        words.append(
            f"slits end {end} short" if way.slit.end == "short" else f"slits end in {end} holes"
        )
    words.append("no bridges" if way.bridge is None else f"bridges {way.bridge.length.value:g} mm")
    if way.waste_loose and way.bridge is not None:
        words.append("waste loose")
    return f"{way.tool}: {', '.join(words)}"


def _way_json(profile: Profile, way: ToolWay) -> dict[str, object]:
    from foldwright.profiles.cautions import cautions_for, needs_of

    if way.refused is not None:
        return {"refused": way.refused}
    answer: dict[str, object] = {
        "kerf_mm": _figure_json(way.kerf),
        "kerf_y_mm": _figure_json(way.kerf_y),
        "tolerance_mm": _figure_json(way.tolerance),
        "knife_offset_mm": _figure_json(way.knife_offset),
        "cautions": list(cautions_for(profile, way.tool, needs_of(way.tool))),
        "waste": "loose" if way.waste_loose else _bridge_json(way.waste),
        "slit": {
            "work": str(way.slit.work),
            "bridged": way.slit.bridged,
            "end": str(way.slit.end),
            "size_mm": _figure_json(way.slit.size),
            "tear": str(way.slit.tear),
        },
    }
    if way.score is not None:
        dashes = way.score.dashes
        answer["score"] = {
            "work": str(way.score.work),
            "inset_mm": _figure_json(way.score.inset),
            "allowance_mm": _figure_json(way.score.allowance),
            "shift_mm": _figure_json(way.score.shift),
            "valleys_from": str(way.score.valleys_from),
            "registration_mm": _figure_json(way.score.registration),
            "dashes": None
            if dashes is None
            else {"burn_mm": _figure_json(dashes.burn), "skip_mm": _figure_json(dashes.skip)},
        }
    if way.bridge is not None:
        answer["bridge"] = _bridge_json(way.bridge)
    if way.perforation is not None:
        answer["perforation"] = {
            "cut_mm": _figure_json(way.perforation.cut),
            "tie_mm": _figure_json(way.perforation.tie),
        }
    return answer


def _bridge_json(bridge: BridgeWay | None) -> dict[str, object] | None:
    if bridge is None:
        return None
    return {
        "length_mm": _figure_json(bridge.length),
        "pitch_mm": _figure_json(bridge.pitch),
        "clear_mm": _figure_json(bridge.clear),
        "holds_g": _figure_json(bridge.holds),
    }


def _figure_json(figure: Figure | None) -> dict[str, object] | None:
    from .tell import number

    if figure is None:
        return None
    return {
        "is": number(figure.value),
        "basis": figure.basis,
        "confidence": str(figure.confidence),
    }


def _writer_json(writer: Writer) -> dict[str, object]:
    return {"about": writer.about, "suffix": writer.suffix}


def _writer_text(name: str, writer: Writer) -> str:
    return f"  {name} (*{writer.suffix}): {writer.about}"


# The value that a reading gives is what the two tellers beside it take.
_KINDS: dict[
    str,
    tuple[
        Callable[[PlugIn], Reading],
        Callable[[Any], dict[str, object]],
        Callable[[str, Any], str],
    ],
] = {
    "patterns": (_pattern, _pattern_json, _pattern_text),
    "materials": (_material, _material_json, _material_text),
    "writers": (_writer, _writer_json, _writer_text),
}
