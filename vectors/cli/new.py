"""This module is the command new: a design file that starts from a pattern or an occasion."""

from __future__ import annotations

from .arguments import add_json, add_set, add_sizes

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from pathlib import Path

    from ..design import Pattern
    from ..measures import Unit
    from ..problems import Problem


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument(
        "pattern",
        metavar="PATTERN",
        help="the pattern (foldwright list patterns), or an occasion, a finished design with mats "
        "and envelope, to go on with (foldwright list occasions)",
    )
    parser.add_argument(
        "--to", metavar="FILE", help="the file to write; standard output if left out"
    )
    parser.add_argument(
        "--units",
        choices=("mm", "in"),
        default="mm",
        help="the metric edition, or the one made for inch rulers; mm if left out",
    )
    parser.add_argument(
        "--written-out",
        action="store_true",
        help="with pieces, joints and poses in the file, to go on with by hand, in place of the "
        "name of the pattern; how many parts there are is then fixed",
    )
    parser.add_argument(
        "--mats",
        action="store_true",
        help="with the usual mats (decorative pieces on the panels) and their paper",
    )
    add_set(
        parser,
        'a value of the pattern that the file starts with, such as tread=32 or "width=5 3/4 in"; '
        "may be repeated",
    )
    add_sizes(parser)
    add_json(parser)


def run(options: Namespace) -> int:
    """Write the design file; a file that is there already is never replaced."""
    from pathlib import Path

    from .occasions import answered, asked_for
    from .tell import findings_json, tell_problems, write_json

    occasion = asked_for(options.pattern)
    file = None if options.to is None else Path(options.to)
    if occasion is None:
        text, told, findings = _started(options, file)
    else:
        text, told, findings = answered(occasion, options)
    if file is not None:
        _write(file, text)
    if options.json:
        answer = {**told, "path": options.to, "findings": findings_json(findings)}
        if file is None:
            answer["text"] = text
        write_json(answer)
    elif file is None:
        print(text, end="")
    else:
        print(f"wrote {file}; prove it with: foldwright prove {_quoted(options.to)}")
    tell_problems(findings)
    return 0


def _started(
    options: Namespace, file: Path | None
) -> tuple[str, dict[str, object], tuple[Problem, ...]]:
    """The text that starts from a pattern, what the answer tells of it, and what there is to say.

    Raises PlugInError where there is no such pattern, DesignError for values that it does not take.
    """
    from dataclasses import replace

    from ..design import load_pattern, parse_design
    from ..design.scaling import numbers_that_stay
    from ..measures import Unit
    from ..patterns import in_full, starter
    from ..problems import Place, problem
    from .sizing import sized_as_asked

    pattern = load_pattern(options.pattern)
    units, values = Unit(options.units), dict(options.overrides)
    _check_values(pattern, units, values)
    name, findings = _name(pattern, file)
    asked = {"mirrored": options.mirrored, "mats": options.mats}
    text = starter(pattern, name, units, values, **asked)
    if options.scale is not None or options.scale_to is not None:
        sized = sized_as_asked(parse_design(text, options.pattern), options, None, {}, stay=values)
        # The values of a starter are those of the whole file; what is reckoned follows.
        values = {**values, **sized.overrides}
        text = starter(pattern, name, units, values, **asked)
        findings += tuple(
            replace(found, place=Place()) for found in sized.findings if found.rule != "not-scaled"
        )
    if options.mats and not parse_design(text, options.pattern).mats:
        findings += (problem("no-usual-mats", name=pattern.name),)
    if options.written_out:
        text = in_full(pattern, name, units, values, **asked)
    if options.scale is not None or options.scale_to is not None:
        # They are told by the lines of the file that is written.
        place = Place(file=None if file is None else str(file))
        stay = numbers_that_stay(parse_design(text, options.pattern))
        findings += tuple(replace(found, place=place) for found in stay)
    told: dict[str, object] = {
        "pattern": pattern.name,
        "occasion": None,
        "units": options.units,
        "written_out": options.written_out,
    }
    return text, told, findings


def _check_values(pattern: Pattern, units: Unit, values: dict[str, str]) -> None:
    """Raise DesignError where the pattern does not take the values: nothing is written then."""
    from ..design import parse_design, resolve
    from ..patterns import starter

    if values:
        first = parse_design(starter(pattern, pattern.name, units), f"pattern {pattern.name}")
        resolve(first, overrides=values)


def _name(pattern: Pattern, file: Path | None) -> tuple[str, tuple[Problem, ...]]:
    """What the design is called: as its file, or as its pattern where the file's name cannot be."""
    from ..problems import Place, problem
    from ..sources import name_fault

    if file is None:
        return pattern.name, ()
    fault = name_fault(file.stem)
    if fault is None:
        return file.stem, ()
    place = Place(file=str(file))
    note = problem(
        "named-by-its-pattern", place=place, name=pattern.name, other=file.stem, reason=fault
    )
    return pattern.name, (note,)


def _quoted(text: str) -> str:
    import shlex

    return shlex.quote(text)


def _write(file: Path, text: str) -> None:
    """Write a new file, all of it or nothing.

    Raises FileError where there is one already or it cannot be written.
    """
    from ..problems import FileError, Place, problem

    place = Place(file=str(file))
    ours = False
    try:
        with file.open("x", encoding="utf-8", newline="\n") as stream:
            ours = True
            stream.write(text)
    except FileExistsError:
        if file.is_dir():
            raise FileError(problem("file-is-a-folder", place=place, file=str(file))) from None
        raise FileError(problem("file-exists", place=place)) from None
    except (OSError, ValueError) as reason:
        # ValueError: a zero byte in the path, or a letter the file system lacks.
        if ours:
            file.unlink(missing_ok=True)
        said = (reason.strerror if isinstance(reason, OSError) else None) or str(reason)
        raise FileError(
            problem("cannot-write-here", place=place, reason=said[:1].lower() + said[1:])
        ) from None
