"""This module finds an order of the plies of the closed card, or the panels that forbid one.

Deciding whether there is one is NP-hard (M. Bern and B. Hayes, The complexity of flat origami,
1996); of cards nearly all follows without a guess.  The order of two panels is taken
to be the same wherever they overlap, so a panel that is tucked into a slit of another one, over
it here and under it there, has none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cmp_to_key
from types import MappingProxyType

import shapely

from ..folding import PanelKey
from ..geometry import Point
from ..panels import Assembly
from .cover import Cell, Cover
from .order_rules import Place, Rules, Why, among, bits, rules_of
from .order_sat import NoSolver, solve
from .order_search import Conflict, Knowledge, OutOfNodes, begun, open_groups, searched

# So many guesses are made before a solver is asked.
NODES = 10_000

# So many guesses are spent on leaving panels out of those that are in each other's way.
_SPENT_ON_LESS = 1_000


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PlyOrder:
    """A valid order: which of two panels that overlap lies above, seen from +z.

    `above` has an entry for every overlapping pair, the lesser key first: whether the second
    lies above the first.  `between` are panels that lie between two glued ones, beside the
    line of their glue: glued panel, the one it is glued to, panel between.
    """

    above: Mapping[tuple[PanelKey, PanelKey], bool]
    between: tuple[tuple[PanelKey, PanelKey, PanelKey], ...] = ()

    def is_above(self, one: PanelKey, other: PanelKey) -> bool:
        """Whether a panel lies above another one.  Raises KeyError where they do not overlap."""
        return not self.above[one, other] if one < other else self.above[other, one]


@dataclass(frozen=True, kw_only=True, slots=True)
class Blocked:
    """No order is valid: these panels would have to pass through each other.

    Without any one of them the others could be ordered, as far as a thousand guesses tell.
    `at` is a place of the closed card where they meet, `why` what stands against it, as part
    of a sentence.
    """

    panels: tuple[PanelKey, ...]
    at: Point
    why: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Undecided:
    """Neither an order was found, nor that there is none: after how many guesses, and why."""

    guesses: int
    why: str


def ply_order(
    assembly: Assembly, cover: Cover, *, nodes: int = NODES
) -> PlyOrder | Blocked | Undecided:
    """An order of the panels of a cover, or what stands against one.

    After `nodes` guesses the rest is left to python-sat, if it is installed; `Undecided`
    otherwise.  An answer that is given never depends on that number.
    """
    rules = rules_of(assembly, cover)
    found = _decided(rules, nodes)
    if isinstance(found, Conflict) and rules.pressed:
        # Glue holds along its line; beside it a panel may have slipped in between.
        rules = replace(rules, pressed=())
        found = _decided(rules, nodes)
    if isinstance(found, Knowledge):
        return _told(found, assembly, cover)
    if isinstance(found, Conflict):
        return _blocked(rules, found, cover)
    return found


def plies_at(order: PlyOrder, cell: Cell) -> tuple[PanelKey, ...]:
    """The panels of a cell from bottom to top."""

    def compare(one: PanelKey, other: PanelKey) -> int:
        return 1 if order.is_above(one, other) else -1

    return tuple(sorted(cell.panels, key=cmp_to_key(compare)))


def _decided(rules: Rules, nodes: int) -> Knowledge | Conflict | Undecided:
    """Everything known, or that there is no order."""
    known = begun(rules)
    if isinstance(known, Conflict):
        return known
    for pairs in open_groups(known):
        before = len(known.trail)
        try:
            found = next(searched(known, pairs, nodes), None)
        except OutOfNodes:
            known.back_to(before)
            return _solved(known)
        if found is None:
            return known.failed or _all_of(rules)
    return known


def _solved(known: Knowledge) -> Knowledge | Conflict | Undecided:
    try:
        return known if solve(known) else _all_of(known.rules)
    except NoSolver as missing:
        return Undecided(guesses=known.guesses, why=str(missing))


def _all_of(rules: Rules) -> Conflict:
    return Conflict(panels=frozenset(range(rules.count)), why=Why.ROUND, at=None)


def _told(known: Knowledge, assembly: Assembly, cover: Cover) -> PlyOrder:
    keys = tuple(cover.footprints)
    above: dict[tuple[PanelKey, PanelKey], bool] = {}
    for one, key in enumerate(keys):
        over = known.above[one]
        for other in bits(known.near(one, one) >> one + 1):
            beyond = keys[one + 1 + other]
            is_over = bool(over >> one + 1 + other & 1)
            # Pieces stand in the order of the design, not of their names.
            if key < beyond:
                above[key, beyond] = is_over
            else:
                above[beyond, key] = not is_over
    return PlyOrder(
        above=MappingProxyType(above),
        between=tuple(_between(known, assembly, cover)),
    )


def _between(
    known: Knowledge, assembly: Assembly, cover: Cover
) -> Iterator[tuple[PanelKey, PanelKey, PanelKey]]:
    keys = tuple(cover.footprints)
    number = {key: place for place, key in enumerate(keys)}
    for joint in assembly.joints:
        if joint.glued in number and joint.to in number:
            one, other = number[joint.glued], number[joint.to]
            low, high = (one, other) if known.above[one] >> other & 1 else (other, one)
            for panel in bits(known.above[low] & known.below[high] & known.near(low, high)):
                yield joint.glued, joint.to, keys[panel]


def _blocked(rules: Rules, found: Conflict, cover: Cover) -> Blocked:
    """The fewest panels that leaving out one by one finds in each other's way."""
    left = _SPENT_ON_LESS
    for panel in sorted(found.panels):
        if panel in found.panels:
            less = _refuted(among(rules, found.panels - {panel}), left)
            left -= less.guesses
            if isinstance(less, Conflict):
                found = less
    keys = tuple(cover.footprints)
    why, at = found.why, found.at
    if at is None:
        why, at = _first_rule(among(rules, found.panels)) or (why, None)
    return Blocked(
        panels=tuple(keys[panel] for panel in sorted(found.panels)),
        at=Point(*(at or _meeting(found.panels, cover, keys))),
        why=str(why),
    )


def _refuted(rules: Rules, nodes: int) -> Knowledge | Conflict:
    """What is in the way of an order, if so few guesses tell."""
    known = begun(rules)
    if isinstance(known, Conflict):
        return known
    try:
        for pairs in open_groups(known):
            if next(searched(known, pairs, nodes), None) is None:
                return known.failed or known
    except OutOfNodes:
        pass
    return known


def _first_rule(rules: Rules) -> tuple[Why, Place] | None:
    """What a rule forbids, and where."""
    for nest in rules.nested:
        return Why.NEST, nest.at
    for alike in (*rules.alike, *rules.pressed):
        return alike.why, alike.at
    return None


def _meeting(
    panels: frozenset[int], cover: Cover, keys: tuple[PanelKey, ...]
) -> tuple[float, float]:
    """A place where most of the panels lie."""
    named = {keys[panel] for panel in panels}
    cell = max(cover.cells, key=lambda one: len(named.intersection(one.panels)))
    inside = shapely.point_on_surface(cell.polygon)
    return float(inside.x), float(inside.y)
