"""This module holds the exceptions: each carries problems and says whose fault they are."""

from __future__ import annotations

from collections.abc import Iterable

from .problem import Problem


class FoldwrightError(Exception):
    """The base of every error that this package raises on purpose.

    `problems` is never empty; `str()` gives them one a line.
    """

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        found = (problems,) if isinstance(problems, Problem) else tuple(problems)
        if not found:
            raise ValueError("an error needs at least one problem")
        self.problems: tuple[Problem, ...] = found
        super().__init__(found)

    def __str__(self) -> str:
        return "\n".join(problem.line() for problem in self.problems)


class DesignError(FoldwrightError, ValueError):
    """The design cannot be read or resolved: the author of the design can mend it."""


class ProfileError(FoldwrightError, ValueError):
    """A material or machine file cannot be used: the owner of that file can mend it."""


class FileError(FoldwrightError, OSError):
    """A file cannot be read or written: it is missing, in the way, or the disk is full."""

    # OSError has a __str__ of its own that would print the arguments raw.
    __str__ = FoldwrightError.__str__


class PlugInError(FoldwrightError, LookupError):
    """A writer, pattern or material is not installed, is doubled, or does not load."""


class ReadBackError(FoldwrightError):
    """A file that was just written does not hold what was to be written; it was thrown away."""
