"""This module gathers the problems of one stage, so that a user sees all of them at once."""

from __future__ import annotations

from .errors import FoldwrightError
from .problem import Problem, Severity


class Collector:
    """Problems in the order found, each told once."""

    def __init__(self) -> None:
        self._problems: dict[Problem, None] = {}

    def add(self, problem: Problem) -> None:
        """Keep a problem, unless the very same one is kept already."""
        self._problems.setdefault(problem)

    def extend(self, problems: FoldwrightError | tuple[Problem, ...]) -> None:
        """Keep the problems of an error, or of another stage."""
        found = problems.problems if isinstance(problems, FoldwrightError) else problems
        for problem in found:
            self.add(problem)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All problems kept so far."""
        return tuple(self._problems)

    @property
    def stopped(self) -> bool:
        """Whether one of them is a stop."""
        return any(problem.severity is Severity.STOP for problem in self._problems)

    def raise_if_stopped(self, error: type[FoldwrightError]) -> None:
        """Raise `error` with everything kept, if there is a stop among it."""
        if self.stopped:
            raise error(self.problems)
