"""Every rule of measures is raised by some input, and its texts leave no field unfilled."""

from __future__ import annotations

from collections.abc import Callable

from foldwright.measures import (
    Scope,
    Unit,
    as_angle,
    as_count,
    as_length,
    as_number,
    expression_of,
    length,
    name_problem,
    number,
    parse,
    work_out,
)
from foldwright.problems import DesignError
from foldwright.problems.rules import measures

TEXTS = [
    "", "1+" * 300, "-" * 60 + "1", "5 $", "1e123", "5 +", "5-3/4", "5 px", "w in", "f(3)",
    "sqrt(1, 2)", "sin(w)", "acos(2)", "1/0", "w + 2 deg", "nowhere", "caliper(tin)",
]  # fmt: skip


def _caliper(stock: str | None) -> object:
    raise KeyError(stock)


def test_every_rule_is_raised() -> None:
    raised = set()

    def note(error: DesignError) -> None:
        for problem in error.problems:
            raised.add(problem.rule)
            assert "{" not in problem.message + problem.mend, problem

    scope = Scope.of(Unit.MM, {"w": length(1)}, _caliper)  # type: ignore[arg-type]
    for text in TEXTS:
        try:
            parse(text).evaluate(scope)
        except DesignError as error:
            note(error)
    attempts: list[Callable[[], object]] = [
        lambda: as_length(number(1), Unit.MM),
        lambda: as_length(length(20_000), Unit.MM),
        lambda: as_angle(length(1)),
        lambda: as_number(length(1)),
        lambda: as_count(number(-1)),
        lambda: expression_of(float("nan")),
        lambda: work_out({"a": parse("a"), "sin": number(1), "b c": number(1)}, units=Unit.MM),
    ]
    for attempt in attempts:
        try:
            attempt()
        except DesignError as error:
            note(error)
    assert name_problem("fine") is None
    assert raised == {rule.code for rule in measures.RULES}
