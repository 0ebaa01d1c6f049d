"""This module holds expressions: lengths, angles and counts as a design writes them.

An expression keeps its text and its place in the file; `evaluate` works it out
in a scope, which knows the measures, the units of bare numbers and the paper
thickness.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from ..problems import Collector, DesignError, Place, Problem, problem
from . import grammar
from .functions import FUNCTIONS
from .quantity import NOWHERE, Kind, Misfit, Quantity, added, over, settled, taken, times
from .tree import Caliper, Call, Chain, InUnit, Literal, Name, Negative, Node
from .units import Unit

__all__ = ["Expression", "Scope", "expression_of", "name_problem", "parse", "unknown_measure"]


def no_caliper(stock: str | None) -> Quantity:
    """The paper thickness where no material is known: 0 mm."""
    return Quantity(Fraction(0), Kind.LENGTH)


@dataclass(frozen=True, kw_only=True, slots=True)
class Scope:
    """What an expression may refer to.

    `units` are those of bare numbers.  `lookup` gives a measure and `caliper`
    the paper thickness of a stock (None: of the piece at hand); both raise
    KeyError for a name they do not know.  `measures` and `stocks` are the known
    names, for hints.
    """

    units: Unit
    lookup: Callable[[str], Quantity]
    caliper: Callable[[str | None], Quantity] = no_caliper
    measures: Collection[str] = ()
    stocks: Collection[str] = ()

    @classmethod
    def of(
        cls,
        units: Unit,
        measures: Mapping[str, Quantity],
        caliper: Callable[[str | None], Quantity] = no_caliper,
        stocks: Collection[str] = (),
    ) -> Scope:
        """The scope of a table of measures."""
        return cls(
            units=units,
            lookup=measures.__getitem__,
            caliper=caliper,
            measures=tuple(measures),
            stocks=stocks,
        )


@dataclass(frozen=True, slots=True)
class Expression:
    """A length, angle or number as written, with its place in the file.

    `names` are the measures it refers to, `calipers` the stocks whose paper
    thickness it uses (None: that of the piece at hand).  Two expressions of the
    same text are equal wherever they stand.
    """

    text: str
    names: frozenset[str]
    calipers: frozenset[str | None] = frozenset()
    place: Place = field(default=NOWHERE, compare=False)
    tree: Node = field(kw_only=True, repr=False, compare=False)

    def evaluate(self, scope: Scope) -> Quantity:
        """The quantity in `scope`.

        Raises DesignError that names what is wrong and its column; unknown
        names are told all at once.
        """
        try:
            return _Evaluation(self, scope).value(self.tree)
        except (DesignError, KeyError):
            # A name that is not known is told before whatever it leads to.
            self._look_up(scope)
            raise

    def _look_up(self, scope: Scope) -> None:
        """Raise DesignError where there are names that `scope` does not know, for all of them."""
        found = Collector()
        for node in _nodes(self.tree):
            if isinstance(node, Name):
                try:
                    scope.lookup(node.name)
                except KeyError:
                    found.add(unknown_measure(node.name, scope.measures, self.place))
            elif isinstance(node, Caliper):
                try:
                    scope.caliper(node.stock)
                except KeyError:
                    found.add(_unknown_stock(node.stock, scope.stocks, self.place))
        found.raise_if_stopped(DesignError)


def parse(text: str, place: Place = NOWHERE) -> Expression:
    """The expression that `text` spells.

    Raises DesignError that says what cannot be read, at which column, and how
    to mend it.
    """
    try:
        tree, names, calipers = _read(text)
    except DesignError:
        # What cannot be read is told where it stands.
        grammar.read(text, place)
        raise
    return Expression(text, names, calipers, place, tree=tree)


# A design says the same many times over: the corners of a shape share their sides.
@lru_cache(maxsize=1024)
def _read(text: str) -> tuple[Node, frozenset[str], frozenset[str | None]]:
    """The tree of a text, with the measures and the stocks that it names."""
    tree = grammar.read(text, NOWHERE)
    nodes = tuple(_nodes(tree))
    return (
        tree,
        frozenset(node.name for node in nodes if isinstance(node, Name)),
        frozenset(node.stock for node in nodes if isinstance(node, Caliper)),
    )


def expression_of(value: str | int | float | Fraction, place: Place = NOWHERE) -> Expression:
    """The expression that a value of a design file spells: a text, or a bare number.

    A float means the decimal it is printed as, so 0.1 is exactly a tenth.
    Raises DesignError, also for a number that is not finite.
    """
    if isinstance(value, str):
        return parse(value, place)
    if isinstance(value, float):
        if not math.isfinite(value):
            raise DesignError(problem("not-finite", place=place, where=str(value)))
        return parse(repr(value), place)
    return parse(str(value), place)


def name_problem(name: str, place: Place = NOWHERE) -> Problem | None:
    """What is wrong with `name` as the name of a measure, if anything is."""
    if name in grammar.RESERVED:
        return problem("reserved-name", place=place, name=name)
    if not (name.isascii() and name.isidentifier()):
        return problem("unfit-name", place=place, name=name)
    return None


def unknown_measure(name: str, known: Collection[str], place: Place) -> Problem:
    """The problem of a name that no measure has, with the nearest known one."""
    return problem("unknown-measure", place=place, name=name, hint=_near(name, known, "measure"))


def _unknown_stock(name: str | None, known: Collection[str], place: Place) -> Problem:
    return problem(
        "unknown-caliper", place=place, name=name or "", hint=_near(name or "", known, "stock")
    )


def _near(name: str, known: Collection[str], noun: str) -> str:
    near = difflib.get_close_matches(name, sorted(known), n=1, cutoff=0.5)
    if near:
        return f'did you mean "{near[0]}"?'
    if not known:
        return f"define a {noun} of that name"
    listed = ", ".join(sorted(known)[:12])
    return f"define it or use one of {listed}"


def _nodes(node: Node) -> Iterator[Node]:
    """The node and all below it, in the order of the text."""
    yield node
    match node:
        case InUnit(inner=inner) | Negative(inner=inner):
            yield from _nodes(inner)
        case Chain(first=first, rest=rest):
            yield from _nodes(first)
            for _, operand, _ in rest:
                yield from _nodes(operand)
        case Call(arguments=arguments):
            for argument in arguments:
                yield from _nodes(argument)
        case _:
            pass


@dataclass(frozen=True, slots=True)
class _Evaluation:
    """One walk over the tree of an expression in a scope."""

    expression: Expression
    scope: Scope

    def value(self, node: Node) -> Quantity:
        match node:
            case Literal():
                return node.quantity
            case Name():
                return self.scope.lookup(node.name)
            case Caliper():
                return self.scope.caliper(node.stock)
            case Negative():
                inner = self.value(node.inner)
                return Quantity(-inner.value, inner.kind)
            case InUnit():
                inner = self.value(node.inner)
                return self.guarded(node.column, lambda: _in_unit(inner, node))
            case Call():
                given = tuple(self.value(argument) for argument in node.arguments)
                function = FUNCTIONS[node.function]
                return self.guarded(node.column, lambda: function.work(given, self.scope.units))
            case Chain():
                total = self.value(node.first)
                for sign, operand, column in node.rest:
                    total = self.combined(sign, total, self.value(operand), column)
                return total

    def combined(self, sign: str, one: Quantity, other: Quantity, column: int) -> Quantity:
        units = self.scope.units
        match sign:
            case "+":
                return self.guarded(column, lambda: added(one, other, units))
            case "-":
                return self.guarded(column, lambda: taken(one, other, units))
            case "*":
                return self.guarded(column, lambda: times(one, other))
            case _:
                return self.guarded(column, lambda: over(one, other))

    def guarded(self, column: int, work: Callable[[], Quantity]) -> Quantity:
        """What `work` gives; a misfit becomes a problem with its column."""
        try:
            return work()
        except Misfit as misfit:
            code, fields = misfit.code, misfit.fields
        except OverflowError:
            # A fraction beyond the range of floats met a float.
            code, fields = "not-finite", {}
        text = self.expression.text
        if code == "not-finite":
            fields = {"where": f'"{text}" at column {column}'}
        raise DesignError(
            grammar.wrong(code, self.expression.place, **fields, column=column, text=text)
        )


def _in_unit(inner: Quantity, node: InUnit) -> Quantity:
    if inner.kind is not Kind.BARE:
        raise Misfit("unit-needs-number", suffix=node.suffix)
    kind = Kind.ANGLE if node.is_angle else Kind.LENGTH
    return settled(inner.value * node.factor, kind)
