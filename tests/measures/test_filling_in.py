"""Numbers in the place of measures: the same value, and nothing left that has no effect."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.measures import Kind, Quantity, Scope, Unit, filled_in, parse
from foldwright.problems import DesignError

COUNTS = {"n": 3, "one": 1, "none": 0}


@pytest.mark.parametrize(
    ("text", "filled"),
    [
        ("n", "3"),
        ("n * tread + 8 mm", "3 * tread + 8 mm"),
        ("(n + 1) * tread", "4 * tread"),
        ("one * tread - none * (tread + riser)", "tread"),
        ("top - none * (tread + riser) - tread / 2", "top - tread / 2"),
        ("none * a - (b + c)", "-(b + c)"),
        ("none * 5", "0"),
        # It has the kind of a length, and so has the 2.
        ("none * tread", "0 * tread"),
        ("none * tread + 2", "0 * tread + 2"),
        ("width / n", "width / 3"),
        ("one / width * width", "1 / width * width"),
        ("n * 2 * width / one", "6 * width"),
        ("one - n", "-2"),
        ("n-3/4", "3 - 3 / 4"),
        ("12 / n / (3 mm) * 1/4 in", "4 / (3 mm) * 1/4 in"),
        ("width / (n * 5 3/4)", "width / (3 * 5 3/4)"),
        ("-n * (-width)", "-3 * (-width)"),
        ("max(n * 1 5/8 in, 2 mm + caliper(card-2), (2 + n) mm)",
         "max(3 * 1 5/8 in, 2 mm + caliper(card-2), (5) mm)"),
        ("sin(180 deg / n) * caliper", "sin(180 deg / 3) * caliper"),
        # Where nothing changes, the text is that of its author.
        ("width/2-riser", "width/2-riser"),
        ("1/2 in", "1/2 in"),
    ],
)  # fmt: skip
def test_worked_examples(text: str, filled: str) -> None:
    assert filled_in(parse(text), COUNTS).text == filled


@pytest.mark.parametrize(
    ("text", "filled"),
    [
        ("tongue + depth - ease - (depth - ease)", "tongue"),
        ("((strip) + (width)) / 2", "(strip + width) / 2"),
        ("a - (b - a)", "a - (b - a)"),
        ("a + (b - a)", "b"),
        ("n * a + b - n * a - c", "b - c"),
        ("-(a + b) + a", "-b"),
        ("b - (a + b + c)", "-a - c"),
        ("b + 3 mm - (c + 3 mm)", "b - c"),
        # A length of nothing makes a length of the 5.
        ("a - a + 5", "a - a + 5"),
        ("a - a", "0"),
        ("tongue + depth - ease - (depth - ease + tongue)", "0"),
        ("max(a - a, b)", "max(a - a, b)"),
        # A root is no fraction: it is reckoned in the order that its author chose.
        ("root + a - root", "root + a - root"),
        ("sqrt(a * a) + b - sqrt(a * a)", "sqrt(a * a) + b - sqrt(a * a)"),
        ("a/2-b", "a/2-b"),
    ],
)  # fmt: skip
def test_what_cancels_among_exact_measures(text: str, filled: str) -> None:
    exact = {"tongue", "depth", "ease", "strip", "width", "a", "b", "c"}
    assert filled_in(parse(text), COUNTS, exact).text == filled


LEAVES = st.sampled_from(
    ["n", "one", "none", "width", "riser", "0", "1", "2", "3/4", "5 3/4", "1/8 in", "3 mm", "2.5"]
)


def grown(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    signs = st.sampled_from([" + ", " - ", " * ", " / ", "+", "*"])
    return st.one_of(
        st.tuples(inner, signs, inner).map("".join),
        st.tuples(inner, signs, inner, signs, inner).map("".join),
        inner.map(lambda one: f"({one})"),
        inner.map(lambda one: f"-({one})"),
        st.tuples(inner, inner).map(lambda two: f"max({two[0]}, {two[1]})"),
    )


@pytest.mark.parametrize("exact", [set(), {"width"}])
@given(st.recursive(LEAVES, grown, max_leaves=8), st.sampled_from(Unit))
def test_it_comes_to_the_same(exact: set[str], text: str, units: Unit) -> None:
    counts = {name: Quantity(Fraction(count), Kind.NUMBER) for name, count in COUNTS.items()}
    # One length is a fraction and the other a float: floats must agree to the last bit.
    lengths = {
        "width": Quantity(Fraction(148), Kind.LENGTH),
        "riser": Quantity(2**0.5 * 10, Kind.LENGTH),
    }
    try:
        written = parse(text)
        due = written.evaluate(Scope.of(units, {**lengths, **counts}))
    except DesignError:
        return
    filled = filled_in(written, COUNTS, exact)
    assert not filled.names & COUNTS.keys()
    found = filled.evaluate(Scope.of(units, lengths))
    assert found.value == due.value
    # A count becomes a plain number, which has no kind of its own.
    assert (
        found.kind is due.kind
        or (due.kind, found.kind) == (Kind.NUMBER, Kind.BARE)
        or (bool(exact) and filled.text == "0")
    )
    # What is filled in is tidy: once more changes nothing.
    assert filled_in(filled, COUNTS, exact).text == filled.text
