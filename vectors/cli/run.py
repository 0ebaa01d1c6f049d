"""This module starts a command and turns whatever happens into an exit status and plain lines."""

from __future__ import annotations

import gc
import os
import sys
from importlib import import_module

from .arguments import UsageError, chosen_parser

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Sequence

    from ..problems import Problem

GOOD, STOPPED, BAD_INPUT = 0, 1, 2
# What a shell reports for a command that an interrupt (128 + 2) or a closed
# pipe (128 + 13) ended.
INTERRUPTED, PIPE_CLOSED = 130, 141


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; return its exit status.

    0 is good, 1 a design with a `stop` finding or a file that failed its
    read-back, 2 bad input or usage.  Without `argv` the arguments are those of
    the process, which is taken to end with the command.
    """
    status = _guarded(list(sys.argv[1:] if argv is None else argv))
    if argv is None:
        # Python looks for garbage once more as it ends, and libraries load so
        # much that this takes longer than the command itself.
        gc.freeze()
    return status


def _guarded(arguments: Sequence[str]) -> int:
    """Run a command; whatever happens, a status comes back and no traceback."""
    _never_choke_on_a_letter()
    try:
        status = _run(arguments)
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        _leave_output_alone()
        return PIPE_CLOSED
    except KeyboardInterrupt:
        return INTERRUPTED
    except OSError as error:
        # Commands turn the troubles of the files they open into problems; what
        # is left is standard output itself, on a full disk for instance.
        from ..problems import problem

        _leave_output_alone()
        _tell((problem("output-failed", reason=error.strerror or str(error)),))
        return BAD_INPUT


def _run(arguments: Sequence[str]) -> int:
    wants_json = "--json" in arguments
    try:
        options = chosen_parser(arguments).parse_args(arguments)
    except UsageError as error:
        from ..problems import problem

        trouble = problem("bad-usage", reason=error.reason, command=error.command)
        return _refuse((trouble,), wants_json)
    except SystemExit as done:  # `--help` and `--version` end here
        return done.code if isinstance(done.code, int) else GOOD
    return _command(options, wants_json)


def _command(options: Namespace, wants_json: bool) -> int:
    from ..problems import FoldwrightError

    command = import_module(f".{options.command}", __package__)
    try:
        status: int = command.run(options)
    except FoldwrightError as error:
        return _refuse(error.problems, wants_json)
    except RecursionError:
        from ..problems import problem

        return _refuse((problem("too-deep"),), wants_json)
    except MemoryError:
        from ..problems import problem

        return _refuse((problem("too-large"),), wants_json)
    return status


def _refuse(problems: tuple[Problem, ...], wants_json: bool) -> int:
    """Tell what is wrong with the input; the status of bad input."""
    from .tell import findings_json, write_json

    _tell(problems)
    if wants_json:
        write_json({"findings": findings_json(problems)})
    return BAD_INPUT


def _tell(problems: tuple[Problem, ...]) -> None:
    from .tell import tell_problems

    tell_problems(problems)


def _never_choke_on_a_letter() -> None:
    """Print what the terminal's alphabet lacks as an escape, where Python would fail."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def _leave_output_alone() -> None:
    """Send the rest of the output nowhere, so that leaving Python does not fail on it again."""
    try:
        number = sys.stdout.fileno()
    except (OSError, ValueError):
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, number)
    os.close(nowhere)
