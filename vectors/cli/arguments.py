"""This module reads the command line: the table of commands, and the options that several share."""

from __future__ import annotations

import argparse
import sys
from importlib import import_module

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any, NoReturn

# Command -> what it does, in the words of the help text.
COMMANDS = {
    "new": "write a design file that starts from a pattern or an occasion",
    "prove": "does it fold? verdicts, closed size and mends of a design",
    "export": "prove a design, then write its files for the cutter",
    "gauge": "sheets to measure kerf, bridges (uncut stretches) and folds on; your own profile",
    "list": "what is installed: patterns, materials, writers; and finished designs for occasions",
}

ABOUT = "Proves that a fold card closes, then writes layered SVG and DXF files for the cutter."

WORDS = """\
words:
  prove      does it fold?            loop     ring of panels
  caliper    paper thickness          ply      layer of paper
  gapes      too short                buckles  too long
  kerf       width that a tool removes
  mend       a change of one measure or line that makes a verdict good

exit status: 0 good; 1 the design has a stop finding, or a file failed its
read-back; 2 bad input or usage
"""


class UsageError(Exception):
    """The command line itself is wrong: why, and in which command."""

    def __init__(self, reason: str, command: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.command = command


class Parser(argparse.ArgumentParser):
    """An argument parser that leaves it to the caller to tell an error and to end the program.

    It takes no option twice unless that may be repeated: one of the two would be
    lost without a word.
    """

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.register("action", None, _Once)
        self.register("action", "once a key", _OnceAKey)

    def error(self, message: str) -> NoReturn:
        """Raise the error in place of printing it."""
        raise UsageError(message.replace("'", '"'), self.prog)


def filled(text: str) -> str:
    """The text.  Raises argparse's error for one that is empty."""
    if not text.strip():
        raise argparse.ArgumentTypeError("the value is empty")
    return text


class _Once(argparse.Action):
    """Keeps the one value of an option."""

    given = False

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[object] | None,
        option_string: str | None = None,
    ) -> None:
        if self.given and option_string is not None:
            raise argparse.ArgumentError(self, "it is given twice; leave one of the two out")
        self.given = True
        setattr(namespace, self.dest, values)


class _OnceAKey(argparse.Action):
    """Keeps all values KEY=VALUE of an option that may be repeated, each key once."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: Any,
        option_string: str | None = None,
    ) -> None:
        kept = list(getattr(namespace, self.dest))
        if _key(values) in map(_key, kept):
            named = f'"{_key(values)}"' if _key(values) else "what serves every stock"
            raise argparse.ArgumentError(self, f"{named} is given twice; leave one of the two out")
        setattr(namespace, self.dest, [*kept, values])


def _key(value: str | tuple[str, str]) -> str:
    """What a value is for: the measure of NAME=VALUE, the stock of STOCK=NAME, if there is one."""
    if isinstance(value, tuple):
        return value[0]
    stock, equals, _ = value.partition("=")
    return stock.strip() if equals and "/" not in stock and "\\" not in stock else ""


class _Version(argparse.Action):
    """Prints the installed version, which is looked up only then: it costs time."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[object] | None,
        option_string: str | None = None,
    ) -> NoReturn:
        from importlib.metadata import version

        sys.stdout.write(f"foldwright {version('foldwright')}\n")
        parser.exit()


def chosen_parser(arguments: Sequence[str]) -> argparse.ArgumentParser:
    """The parser of the command line.

    Only the commands that are named in `arguments` get their options: those of
    the others need not be imported.
    """
    parser = Parser(
        prog="foldwright",
        description=ABOUT,
        epilog=WORDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="print the version and leave")
    commands = parser.add_subparsers(
        dest="command", metavar="COMMAND", required=True, title="commands"
    )
    for name, does in COMMANDS.items():
        command = commands.add_parser(
            name,
            help=does,
            description=f"{does[0].upper()}{does[1:]}.",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        # Not of the parser above, to which all that follows a command is one value.
        command.register("type", None, filled)
        if name in arguments:
            import_module(f".{name}", __package__).configure(command)
    return parser


def add_json(parser: argparse.ArgumentParser) -> None:
    """The option that every command takes."""
    parser.add_argument(
        "--json",
        action="store_true",
        help="print one JSON object, lengths in mm",
    )


def add_design(parser: argparse.ArgumentParser) -> None:
    """The design file and what may be changed of it for one run."""
    parser.add_argument("design", metavar="DESIGN", help="the design file, TOML")
    add_set(
        parser,
        'a measure for this run, such as tread=32 or "width=5 3/4 in"; may be repeated',
    )


def add_set(parser: argparse.ArgumentParser, gloss: str) -> None:
    """The option that gives measures a value; every command takes it."""
    parser.add_argument(
        "--set",
        metavar="NAME=VALUE",
        dest="overrides",
        action="once a key",
        default=[],
        type=pair,
        help=gloss,
    )


def add_sizes(parser: argparse.ArgumentParser) -> None:
    """The options for another size and for the other hand."""
    size = parser.add_mutually_exclusive_group()
    size.add_argument(
        "--scale",
        metavar="FACTOR",
        help="the design larger or smaller by this factor, such as 0.5 or 3/4: each measure as "
        "its scale says; a measure that --set gives stays as it is given",
    )
    size.add_argument(
        "--scale-to",
        metavar="SIZE",
        help='the largest card that fits this closed size, such as "105 x 148", '
        '"4 1/4 x 5 1/2 in" or A6, either way round',
    )
    parser.add_argument(
        "--mirrored",
        action="store_true",
        help="the mirror image, for whoever works with the left hand; letters and print "
        "directions are not mirrored",
    )


def add_material(parser: argparse.ArgumentParser, *, gloss: str) -> None:
    """The paper of each stock."""
    parser.add_argument(
        "--material",
        metavar="[STOCK=]NAME",
        dest="materials",
        action="once a key",
        default=[],
        type=material,
        help=f"{gloss}: a name (foldwright list materials) or a file; STOCK=NAME for one stock "
        "of the design; may be repeated",
    )


def add_tool(parser: argparse.ArgumentParser, *, required: bool) -> None:
    """The tool that cuts and scores."""
    parser.add_argument(
        "--tool",
        choices=("hand", "knife", "laser"),
        required=required,
        help="what cuts: hand (trimmer and scoring board), knife (plotter), laser",
    )


def material(text: str) -> str:
    """[STOCK=]NAME as it is.  Raises argparse's error where a part of it is empty."""
    for part in filled(text).split("=", 1):
        if not part.strip():
            raise argparse.ArgumentTypeError(f'"{text}" is not NAME or STOCK=NAME')
    return text


def pair(text: str) -> tuple[str, str]:
    """NAME=VALUE in two.  Raises argparse's error for anything else.

    A value that is missing is for the command to tell, which knows one that would do.
    """
    name, equals, value = text.partition("=")
    if not equals or not name.strip():
        raise argparse.ArgumentTypeError(f'"{text}" is not NAME=VALUE, such as width="41 mm"')
    return name.strip(), value.strip()
