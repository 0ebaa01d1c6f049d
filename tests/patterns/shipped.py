"""The shipped patterns, resolved and proved for the tests beside this file."""

from __future__ import annotations

import pytest

from foldwright import plugins
from foldwright.design import Design, Resolved, load_pattern, parse_design, resolve
from foldwright.measures import Unit
from foldwright.patterns import starter
from foldwright.problems import DesignError
from foldwright.proving import Proof, prove_design

SHIPPED = tuple(
    one.name for one in plugins.listed(plugins.Group.PATTERNS) if one.distribution == "foldwright"
)
EDITIONS = [(name, units) for name in SHIPPED for units in Unit]

edition = pytest.mark.parametrize(("name", "units"), EDITIONS)
shipped = pytest.mark.parametrize("name", SHIPPED)


def started(name: str, units: Unit = Unit.MM) -> Design:
    """The design that `new` starts from a pattern."""
    return parse_design(starter(load_pattern(name), "card", units), "card.toml")


def resolved(name: str, units: Unit = Unit.MM, **overrides: str) -> Resolved:
    """The same, worked out with other values of its measures."""
    return resolve(started(name, units), overrides=overrides)


def proof(name: str, units: Unit = Unit.MM, **overrides: str) -> Proof:
    """The same, proved in the materials that it starts with."""
    return prove_design(started(name, units), overrides=overrides)


def closed_mm(found: Proof) -> tuple[float, float]:
    """Width and height of the closed card."""
    assert found.closed is not None
    return found.closed.width_mm, found.closed.height_mm


def rules_of(name: str, units: Unit = Unit.MM, **overrides: str) -> set[tuple[str, str]]:
    """The rules by which these values are refused, each with the measure that it names."""
    with pytest.raises(DesignError) as caught:
        resolved(name, units, **overrides)
    return {(problem.rule, problem.message.split('"')[1]) for problem in caught.value.problems}
