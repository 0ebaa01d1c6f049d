"""Kinds of quantities: what may be added, multiplied and divided, and what comes of it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from foldwright.measures import (
    Kind,
    Quantity,
    Scope,
    Unit,
    angle,
    as_angle,
    as_count,
    as_length,
    as_number,
    bare,
    length,
    number,
    parse,
)
from foldwright.problems import DesignError, Place

MEASURES = {
    "w": length(148),
    "h": length(Fraction(105)),
    "n": number(5),
    "a": angle(60),
}
SCOPE = Scope.of(Unit.MM, MEASURES, lambda stock: length(Fraction(3, 10)), ("card",))


def worth(text: str, units: Unit = Unit.MM) -> Quantity:
    return parse(text).evaluate(Scope.of(units, MEASURES, SCOPE.caliper))


def rule_of(text: str) -> str:
    with pytest.raises(DesignError) as caught:
        worth(text)
    (found,) = caught.value.problems
    assert found.mend
    return found.rule


@pytest.mark.parametrize(
    ("text", "value", "kind"),
    [
        # A bare number takes the kind of what it is added to or compared with.
        ("w + 2", 150, Kind.LENGTH),
        ("2 + w", 150, Kind.LENGTH),
        ("w - 2", 146, Kind.LENGTH),
        ("a + 5", 65, Kind.ANGLE),
        ("n + 1", 6, Kind.NUMBER),
        ("max(100, w)", 148, Kind.LENGTH),
        ("min(100, w)", 100, Kind.LENGTH),
        ("abs(100 - w)", 48, Kind.LENGTH),
        # It is a plain number where it multiplies or divides.
        ("w * 2", 296, Kind.LENGTH),
        ("2 * w", 296, Kind.LENGTH),
        ("w / 2", 74, Kind.LENGTH),
        ("a / 2", 30, Kind.ANGLE),
        ("2 * 3", 6, Kind.BARE),
        ("2 * (w + 1)", 298, Kind.LENGTH),
        ("w + 2 * 3", 154, Kind.LENGTH),
        # Counts multiply and divide too, and stay counts.
        ("n * w", 740, Kind.LENGTH),
        ("w / n", Fraction(148, 5), Kind.LENGTH),
        ("n * 2", 10, Kind.NUMBER),
        ("10 / n", 2, Kind.NUMBER),
        ("a * n", 300, Kind.ANGLE),
        # Ratios and areas.
        ("w / h", Fraction(148, 105), Kind.NUMBER),
        ("a / a", 1, Kind.NUMBER),
        ("w * h", 15540, Kind.AREA),
        ("w * h / h", 148, Kind.LENGTH),
        ("w * h / (w * h)", 1, Kind.NUMBER),
        ("sqrt(3 mm * 3 mm + 4 mm * 4 mm)", 5, Kind.LENGTH),
        ("sqrt(9/4)", Fraction(3, 2), Kind.BARE),
        ("sqrt(n - 1)", 2, Kind.NUMBER),
        ("-w", -148, Kind.LENGTH),
        ("- - n", 5, Kind.NUMBER),
        ("caliper * 2", Fraction(3, 5), Kind.LENGTH),
        ("caliper(card) + w", Fraction(1483, 10), Kind.LENGTH),
    ],
)
def test_kinds_combine(text: str, value: int | Fraction, kind: Kind) -> None:
    assert Quantity(Fraction(value), kind) == worth(text)


def test_bare_numbers_are_in_the_units_of_the_file() -> None:
    assert worth("w + 2", Unit.IN) == length(148 + Fraction(254, 5))
    assert worth("max(1, 1 mm)", Unit.IN) == length(Fraction(127, 5))
    assert worth("w * 2", Unit.IN) == length(296)


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("w + n", "mixed-kinds"),
        ("w + a", "mixed-kinds"),
        ("n - a", "mixed-kinds"),
        ("w * h + 9", "mixed-kinds"),
        ("w * h - w", "mixed-kinds"),
        ("max(w, a)", "mixed-kinds"),
        ("w * a", "mixed-kinds"),
        ("a * a", "mixed-kinds"),
        ("w * w * w", "mixed-kinds"),
        ("5 / w", "mixed-kinds"),
        ("n / w", "mixed-kinds"),
        ("w / a", "mixed-kinds"),
        ("w / 0", "divided-by-zero"),
        ("w / (h - h)", "divided-by-zero"),
        ("1 / (n - 5)", "divided-by-zero"),
        ("sin(w)", "wrong-argument"),
        ("sin(n)", "wrong-argument"),
        ("cos(w)", "wrong-argument"),
        ("tan(w)", "wrong-argument"),
        ("acos(w)", "wrong-argument"),
        ("asin(a)", "wrong-argument"),
        ("atan(w)", "wrong-argument"),
        ("sqrt(w)", "wrong-argument"),
        ("sqrt(-1)", "outside-domain"),
        ("sqrt(h*h - w*w)", "outside-domain"),
        ("acos(w / h)", "outside-domain"),
        ("asin(-2)", "outside-domain"),
        ("tan(90 deg)", "outside-domain"),
        ("tan(-270)", "outside-domain"),
        ("(w) mm", "unit-needs-number"),
        ("(n) mm", "unit-needs-number"),
    ],
)
def test_what_does_not_go_together_is_refused(text: str, rule: str) -> None:
    assert rule_of(text) == rule


def test_a_refusal_says_where_and_how_to_mend() -> None:
    place = Place(file="card.toml", line=14)
    with pytest.raises(DesignError) as caught:
        parse("w / 2 + n", place).evaluate(SCOPE)
    assert str(caught.value) == (
        "card.toml:14: stop: a length and a count or ratio cannot be added (column 7 of "
        '"w / 2 + n"); give the number a unit by a factor, such as "steps * 1 mm" (mixed-kinds)'
    )


def test_a_result_due_as_a_length() -> None:
    assert as_length(bare(Fraction(23, 4)), Unit.IN) == Fraction("146.05")
    assert as_length(bare(3), Unit.MM) == 3
    assert as_length(length(3), Unit.IN) == 3
    assert as_length(length(10_000), Unit.MM) == 10_000


@pytest.mark.parametrize(
    ("quantity", "rule"),
    [
        (number(5), "not-a-length"),
        (angle(5), "not-a-length"),
        (Quantity(Fraction(5), Kind.AREA), "not-a-length"),
        (length(Fraction(10_001)), "length-too-large"),
        (length(Fraction(-10_001)), "length-too-large"),
        (bare(Fraction(10) ** 90), "length-too-large"),
        (length(float("inf")), "not-finite"),
        (length(float("nan")), "not-finite"),
    ],
)
def test_no_length(quantity: Quantity, rule: str) -> None:
    place = Place(file="card.toml", line=3)
    with pytest.raises(DesignError) as caught:
        as_length(quantity, Unit.MM, place, 'the measure "tread"')
    (found,) = caught.value.problems
    assert found.rule == rule
    assert found.place == place
    assert found.message.startswith('the measure "tread"')


def test_a_bare_number_over_ten_metres_in_inches() -> None:
    assert as_length(bare(393), Unit.IN) == Fraction("9982.2")
    with pytest.raises(DesignError, match="longer than 10 m"):
        as_length(bare(394), Unit.IN)


def test_a_result_due_as_an_angle_a_number_or_a_count() -> None:
    assert as_angle(bare(90)) == 90
    assert as_angle(angle(90)) == 90
    assert as_number(bare(Fraction(1, 2))) == Fraction(1, 2)
    assert as_number(number(7)) == 7
    assert as_count(bare(3)) == 3
    assert as_count(number(0)) == 0


@pytest.mark.parametrize("wrong", [length(1), number(1), Quantity(Fraction(1), Kind.AREA)])
def test_no_angle(wrong: Quantity) -> None:
    with pytest.raises(DesignError, match="an angle is due"):
        as_angle(wrong)


@pytest.mark.parametrize("wrong", [length(1), angle(1)])
def test_no_number(wrong: Quantity) -> None:
    with pytest.raises(DesignError, match="a plain number is due"):
        as_number(wrong)


@pytest.mark.parametrize(
    ("wrong", "shown"),
    [
        (bare(Fraction(5, 2)), "5/2"),
        (number(-1), "-1"),
        (number(0.25), "0.25"),
        (bare(Fraction(123456789, 987654321)), "0.125"),
        (bare(-(Fraction(10) ** 400)), "a huge number"),
    ],
)
def test_no_count(wrong: Quantity, shown: str) -> None:
    with pytest.raises(DesignError) as caught:
        as_count(wrong, what="steps")
    assert caught.value.problems[0].message.startswith(f"steps is {shown} where a whole number")


def test_fractions_stay_exact_and_know_it() -> None:
    assert worth("w / 3 * 3").exact
    assert not worth("sin(10 deg)").exact
    # Past thousands of bits a fraction goes on as a float, so that no chain of
    # measures can fill the memory.
    huge = number(Fraction(3**2000, 2**3000))
    product = parse("x * x * x").evaluate(Scope.of(Unit.MM, {"x": huge}))
    assert isinstance(product.value, float)
    assert product.value == pytest.approx(float(huge.value) ** 3)
    with pytest.raises(DesignError, match="no finite number"):
        parse("x * x").evaluate(Scope.of(Unit.MM, {"x": number(Fraction(10) ** 800)}))
    with pytest.raises(DesignError, match="no finite number"):
        parse("x * x").evaluate(Scope.of(Unit.MM, {"x": number(1e200)}))
    with pytest.raises(DesignError, match="no finite number"):
        parse("x * sin(10)").evaluate(Scope.of(Unit.MM, {"x": number(Fraction(10) ** 400)}))
