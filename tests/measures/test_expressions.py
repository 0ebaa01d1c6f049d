"""Expressions: the text of a length, read without evaluating code, worked out exactly."""

from __future__ import annotations

import math
import string
import tomllib
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.measures import (
    Expression,
    Kind,
    Quantity,
    Scope,
    Unit,
    angle,
    bare,
    expression_of,
    length,
    name_problem,
    number,
    parse,
)
from foldwright.measures.grammar import DEEPEST, LONGEST_TEXT, RESERVED
from foldwright.problems import DesignError, Place

PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "units.toml").read_text(encoding="utf-8")
)


def worth(text: str, **measures: Quantity) -> Quantity:
    return parse(text).evaluate(Scope.of(Unit.MM, measures))


def rule_of(text: str, **measures: Quantity) -> str:
    with pytest.raises(DesignError) as caught:
        worth(text, **measures)
    (found,) = caught.value.problems
    assert found.mend
    assert "{" not in found.message + found.mend
    return found.rule


class TestPublished:
    """Values of tests/published/units.toml, each with its source there."""

    def test_the_inch(self) -> None:
        inch = PUBLISHED["inch"]
        assert worth("1 in") == length(Fraction(inch["mm"]))
        assert worth("36 in") == length(Fraction(inch["yard_mm"]))
        assert Unit.IN.mm == Fraction(inch["mm"])

    def test_centimetres(self) -> None:
        css = PUBLISHED["css"]
        assert worth("1 in") == worth(f"{css['cm_per_in']} cm")
        assert worth("1 cm") == worth(f"{css['mm_per_cm']} mm")

    @pytest.mark.parametrize("steps", range(1, 17))
    def test_sixteenths_of_an_inch(self, steps: int) -> None:
        published = Fraction(PUBLISHED["sixteenths"]["mm"][steps - 1])
        assert worth(f"{steps}/16 in") == length(published)
        assert worth(f"{steps}/16") == bare(Fraction(steps, 16))

    @pytest.mark.parametrize("turn", range(-720, 721, 15))
    def test_rational_sines_are_exact_and_no_others(self, turn: int) -> None:
        # Niven's theorem, see [niven].
        sine, cosine = worth(f"sin({turn} deg)"), worth(f"cos({turn} deg)")
        assert sine.exact == (turn % 30 == 0 and turn % 180 != 60 and turn % 180 != 120)
        assert sine.exact == worth(f"cos({turn} - 90)").exact
        assert float(sine.value) == pytest.approx(math.sin(math.radians(turn)), abs=1e-12)
        assert float(cosine.value) == pytest.approx(math.cos(math.radians(turn)), abs=1e-12)
        if turn % 180 != 90:
            tangent = worth(f"tan({turn} deg)")
            assert tangent.exact == (turn % 45 == 0)
            assert float(tangent.value) == pytest.approx(math.tan(math.radians(turn)), abs=1e-12)


@pytest.mark.parametrize(
    ("text", "quantity"),
    [
        ("5 3/4", bare(Fraction(23, 4))),
        ("5  3 / 4", bare(Fraction(23, 4))),
        ("1 5/8 in", length(Fraction("41.275"))),
        ("1 5/8in", length(Fraction("41.275"))),
        ('1 5/8"', length(Fraction("41.275"))),
        ("1 5/8\u2033", length(Fraction("41.275"))),
        ("5/8 in", length(Fraction("15.875"))),
        ('5/8"', length(Fraction("15.875"))),
        ("-5/8 in", length(Fraction("-15.875"))),
        ("2 * 5/8 in", length(Fraction("31.75"))),
        ("41 mm", length(41)),
        ("41mm", length(41)),
        ("2.5 cm", length(25)),
        (".5", bare(Fraction(1, 2))),
        ("0.1", bare(Fraction(1, 10))),
        ("1e2", bare(100)),
        ("1.5E-02 cm", length(Fraction(3, 20))),
        ("60 deg", angle(60)),
        ("22.5\u00b0", angle(Fraction(45, 2))),
        ("(1 + 1/2) in", length(Fraction("38.1"))),
        ("(3/2) deg", angle(Fraction(3, 2))),
        ("  7\t", bare(7)),
        ("5 - 3/4", bare(Fraction(17, 4))),
        ("2 - 3 - 4", bare(-5)),
        ("12 / 3 / 2", bare(2)),
        ("2 + 3 * 4", bare(14)),
        ("-(2 + 3) * 4", bare(-20)),
        ("2 * -3", bare(-6)),
        ("6 / -3", bare(-2)),
        ("+5", bare(5)),
        ("12 / 1 1/2", bare(8)),
        ("10 in / (2 in)", number(5)),
        ("min(3, 2, 5)", bare(2)),
        ("max(3)", bare(3)),
        ("abs(-3 mm)", length(3)),
        ("sqrt(2 1/4)", bare(Fraction(3, 2))),
        ("acos(1/2)", angle(60)),
        ("acos(-1)", angle(180)),
        ("asin(-1/2)", angle(-30)),
        ("atan(1)", angle(45)),
        ("atan(-1)", angle(-45)),
    ],
)
def test_reads_exactly(text: str, quantity: Quantity) -> None:
    assert worth(text) == quantity


@pytest.mark.parametrize(
    ("text", "due"),
    [
        ("acos(1/3)", math.degrees(math.acos(1 / 3))),
        ("asin(0.3)", math.degrees(math.asin(0.3))),
        ("atan(2)", math.degrees(math.atan(2))),
        ("sqrt(2)", math.sqrt(2)),
    ],
)
def test_irrational_values(text: str, due: float) -> None:
    found = worth(text)
    assert not found.exact
    assert found.value == pytest.approx(due, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("", "measure-empty"),
        (" \t ", "measure-empty"),
        ("1+" * 200 + "1", "measure-too-long"),
        ("(" * 51 + "1" + ")" * 51, "measure-too-deep"),
        ("-" * 51 + "1", "measure-too-deep"),
        ("abs(" * 51 + "1" + ")" * 51, "measure-too-deep"),
        ("5 # 3", "measure-character"),
        ("5\u00bd", "measure-character"),
        ("\u0663", "measure-character"),
        ("5.", "measure-character"),
        ("__import__('os')", "measure-character"),
        ("1e100", "measure-exponent"),
        ("1e-123 mm", "measure-exponent"),
        ("5 +", "measure-syntax"),
        ("* 5", "measure-syntax"),
        ("(5", "measure-syntax"),
        ("5)", "measure-syntax"),
        ("()", "measure-syntax"),
        ("5 6", "measure-syntax"),
        ("5 3/4 1/2", "measure-syntax"),
        ("2,5 cm", "measure-syntax"),
        ("(2,5) cm", "measure-syntax"),
        ("2(3)", "measure-syntax"),
        ("2 ** 3", "measure-syntax"),
        ("w w", "measure-syntax"),
        ("sin 30", "measure-syntax"),
        ("sqrt", "measure-syntax"),
        ("caliper(", "measure-syntax"),
        ("caliper()", "measure-syntax"),
        ("caliper(a b)", "measure-syntax"),
        ("caliper(a + b)", "measure-syntax"),
        ("w/2 in", "measure-unclear"),
        ("10 mm / 2 mm", "measure-unclear"),
        ("w / 5/8 in", "measure-unclear"),
        ("1.5/2 in", "measure-unclear"),
        ("w / (2) in", "measure-unclear"),
        ("5-3/4 in", "measure-unclear"),
        ("w + 5-3/4", "measure-unclear"),
        ("1 5/4", "measure-unclear"),
        ("5 inch", "unknown-unit"),
        ("5 m", "unknown-unit"),
        ("5 w", "unknown-unit"),
        ("(5) px", "unknown-unit"),
        ("w in", "unit-needs-number"),
        ('w"', "unit-needs-number"),
        ("in", "unit-needs-number"),
        ('"', "unit-needs-number"),
        ("sqrt(4) mm", "unit-needs-number"),
        ("caliper mm", "unit-needs-number"),
        ("caliper(card) mm", "unit-needs-number"),
        ("foo(3)", "unknown-function"),
        ("w(3)", "unknown-function"),
        ("sqrt(1, 2)", "wrong-argument-count"),
        ("sin(22,5)", "wrong-argument-count"),
        ("5/0 in", "divided-by-zero"),
        ("1 1/0", "divided-by-zero"),
        ("5/0", "divided-by-zero"),
    ],
)
def test_bad_text_is_told_by_its_rule(text: str, rule: str) -> None:
    assert rule_of(text, w=length(10)) == rule


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "width / 2 in",
            'the unit "in" after a division may belong to the divisor or to all, at column 11 of '
            '"width / 2 in"; put parentheses round what the unit belongs to (measure-unclear)',
        ),
        (
            "5-3/4 in",
            '"5-3/4" may be a mixed number or a difference, at column 1 of "5-3/4 in"; '
            'write "5 3/4" or "5 - 3/4" (measure-unclear)',
        ),
        (
            "2 * sqr(4)",
            'there is no function "sqr" (column 5 of "2 * sqr(4)"); did you mean "sqrt"? '
            "(unknown-function)",
        ),
        (
            "(5 + 2",
            'expected ")" or an operator but found the end at column 7 of "(5 + 2"; '
            "close the parenthesis of column 1 (measure-syntax)",
        ),
    ],
)
def test_messages_name_the_column_and_the_mend(text: str, message: str) -> None:
    with pytest.raises(DesignError) as caught:
        parse(text, Place(file="card.toml", line=9))
    assert str(caught.value) == f"card.toml:9: stop: {message}"


def test_a_difference_without_spaces_of_measures_is_none_of_that() -> None:
    assert worth("w-3/4", w=length(10)) == length(Fraction(37, 4))
    assert worth("5 mm-3/4 mm") == length(Fraction(17, 4))
    assert worth("5-3") == bare(2)


def test_limits_are_reached_before_they_are_passed() -> None:
    assert worth("(" * DEEPEST + "1" + ")" * DEEPEST) == bare(1)
    long = "1" + "+1" * ((LONGEST_TEXT - 1) // 2)
    assert worth(long) == bare((len(long) + 1) // 2)
    assert worth("1e99 * 1e-99") == bare(1)


class TestNames:
    def test_names_and_calipers_are_kept(self) -> None:
        found = parse("max(tread, riser) * 2 + caliper + caliper(card-200) - _x1")
        assert found.names == {"tread", "riser", "_x1"}
        assert found.calipers == {None, "card-200"}

    def test_equal_text_is_equal_wherever_it_stands(self) -> None:
        assert parse("w / 2", Place(line=1)) == parse("w / 2", Place(line=2))
        assert parse("w / 2") != parse("w/2")
        assert len({parse("w / 2", Place(line=1)), parse("w / 2")}) == 1

    def test_all_unknown_names_at_once_with_the_nearest(self) -> None:
        with pytest.raises(DesignError) as caught:
            worth("widht / 2 + zz", width=length(1), tread=length(2))
        assert [p.message for p in caught.value.problems] == [
            'there is no measure called "widht"',
            'there is no measure called "zz"',
        ]
        assert [p.mend for p in caught.value.problems] == [
            'did you mean "width"?',
            "define it or use one of tread, width",
        ]

    def test_no_measures_at_all(self) -> None:
        with pytest.raises(DesignError, match="define a measure of that name"):
            worth("w")

    def test_an_unknown_stock(self) -> None:
        calipers: dict[str | None, Quantity] = {None: length(1), "card": length(2)}
        scope = Scope.of(Unit.MM, {}, calipers.__getitem__, ("card",))
        assert parse("caliper + caliper(card)").evaluate(scope) == length(3)
        with pytest.raises(DesignError) as caught:
            parse("caliper(crad)").evaluate(scope)
        (found,) = caught.value.problems
        assert (found.rule, found.mend) == ("unknown-caliper", 'did you mean "card"?')

    @pytest.mark.parametrize("name", sorted(RESERVED))
    def test_reserved(self, name: str) -> None:
        found = name_problem(name, Place(line=4))
        assert found is not None
        assert (found.rule, found.place.line) == ("reserved-name", 4)

    @pytest.mark.parametrize("name", ["2x", "a-b", "a b", "", "gr\u00f6\u00dfe", "x\n"])
    def test_unfit(self, name: str) -> None:
        found = name_problem(name)
        assert found is not None
        assert found.rule == "unfit-name"

    @pytest.mark.parametrize("name", ["w", "_", "step_2", "IN", "Sin"])
    def test_good(self, name: str) -> None:
        assert name_problem(name) is None
        assert worth(name, **{name: length(3)}) == length(3)


class TestValuesOfAFile:
    @pytest.mark.parametrize(
        ("value", "due"),
        [
            (148, Fraction(148)),
            (-3, Fraction(-3)),
            (0.1, Fraction(1, 10)),
            (1e-7, Fraction(1, 10**7)),
            (Fraction(1, 3), Fraction(1, 3)),
            ("5 3/4", Fraction(23, 4)),
        ],
    )
    def test_numbers_and_texts(self, value: str | int | float | Fraction, due: Fraction) -> None:
        assert expression_of(value).evaluate(Scope.of(Unit.MM, {})) == bare(due)

    @pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
    def test_not_finite(self, value: float) -> None:
        with pytest.raises(DesignError, match="no finite number"):
            expression_of(value)


# Random expressions, held against Python's own arithmetic of fractions.

Tree = tuple[str, Fraction | None]


def _bare_literals() -> st.SearchStrategy[Tree]:
    whole = st.integers(0, 500).map(lambda n: (str(n), Fraction(n)))
    decimal = st.integers(0, 99999).map(lambda n: (f"{n / 100:.2f}", Fraction(n, 100)))
    mixed = st.tuples(st.integers(0, 40), st.integers(0, 15)).map(
        lambda t: (f"{t[0]} {t[1]}/16", Fraction(t[0]) + Fraction(t[1], 16))
    )
    return st.one_of(whole, decimal, mixed)


def _joined(parts: tuple[Tree, str, Tree]) -> Tree:
    (left, a), sign, (right, b) = parts
    text = f"({left}) {sign} ({right})"
    if a is None or b is None or (sign == "/" and b == 0):
        return text, None
    # The reference: Python's own operators on fractions.
    return text, {"+": a + b, "-": a - b, "*": a * b, "/": a / b if b else a}[sign]


def _trees() -> st.SearchStrategy[Tree]:
    return st.recursive(
        _bare_literals(),
        lambda inner: st.one_of(
            st.tuples(inner, st.sampled_from("+-*/"), inner).map(_joined),
            inner.map(lambda t: (f"-({t[0]})", None if t[1] is None else -t[1])),
            inner.map(lambda t: (f"abs({t[0]})", None if t[1] is None else abs(t[1]))),
            st.tuples(inner, inner).map(
                lambda t: (
                    f"max({t[0][0]}, {t[1][0]})",
                    None if t[0][1] is None or t[1][1] is None else max(t[0][1], t[1][1]),
                )
            ),
        ),
        max_leaves=12,
    )


@given(_trees())
def test_arithmetic_agrees_with_fractions(tree: Tree) -> None:
    text, due = tree
    if len(text) > LONGEST_TEXT:
        assert rule_of(text) == "measure-too-long"
    elif due is None:
        assert rule_of(text) == "divided-by-zero"
    else:
        assert worth(text) == bare(due)


@given(
    st.lists(
        st.tuples(st.sampled_from("+-*/"), st.integers(1, 9), st.sampled_from(["", " "])),
        max_size=12,
    )
)
def test_precedence_agrees_with_python(chain: list[tuple[str, int, str]]) -> None:
    text, code = "7", "Fraction(7)"
    for sign, operand, gap in chain:
        text += f" {sign}{gap}{operand}"
        code += f" {sign} Fraction({operand})"
    # The text of the reference is made two lines above, of digits and signs.
    due = eval(code, {"Fraction": Fraction})
    assert worth(text) == bare(due)


@given(
    st.integers(0, 300), st.integers(0, 15), st.sampled_from(["in", "mm", "cm", '"']), st.booleans()
)
def test_mixed_numbers_with_units(whole: int, top: int, unit: str, minus: bool) -> None:
    factor = {"in": Fraction("25.4"), '"': Fraction("25.4"), "mm": Fraction(1), "cm": Fraction(10)}
    sign = "-" if minus else ""
    due = (whole + Fraction(top, 16)) * factor[unit] * (-1 if minus else 1)
    assert worth(f"{sign}{whole} {top}/16 {unit}") == length(due)


_SCOPE = Scope.of(
    Unit.IN, {"w": length(148), "n": number(5), "a": angle(60), "z": length(0), "f": number(0.1)}
)
_PIECES = [
    *"0123456789.,+-*/() \t\"'\u2033\u00b0\u2212\u00bdxe_#\n",
    *("w", "n", "a", "z", "f", "in", "mm", "cm", "deg", "caliper", "caliper(card)", "1e9", "5 3/4"),
    *("sqrt(", "sin(", "cos(", "tan(", "acos(", "asin(", "atan(", "min(", "max(", "abs("),
]


@given(
    st.one_of(
        st.lists(st.sampled_from(_PIECES), max_size=25).map("".join),
        st.text(max_size=60),
        st.text(string.printable, max_size=450),
    )
)
def test_any_text_is_an_expression_or_a_problem(text: str) -> None:
    try:
        found = parse(text, Place(file="card.toml", line=1))
        assert isinstance(found, Expression)
        value = found.evaluate(_SCOPE)
    except DesignError as error:
        for problem in error.problems:
            line = problem.line()
            assert line.startswith("card.toml:1: stop: ")
            assert line.isprintable()
            assert problem.mend
        return
    assert value.kind in Kind
    assert isinstance(value.value, Fraction) or math.isfinite(value.value)
