"""Tables of measures: any order, cycles, and every problem at once with its own line."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.measures import (
    Expression,
    Quantity,
    Unit,
    angle,
    length,
    number,
    parse,
    work_out,
)
from foldwright.problems import DesignError, Place


def table(**texts: str) -> dict[str, Expression | Quantity]:
    return {
        name: parse(text, Place(file="card.toml", line=line))
        for line, (name, text) in enumerate(texts.items(), start=1)
    }


def test_measures_in_any_order() -> None:
    found = work_out(
        table(
            gutter_y="length / 2",
            length="210",
            strip="length / 4 - caliper",
            lean="acos(strip / gutter_y)",
            share="strip / length",
        ),
        units=Unit.MM,
        caliper=lambda stock: length(Fraction(5, 2)),
    )
    assert list(found) == ["gutter_y", "length", "strip", "lean", "share"]
    assert found["gutter_y"] == length(105)
    assert found["strip"] == length(50)
    assert found["share"] == number(Fraction(5, 21))
    assert found["lean"].value == pytest.approx(61.5, abs=0.1)


def test_a_measure_has_the_units_it_was_written_in() -> None:
    # A variant's numbers are in the variant's units, the rest of the file's in the file's.
    found = work_out(
        table(width="5 3/4", half="width / 2 + 1", margin="3 mm"),
        units=Unit.MM,
        units_of={"width": Unit.IN},
    )
    assert found["width"] == length(Fraction("146.05"))
    assert found["half"] == length(Fraction("74.025"))
    assert found["margin"] == length(3)


def test_quantities_and_counts_are_taken_as_they_are() -> None:
    found = work_out(
        {
            "steps": number(3),
            **table(run="steps * tread", tread="30", more="steps + 1", lean="30 deg"),
        },
        units=Unit.MM,
        numbers=("more",),
    )
    assert found["run"] == length(90)
    assert found["more"] == number(4)
    assert found["lean"] == angle(30)


def test_every_problem_at_once_with_its_own_line() -> None:
    with pytest.raises(DesignError) as caught:
        work_out(
            table(
                a="b + 1",
                b="c * 2",
                c="a",
                d="treed * 2",
                e="nowhere",
                mm="3",
                zero="2 / (share - share)",
                tread="30",
                share="tread / tread",
                square="tread * tread",
                far="11000",
                self="self + 1",
                follows="a + d + zero",
                angled="tread + 3 deg",
            ),
            units=Unit.MM,
        )
    assert [
        (problem.place.line, problem.rule, problem.message) for problem in caught.value.problems
    ] == [
        (1, "measure-cycle", "measures depend on each other in a ring: a -> b -> c -> a"),
        (4, "unknown-measure", 'there is no measure called "treed"'),
        (5, "unknown-measure", 'there is no measure called "nowhere"'),
        (6, "reserved-name", 'a measure cannot be called "mm"'),
        (7, "divided-by-zero", 'a division by zero at column 3 of "2 / (share - share)"'),
        (10, "not-a-length", 'the measure "square" is an area where a length is due'),
        (11, "length-too-large", 'the measure "far" is longer than 10 m'),
        (12, "measure-cycle", "measures depend on each other in a ring: self -> self"),
        (
            14,
            "mixed-kinds",
            'a length and an angle cannot be added (column 7 of "tread + 3 deg")',
        ),
    ]
    assert caught.value.problems[1].mend == 'did you mean "tread"?'


def test_what_is_no_count_is_told() -> None:
    with pytest.raises(DesignError, match='the measure "steps" is a length where a plain number'):
        work_out(table(steps="3 mm"), units=Unit.MM, numbers=("steps",))


@given(st.lists(st.integers(-50, 50), min_size=1, max_size=12), st.randoms(use_true_random=False))
def test_order_does_not_matter(steps: list[int], random: object) -> None:
    texts = {"m0": "1"}
    texts.update({f"m{i}": f"m{i - 1} + {step} mm" for i, step in enumerate(steps, start=1)})
    names = list(texts)
    random.shuffle(names)  # type: ignore[attr-defined]
    found = work_out(table(**{name: texts[name] for name in names}), units=Unit.MM)
    assert list(found) == names
    assert found[f"m{len(steps)}"] == length(1 + sum(steps))


@given(st.integers(1, 9))
def test_a_ring_of_any_length_is_named_once(size: int) -> None:
    texts = {f"r{i}": f"r{(i + 1) % size}" for i in range(size)}
    with pytest.raises(DesignError) as caught:
        work_out(table(**texts), units=Unit.MM)
    (found,) = caught.value.problems
    assert found.message.endswith(" -> ".join([*texts, "r0"]))
    assert found.place.line == 1


def test_a_thousand_measures_in_a_chain() -> None:
    texts = {"m999": "1"} | {f"m{i}": f"m{i + 1} + 1 mm" for i in reversed(range(999))}
    assert work_out(table(**texts), units=Unit.MM)["m0"] == length(1000)
