"""This module is the command new: a design file that starts from a pattern."""

from __future__ import annotations

from .arguments import add_json

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from pathlib import Path


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument("pattern", metavar="PATTERN", help="the pattern (foldwright list patterns)")
    parser.add_argument(
        "--to", metavar="FILE", help="the file to write; standard output if left out"
    )
    parser.add_argument(
        "--units",
        choices=("mm", "in"),
        default="mm",
        help="the metric edition, or the one made for inch rulers; mm if left out",
    )
    add_json(parser)


def run(options: Namespace) -> int:
    """Write the design file; a file that is there already is never replaced."""
    from pathlib import Path

    from ..design import load_pattern
    from ..measures import Unit
    from ..patterns import starter
    from .tell import write_json

    pattern = load_pattern(options.pattern)
    file = None if options.to is None else Path(options.to)
    name = pattern.name if file is None else file.stem
    text = starter(pattern, name, Unit(options.units))
    if file is not None:
        _write(file, text)
    if options.json:
        answer: dict[str, object] = {
            "pattern": pattern.name,
            "units": options.units,
            "path": options.to,
            "findings": [],
        }
        if file is None:
            answer["text"] = text
        write_json(answer)
    elif file is None:
        print(text, end="")
    else:
        print(f"wrote {file}; prove it with: foldwright prove {_quoted(options.to)}")
    return 0


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
        raise FileError(problem("file-exists", place=place)) from None
    except (OSError, ValueError) as reason:
        # ValueError: a zero byte in the path, or a letter the file system lacks.
        if ours:
            file.unlink(missing_ok=True)
        said = (reason.strerror if isinstance(reason, OSError) else None) or str(reason)
        raise FileError(
            problem("cannot-write-here", place=place, reason=said[:1].lower() + said[1:])
        ) from None
