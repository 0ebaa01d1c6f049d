"""What is refused is told with values that would do, and those do."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from foldwright.design import resolve, written_out
from foldwright.measures import Unit
from foldwright.problems import DesignError, Problem

from .shipped import edition, started
from .within_limits import at_limits

# What a mend says to make of a measure: one value, or the two ends of what will do.
_VALUE = r"[0-9][0-9./ ]*(?:mm|in|degrees)?"
_WAY = re.compile(rf'(?P<it>it|"\w+") (?P<low>{_VALUE})(?: to (?P<high>{_VALUE}))?')


def ways(problem: Problem) -> Iterator[dict[str, str]]:
    """Each value that a problem tells, as a person types it, by the measure it is for.

    Values that are told `together` come as one.
    """
    named = problem.message.split('"')[1]
    singly, _, together = problem.mend.partition("together ")
    for way in _WAY.finditer(singly):
        name = named if way["it"] == "it" else way["it"].strip('"')
        for end in filter(None, (way["low"], way["high"])):
            yield {name: end.strip().replace("degrees", "deg")}
    if together:
        yield {
            way["it"].strip('"'): way["low"].strip().replace("degrees", "deg")
            for way in _WAY.finditer(together)
        }


@edition
def test_both_ends_of_what_is_told_will_do(name: str, units: Unit) -> None:
    design = started(name, units)
    for limit in at_limits(name, units):
        with pytest.raises(DesignError) as caught:
            resolve(design, overrides=limit.beyond)
        told = [way for problem in caught.value.problems[:1] for way in ways(problem)]
        assert told, caught.value.problems
        for values in told:
            resolve(design, overrides={**limit.beyond, **values})
            # Nobody who works in inches is told millimetres, nor the other way round.
            other = "mm" if units is Unit.IN else "in"
            assert not any(value.endswith(other) for value in values.values()), told


def told_of(name: str, **overrides: str) -> Problem:
    """The one problem that these values have, once every value that it tells has been tried."""
    design = started(name, Unit.MM)
    with pytest.raises(DesignError) as caught:
        resolve(design, overrides=overrides)
    (problem,) = caught.value.problems
    told = list(ways(problem))
    assert told
    for values in told:
        resolve(design, overrides={**overrides, **values})
    return problem


@pytest.mark.parametrize(
    ("name", "overrides"),
    [
        ("stepped-pop-up", {"length": "80"}),
        ("stepped-pop-up", {"length": "80", "boxes": "2"}),
        ("stepped-pop-up", {"width": "60"}),
        ("stepped-pop-up", {"width": "60", "boxes": "2"}),
        ("stepped-pop-up", {"width": "60", "length": "80"}),
        ("stepped-pop-up", {"gutter_y": "164.9"}),
        ("stepped-pop-up", {"gutter_y": "40.4"}),
        ("stepped-pop-up", {"gutter_y": "174"}),
        ("stepped-pop-up", {"boxes": "4"}),
        ("centre-steps", {"steps": "4"}),
        ("centre-steps", {"steps": "4", "tread": "12"}),
    ],
)
def test_one_problem_is_told_and_all_that_it_tells_will_do(
    name: str, overrides: dict[str, str]
) -> None:
    problem = told_of(name, **overrides)
    # The file is good without what this run gives.
    assert (problem.place.file or "").removeprefix("--set ") in overrides or len(overrides) > 1


def test_a_count_is_told_in_whole_numbers() -> None:
    # (60 - 20) / 20 boxes find room on 60 mm.  One of 40 mm and one 10 mm narrower on
    # either side, or 120 mm for three of 100 mm at most and the 10 mm beside them.
    problem = told_of("stepped-pop-up", width="60")
    assert problem.message == 'the measure "boxes" is 3, its most is 2'
    assert problem.mend == (
        'make "width" 120 mm to 600 mm,'
        ' or together "boxes" 2, "box_width" 40 mm and "narrower" 10 mm'
    )


def test_what_is_told_beside_a_count_helps_by_itself() -> None:
    # Half the length is wanted for four treads of 30 mm or risers of 35 mm.
    problem = told_of("centre-steps", steps="4")
    assert problem.message == 'the measure "steps" is 4, and 2 is the most that fits here'
    assert problem.mend.startswith('make it 2 or less, or "length" 344 mm to 900 mm, or together ')


@pytest.mark.parametrize("name", ["pop-up-box", "tuck-box", "side-steps"])
def test_a_design_that_is_written_out_tells_what_would_do(name: str) -> None:
    full = written_out(started(name, Unit.MM))
    ranged = 0
    for limit in at_limits(name, Unit.MM):
        beyond = {key: value for key, value in limit.beyond.items() if key in full.measures}
        if limit.parameter not in full.measures:
            continue
        with pytest.raises(DesignError) as caught:
            resolve(full, overrides=beyond)
        (problem,) = caught.value.problems
        assert problem.mend.endswith((", or raise its most", ", or lower its least"))
        for values in ways(problem):
            resolve(full, overrides={**beyond, **values})
            ranged += 1
    assert ranged


def test_inches_that_are_given_to_a_metric_card_are_told_with_their_unit() -> None:
    with pytest.raises(DesignError) as caught:
        resolve(started("half-fold", Unit.MM), overrides={"width": "5 3/4"})
    (problem,) = caught.value.problems
    assert problem.message == 'the measure "width" is 5.75 mm, its least is 30 mm'
    assert problem.mend.startswith('write "5 3/4 in" for inches, or make it 30 mm to ')
    resolve(started("half-fold", Unit.MM), overrides={"width": "5 3/4 in"})
