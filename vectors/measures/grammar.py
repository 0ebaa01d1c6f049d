"""This module reads the text of an expression into a tree, by recursive descent.

    sum     = product (("+" | "-") product)*
    product = signed (("*" | "/") signed)*
    signed  = ("+" | "-") signed | atom
    atom    = literal | name | "caliper" ["(" stock ")"] | function "(" sum ("," sum)* ")"
            | "(" sum ")" [unit]
    literal = (number | whole "/" whole | whole whole "/" whole) [unit]

A unit belongs to the literal before it, its fraction included, or to a bare
number in parentheses.  After a division a unit could belong to the divisor or
to the quotient, so it is refused there.  Nothing is ever evaluated as code.
"""

from __future__ import annotations

import difflib
from fractions import Fraction

from ..problems import RULES, DesignError, Place, Problem, problem
from .functions import FUNCTIONS
from .quantity import Kind, Quantity
from .tokens import Sort, Token, tokens
from .tree import Caliper, Call, Chain, InUnit, Literal, Name, Negative, Node
from .units import ANGLE_SUFFIXES, LENGTH_SUFFIXES

LONGEST_TEXT = 400
DEEPEST = 50
LONGEST_EXPONENT = 2

CALIPER = "caliper"
SUFFIXES = {**LENGTH_SUFFIXES, **ANGLE_SUFFIXES}

# Words that mean something in an expression and so cannot name a measure.
RESERVED = frozenset({CALIPER, *FUNCTIONS, *(s for s in SUFFIXES if s.isidentifier())})


def read(text: str, place: Place) -> Node:
    """The tree of an expression.  Raises DesignError."""
    if len(text) > LONGEST_TEXT:
        raise DesignError(
            problem("measure-too-long", place=place, length=len(text), limit=LONGEST_TEXT)
        )
    reader = _Reader(text, place)
    tree = reader.sum()
    reader.finish()
    return tree


def wrong(code: str, place: Place, **fields: object) -> Problem:
    """The problem by the rule `code`, its texts filled with `fields`."""
    rule = RULES[code]
    return Problem(
        rule=code,
        severity=rule.severity,
        message=rule.text.format_map(fields),
        mend=rule.mend.format_map(fields),
        place=place,
    )


class _Reader:
    """One pass over the tokens of one text."""

    def __init__(self, text: str, place: Place) -> None:
        self.text = text
        self.place = place
        self.tokens = tokens(text, place)
        self.at = 0
        self.depth = 0
        if self.here.sort is Sort.END:
            raise DesignError(problem("measure-empty", place=place))

    @property
    def here(self) -> Token:
        return self.tokens[self.at]

    def ahead(self, by: int) -> Token:
        return self.tokens[min(self.at + by, len(self.tokens) - 1)]

    def take(self) -> Token:
        token = self.here
        # Nothing takes the end: every rule looks before it takes.
        self.at += 1
        return token

    def is_sign(self, *signs: str) -> bool:
        return self.here.sort is Sort.SIGN and self.here.text in signs

    def wrong(self, code: str, token: Token, **fields: object) -> DesignError:
        return DesignError(wrong(code, self.place, column=token.column, text=self.text, **fields))

    def unexpected(self, expected: str, mend: str) -> DesignError:
        return self.wrong(
            "measure-syntax", self.here, expected=expected, found=self.here.shown, hint=mend
        )

    def deeper(self) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            raise self.wrong("measure-too-deep", self.here, limit=DEEPEST)

    def finish(self) -> None:
        token = self.here
        if token.sort is Sort.END:
            return
        if token.text == ",":
            raise self.unexpected("an operator", "write decimals with a point")
        if token.text == ")":
            raise self.unexpected("an operator", "take the parenthesis away or open one before it")
        raise self.unexpected("an operator", "put + - * or / between the two")

    def sum(self) -> Node:
        first = self.product()
        rest: list[tuple[str, Node, int]] = []
        while self.is_sign("+", "-"):
            self.refuse_dashed_fraction()
            operator = self.take()
            rest.append((operator.text, self.product(), operator.column))
        return Chain(first, tuple(rest)) if rest else first

    def refuse_dashed_fraction(self) -> None:
        # Rulers and sellers' lists write 5-3/4 for five and three quarters;
        # read as a difference it would cost a sheet of paper.
        whole, dash, top, slash = self.ahead(-1), self.here, self.ahead(1), self.ahead(2)
        if (
            self.at > 0
            and dash.text == "-"
            and whole.is_whole
            and top.is_whole
            and slash.text == "/"
            and whole.stop == dash.start
            and dash.stop == top.start
            and top.stop == slash.start
        ):
            bottom = self.ahead(3).text
            raise self.wrong(
                "measure-unclear",
                whole,
                why=f'"{whole.text}-{top.text}/{bottom}" may be a mixed number or a difference',
                hint=f'write "{whole.text} {top.text}/{bottom}" or '
                f'"{whole.text} - {top.text}/{bottom}"',
            )

    def product(self) -> Node:
        first = self.signed(divisor=False)
        rest: list[tuple[str, Node, int]] = []
        while self.is_sign("*", "/"):
            operator = self.take()
            node = self.signed(divisor=operator.text == "/")
            rest.append((operator.text, node, operator.column))
        return Chain(first, tuple(rest)) if rest else first

    def signed(self, divisor: bool) -> Node:
        if not self.is_sign("+", "-"):
            return self.atom(divisor)
        sign = self.take()
        self.deeper()
        inner = self.signed(divisor)
        self.depth -= 1
        return Negative(inner, sign.column) if sign.text == "-" else inner

    def atom(self, divisor: bool) -> Node:
        token = self.here
        if token.sort is Sort.NUMBER:
            return self.literal(divisor)
        if token.sort is Sort.NAME:
            return self.named()
        if self.is_sign("("):
            return self.group(divisor)
        if token.sort is Sort.UNIT_SIGN:
            raise self.wrong("unit-needs-number", token, suffix=token.text)
        raise self.unexpected("a number, a measure or a parenthesis", "write what is missing there")

    def group(self, divisor: bool) -> Node:
        opened = self.take()
        self.deeper()
        inner = self.sum()
        self.depth -= 1
        self.close(opened)
        unit = self.unit(divisor)
        if unit is None:
            return inner
        return InUnit(
            inner, unit.text, SUFFIXES[unit.text], unit.text in ANGLE_SUFFIXES, unit.column
        )

    def close(self, opened: Token) -> None:
        if not self.is_sign(")"):
            mend = f"close the parenthesis of column {opened.column}"
            if self.is_sign(","):
                mend = "write decimals with a point"
            raise self.unexpected('")" or an operator', mend)
        self.take()

    def named(self) -> Node:
        token = self.take()
        name = token.text
        called = self.is_sign("(")
        if name == CALIPER:
            return self.caliper(token)
        if called:
            return self.call(token)
        if name in FUNCTIONS:
            raise self.unexpected(f'"(" after the function "{name}"', f'write "{name}(...)"')
        if name in SUFFIXES:
            raise self.wrong("unit-needs-number", token, suffix=name)
        self.refuse_unit()
        return Name(name, token.column)

    def refuse_unit(self) -> None:
        """A measure or a result has its unit already."""
        if self.here.sort is Sort.UNIT_SIGN or (
            self.here.sort is Sort.NAME and self.here.text in SUFFIXES
        ):
            raise self.wrong("unit-needs-number", self.here, suffix=self.here.text)

    def caliper(self, token: Token) -> Node:
        if not self.is_sign("("):
            self.refuse_unit()
            return Caliper(None, token.column)
        opened = self.take()
        # The name of a stock is a bare key of TOML, which may hold dashes.
        while self.here.sort in (Sort.NAME, Sort.NUMBER) or self.is_sign("-"):
            self.take()
        if not self.is_sign(")"):
            raise self.unexpected('the name of a stock and ")"', 'write "caliper(card)"')
        stock = self.text[opened.stop : self.here.start].strip(" \t")
        if not stock or any(c in " \t." for c in stock):
            raise self.unexpected("the name of one stock", 'write "caliper(card)"')
        self.take()
        self.refuse_unit()
        return Caliper(stock, token.column)

    def call(self, token: Token) -> Node:
        name = token.text
        function = FUNCTIONS.get(name)
        if function is None:
            known = (*FUNCTIONS, CALIPER)
            near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
            hint = f'did you mean "{near[0]}"?' if near else f"functions are {', '.join(known)}"
            raise self.wrong("unknown-function", token, name=name, hint=hint)
        opened = self.take()
        self.deeper()
        given = [self.sum()]
        while self.is_sign(","):
            self.take()
            given.append(self.sum())
        self.depth -= 1
        self.close(opened)
        if function.takes is not None and len(given) != function.takes:
            raise self.wrong(
                "wrong-argument-count",
                token,
                function=name,
                takes="one value" if function.takes == 1 else f"{function.takes} values",
                given=len(given),
            )
        self.refuse_unit()
        return Call(name, tuple(given), token.column)

    def literal(self, divisor: bool) -> Node:
        token = self.take()
        value = self.decimal(token)
        if token.is_whole:
            if self.here.is_whole and self.ahead(1).text == "/" and self.ahead(2).is_whole:
                value += self.mixed_part()
            elif (
                not divisor
                and self.is_sign("/")
                and self.ahead(1).is_whole
                and self.is_unit(self.ahead(2))
            ):
                self.take()
                value /= self.denominator()
        unit = self.unit(divisor)
        if unit is None:
            return Literal(Quantity(value, Kind.BARE), token.column)
        kind = Kind.ANGLE if unit.text in ANGLE_SUFFIXES else Kind.LENGTH
        return Literal(Quantity(value * SUFFIXES[unit.text], kind), token.column)

    def mixed_part(self) -> Fraction:
        top = self.take()
        self.take()
        bottom = self.here
        part = Fraction(int(top.text)) / self.denominator()
        if part >= 1:
            raise self.wrong(
                "measure-unclear",
                top,
                why=f"the fraction {top.text}/{bottom.text} after a whole number is not below 1",
                hint="write the fraction in lowest terms below 1",
            )
        return part

    def denominator(self) -> Fraction:
        token = self.take()
        value = Fraction(int(token.text))
        if value == 0:
            raise self.wrong("divided-by-zero", token)
        return value

    def decimal(self, token: Token) -> Fraction:
        _, letter, exponent = token.text.lower().partition("e")
        if letter and len(exponent.lstrip("+-")) > LONGEST_EXPONENT:
            raise self.wrong("measure-exponent", token, limit=LONGEST_EXPONENT)
        return Fraction(token.text)

    def is_unit(self, token: Token) -> bool:
        return token.sort in (Sort.NAME, Sort.UNIT_SIGN) and token.text in SUFFIXES

    def unit(self, divisor: bool) -> Token | None:
        """The unit that follows a number, if one does."""
        token = self.here
        if token.sort not in (Sort.NAME, Sort.UNIT_SIGN):
            return None
        if token.text not in SUFFIXES:
            raise self.wrong("unknown-unit", token, unit=token.text)
        if divisor:
            raise self.wrong(
                "measure-unclear",
                token,
                why=f'the unit "{token.text}" after a division may belong to the divisor or to all',
                hint="put parentheses round what the unit belongs to",
            )
        return self.take()
