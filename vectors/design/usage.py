"""This module finds the measures that nothing uses: nearly always a name that was misspelt.

A measure is used where an expression of the pieces, joints, mats or whatever
else the design has names it, where a measure that is used follows from it, or
where it is a parameter of the pattern.  All editions count: what one variant
replaces by a plain number, another one still uses.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass

from ..measures import Expression
from ..problems import Problem, problem
from .editions import Edition
from .model import Design, MeasureDraft, PieceDraft
from .pattern import Pattern


def unused_measures(
    design: Design, pattern: Pattern | None, edition: Edition, pieces: Sequence[PieceDraft]
) -> Iterator[Problem]:
    """A warning for each measure of the file that nothing uses, with the name that was meant."""
    unused = names_without_use(design, pattern, edition, pieces)
    if not unused:
        return
    parameters = () if pattern is None else tuple(one.name for one in pattern.parameters)
    known = [*parameters, *(name for name in design.measures if name not in unused)]
    for name, draft in design.measures.items():
        if name not in unused:
            continue
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
        hint = f'did you mean "{near[0]}"?' if near else "leave it out, or use it in a length"
        yield problem("unused-measure", place=draft.place, name=name, hint=hint)


def names_without_use(
    design: Design, pattern: Pattern | None, edition: Edition, pieces: Sequence[PieceDraft]
) -> frozenset[str]:
    """The measures of the file that nothing uses; parameters of its pattern are always used."""
    parameters = () if pattern is None else tuple(one.name for one in pattern.parameters)
    waiting = set(design.measures) - set(parameters)
    if not waiting:
        return frozenset()
    follows = _follows(design, edition)
    used: set[str] = set()

    def take(names: Iterable[str]) -> None:
        reached = [name for name in names if name not in used]
        while reached:
            name = reached.pop()
            if name not in used:
                used.add(name)
                reached.extend(follows.get(name, ()))

    take(parameters)
    for one in expressions_in(
        (pieces, design.joints, design.mats, design.extras, design.poses, design.envelope,
         design.limits)
    ):  # fmt: skip
        if one.names:
            take(one.names)
            if waiting <= used:
                return frozenset()
    return frozenset(waiting - used)


def _follows(design: Design, edition: Edition) -> Mapping[str, set[str]]:
    """The measures that each measure is reckoned from or limited by, in any edition."""
    found: dict[str, set[str]] = {name: set(one.names) for name, one in edition.values.items()}
    for bounds in (edition.least, edition.most, edition.steps):
        for name, bound in bounds.items():
            found.setdefault(name, set()).update(bound.expression.names)
    tables: list[Mapping[str, MeasureDraft]] = [design.measures]
    tables += [variant.measures for variant in design.variants.values()]
    for table in tables:
        for name, draft in table.items():
            for one in expressions_in(draft):
                found.setdefault(name, set()).update(one.names)
    return found


def expressions_in(value: object) -> Iterator[Expression]:
    """Every expression in a draft, in rows and tables of drafts."""
    # A stack in place of recursion: designs may have hundreds of thousands of points.
    waiting = [value]
    while waiting:
        one = waiting.pop()
        if isinstance(one, Expression):
            yield one
        elif isinstance(one, list | tuple):
            waiting.extend(one)
        elif isinstance(one, Mapping):
            waiting.extend(one.values())
        elif is_dataclass(one) and not isinstance(one, type):
            waiting.extend(getattr(one, item.name) for item in fields(one))
