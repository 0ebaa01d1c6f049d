"""This module puts plain numbers in the place of measures of an expression, and tidies it.

What has no effect any more falls away: factors of 1, terms of 0 and terms with a
factor of 0, and plain whole numbers are added up and multiplied.  Nothing else
moves, so that whatever is reckoned in floats comes to the very same float; only where
all that is added up is exact do sums inside sums dissolve, and terms cancel each other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
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


def filled_in(
    written: Expression,
    numbers: Mapping[str, int] = _NO_NUMBERS,
    exact: Collection[str] = (),
) -> Expression:
    """The expression with plain numbers, 0 or more, in place of the measures of these names.

    Measures that are `exact` are fractions, so that their sums may be written in another
    order; what comes to nothing is then a plain 0, of whatever kind.  An expression in which
    nothing changes keeps its text, but where any are exact it loses parentheses that say
    nothing.
    """
    tree = _tidy(written.tree, numbers, exact)
    if exact and _is_exact(tree, exact) and not list(_left(tree)):
        tree = _whole(0)
    if tree == written.tree and not exact:
        return written
    text = _text(tree, _literal_texts(written))
    if tree == written.tree and len(text) >= len(written.text):
        return written
    return parse(text, written.place)


def _tidy(node: Node, numbers: Mapping[str, int], exact: Collection[str]) -> Node:
    match node:
        case Name() if node.name in numbers:
            return _whole(numbers[node.name])
        case Negative() | InUnit():
            inner = _tidy(node.inner, numbers, exact)
            is_nothing = isinstance(node, Negative) and _plain(inner) == 0
            return inner if is_nothing else replace(node, inner=inner)
        case Call():
            given = tuple(_tidy(argument, numbers, exact) for argument in node.arguments)
            return replace(node, arguments=given)
        case Chain():
            first = _tidy(node.first, numbers, exact)
            rest = tuple(
                (sign, _tidy(one, numbers, exact), column) for sign, one, column in node.rest
            )
            if rest[0][0] not in _SUM:
                return _product(first, rest)
            found = _sum(first, rest)
            return _cancelled(found) if exact and _is_exact(found, exact) else found
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


def _is_exact(node: Node, names: Collection[str]) -> bool:
    """Whether a node is reckoned in fractions alone."""
    match node:
        case Literal():
            return isinstance(node.quantity.value, Fraction)
        case Name():
            return node.name in names
        case Negative() | InUnit():
            return _is_exact(node.inner, names)
        case Chain():
            return all(
                _is_exact(one, names) for one in (node.first, *(row[1] for row in node.rest))
            )
        case _:
            return False


def _cancelled(node: Node) -> Node:
    """An exact sum with the sums inside it dissolved, without terms that cancel each other.

    One in which nothing cancels stays as its author wrote it.
    """
    kept = list(_left(node))
    # What is left must have the kind of what was there.
    if len(kept) == len(list(_terms(node, "+"))) or all(_is_bare(one) for _, one, _ in kept):
        return node
    first = next((one for one in kept if one[0] == "+"), kept[0])
    kept.remove(first)
    sign, head, column = first
    if sign == "-":
        head = Negative(head, column)
    return Chain(head, tuple(kept)) if kept else head


def _left(node: Node) -> Iterator[_Operand]:
    """The terms of an exact sum that no other term of it cancels."""
    kept: list[_Operand] = []
    for sign, one, column in _terms(node, "+"):
        match = next((at for at in kept if at[0] != sign and _same(at[1], one)), None)
        if match is None:
            kept.append((sign, one, column))
        else:
            kept.remove(match)
    yield from kept


def _terms(node: Node, sign: str) -> Iterator[_Operand]:
    """The terms of a sum and of the sums inside it."""
    match node:
        case Chain() if node.rest[0][0] in _SUM:
            for own, one, _ in (("+", node.first, _NEW), *node.rest):
                yield from _terms(one, "+" if own == sign else "-")
        case Negative():
            yield from _terms(node.inner, "-" if sign == "+" else "+")
        case _:
            yield sign, node, _NEW


def _same(one: Node, other: Node) -> bool:
    """Whether two nodes say the same, wherever they stand."""
    match one, other:
        case Literal(), Literal():
            return one.quantity == other.quantity
        case Name(), Name():
            return one.name == other.name
        case Negative(), Negative():
            return _same(one.inner, other.inner)
        case InUnit(), InUnit():
            alike = (one.factor, one.is_angle) == (other.factor, other.is_angle)
            return alike and _same(one.inner, other.inner)
        case Chain(), Chain():
            ours, theirs = (
                (("+", one.first, _NEW), *one.rest),
                (("+", other.first, _NEW), *other.rest),
            )
            return len(ours) == len(theirs) and all(
                a[0] == b[0] and _same(a[1], b[1]) for a, b in zip(ours, theirs, strict=True)
            )
        case _:
            return False


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
