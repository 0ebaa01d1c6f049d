"""This module puts plain numbers in the place of measures of an expression, and tidies it.

What has no effect any more falls away: factors of 1, terms of 0 and terms with a
factor of 0, and plain whole numbers are added up and multiplied.  Nothing else
moves, so that whatever is reckoned in floats comes to the very same float.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

from .expression import Expression, parse
from .quantity import NOWHERE, Kind, Quantity
from .tokens import Sort, tokens
from .tree import Caliper, Call, Chain, InUnit, Literal, Name, Negative, Node

_NO_NUMBERS: Mapping[str, int] = MappingProxyType({})

# The column of a literal that no text has.
_NEW = 0

_SUM = ("+", "-")

# An operand of a chain: its sign, itself, and the column of the sign.
_Operand = tuple[str, Node, int]


def filled_in(written: Expression, numbers: Mapping[str, int] = _NO_NUMBERS) -> Expression:
    """The expression with plain numbers, 0 or more, in place of the measures of these names.

    An expression in which nothing changes keeps its text.
    """
    tree = _tidy(written.tree, numbers)
    if tree == written.tree:
        return written
    text = _text(tree, _literal_texts(written))
    return parse(text, written.place)


def _tidy(node: Node, numbers: Mapping[str, int]) -> Node:
    match node:
        case Name() if node.name in numbers:
            return _whole(numbers[node.name])
        case Negative() | InUnit():
            inner = _tidy(node.inner, numbers)
            is_nothing = isinstance(node, Negative) and _plain(inner) == 0
            return inner if is_nothing else replace(node, inner=inner)
        case Call():
            given = tuple(_tidy(argument, numbers) for argument in node.arguments)
            return replace(node, arguments=given)
        case Chain():
            first = _tidy(node.first, numbers)
            rest = tuple((sign, _tidy(one, numbers), column) for sign, one, column in node.rest)
            return _sum(first, rest) if rest[0][0] in _SUM else _product(first, rest)
        case _:
            return node


def _whole(number: int) -> Literal:
    return Literal(Quantity(Fraction(number), Kind.BARE), _NEW)


def _plain(node: Node) -> Fraction | None:
    """The value of a plain whole number; None for everything else."""
    if not isinstance(node, Literal) or node.quantity.kind is not Kind.BARE:
        return None
    value = Fraction(node.quantity.value)
    return value if value.denominator == 1 else None


def _is_nothing(node: Node) -> bool:
    """Whether a node is 0, or a product with a factor of 0, of whatever kind."""
    if not isinstance(node, Chain):
        return _plain(node) == 0
    factors = [("*", node.first), *((sign, one) for sign, one, _ in node.rest)]
    return node.rest[0][0] not in _SUM and any(
        sign == "*" and _plain(one) == 0 for sign, one in factors
    )


def _is_bare(node: Node) -> bool:
    """Whether all that a node is made of are numbers without a unit."""
    match node:
        case Literal():
            return node.quantity.kind is Kind.BARE
        case Negative():
            return _is_bare(node.inner)
        case Call():
            return all(_is_bare(one) for one in node.arguments)
        case Chain():
            return _is_bare(node.first) and all(_is_bare(one) for _, one, _ in node.rest)
        case _:
            return False


def _sum(first: Node, rest: tuple[_Operand, ...]) -> Node:
    terms = [("+", first, _NEW), *rest]
    plain = [_plain(node) for _, node, _ in terms]
    if all(value is not None for value in plain):
        total = sum(
            (value or Fraction(0)) * (1 if sign == "+" else -1)
            for (sign, _, _), value in zip(terms, plain, strict=True)
        )
        return _whole(int(total)) if total >= 0 else Negative(_whole(int(-total)), _NEW)
    kept = [term for term in terms if not _is_nothing(term[1])]
    if all(_is_bare(node) for _, node, _ in kept):
        # A length of nothing is what makes lengths of the bare numbers beside it.
        kept = [term for term, value in zip(terms, plain, strict=True) if value != 0]
    sign, head, column = kept[0]
    if sign == "-":
        head = Negative(head, column)
    return Chain(head, tuple(kept[1:])) if len(kept) > 1 else head


def _product(first: Node, rest: tuple[_Operand, ...]) -> Node:
    factors = [("*", first, _NEW), *rest]
    if _is_nothing(Chain(first, rest)) and all(_is_bare(node) for _, node, _ in factors):
        return _whole(0)
    _multiply(factors)
    kept = [factor for factor in factors[1:] if _plain(factor[1]) != 1]
    head = factors[0][1]
    # One divided by something keeps its one.
    if _plain(head) == 1 and kept and kept[0][0] == "*":
        head = kept.pop(0)[1]
    return Chain(head, tuple(kept)) if kept else head


def _multiply(factors: list[_Operand]) -> None:
    """Work out the plain whole numbers at the head of a product, as far as they stay whole."""
    while len(factors) > 1:
        one, (sign, second, _) = _plain(factors[0][1]), factors[1]
        other = _plain(second)
        if one is None or other is None or (sign == "/" and (other == 0 or one % other)):
            return
        found = one * other if sign == "*" else one / other
        factors[:2] = [("*", _whole(int(found)), _NEW)]


def _literal_texts(written: Expression) -> Mapping[int, str]:
    """The text of every literal of an expression, by its column."""
    found = tokens(written.text, NOWHERE)
    starts = set(_columns(written.tree))
    texts: dict[int, str] = {}
    for at, token in enumerate(found):
        if token.column not in starts or token.sort is not Sort.NUMBER:
            continue
        stop = at + 1
        while _goes_on(found[stop].text, found[stop].sort, found[stop + 1 :], starts):
            stop += 1
        texts[token.column] = written.text[token.start : found[stop - 1].stop]
    return texts


def _goes_on(text: str, sort: Sort, after: tuple[object, ...], starts: set[int]) -> bool:
    """Whether a token after a number still belongs to it: a fraction's, or a unit."""
    if sort is Sort.END:
        return False
    if sort is not Sort.SIGN:
        return True
    return text == "/" and getattr(after[0], "column", _NEW) not in starts


def _columns(node: Node) -> Iterator[int]:
    match node:
        case Chain():
            yield from _columns(node.first)
            for _, operand, _ in node.rest:
                yield from _columns(operand)
        case Negative() | InUnit():
            yield node.column
            yield from _columns(node.inner)
        case Call():
            yield node.column
            for argument in node.arguments:
                yield from _columns(argument)
        case _:
            yield node.column


def _text(node: Node, texts: Mapping[int, str]) -> str:
    match node:
        case Literal():
            return texts[node.column] if node.column else str(node.quantity.value)
        case Name():
            return node.name
        case Caliper():
            return "caliper" if node.stock is None else f"caliper({node.stock})"
        case Negative():
            return f"-{_operand(node.inner, texts)}"
        case InUnit():
            return f"({_text(node.inner, texts)}) {node.suffix}"
        case Call():
            given = ", ".join(_text(argument, texts) for argument in node.arguments)
            return f"{node.function}({given})"
        case Chain():
            is_sum = node.rest[0][0] in _SUM
            head = node.first
            negative = isinstance(head, Negative)
            rows = [_text(head, texts) if negative else _operand(head, texts, of_sum=is_sum)]
            for sign, one, _ in node.rest:
                of = _operand(one, texts, of_sum=is_sum, divides=sign == "/")
                rows.append(f"{sign} {of}")
            return " ".join(rows)


def _operand(
    node: Node, texts: Mapping[int, str], *, of_sum: bool = False, divides: bool = False
) -> str:
    """An operand, in parentheses where its signs or its unit would be taken otherwise."""
    text = _text(node, texts)
    match node:
        case Chain():
            product_in_sum = of_sum and node.rest[0][0] not in _SUM
            return text if product_in_sum else f"({text})"
        case Negative():
            return f"({text})"
        case Literal():
            return f"({text})" if divides and not text.isdecimal() else text
        case InUnit():
            return f"({text})" if divides else text
        case _:
            return text
