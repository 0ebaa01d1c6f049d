"""What is refused is told with values that would do, and those do."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from foldwright.design import resolve
from foldwright.measures import Unit
from foldwright.problems import DesignError, Problem

from .shipped import edition, started
from .within_limits import at_limits

# What a mend says to make of a measure: one value, or the two ends of what will do.
_VALUE = r"[0-9][0-9./ ]*(?:mm|in|degrees)?"
_WAY = re.compile(rf'(?P<it>it|"\w+") (?P<low>{_VALUE})(?: to (?P<high>{_VALUE}))?')


def ways(problem: Problem) -> Iterator[tuple[str, str]]:
    """Each value that a problem tells, as a person types it, with the measure it is for."""
    named = problem.message.split('"')[1]
    for way in _WAY.finditer(problem.mend):
        name = named if way["it"] == "it" else way["it"].strip('"')
        for end in filter(None, (way["low"], way["high"])):
            yield name, end.strip().replace("degrees", "deg")


@edition
def test_both_ends_of_what_is_told_will_do(name: str, units: Unit) -> None:
    design = started(name, units)
    for limit in at_limits(name, units):
        with pytest.raises(DesignError) as caught:
            resolve(design, overrides=limit.beyond)
        told = [way for problem in caught.value.problems[:1] for way in ways(problem)]
        assert told, caught.value.problems
        for measure, value in told:
            resolve(design, overrides={**limit.beyond, measure: value})
            # Nobody who works in inches is told millimetres, nor the other way round.
            assert not value.endswith("mm" if units is Unit.IN else "in"), told
