"""This module rounds a design to a ruler and proves it again.

Only the lengths that the design states are rounded; the places of its lines are
sums of them and follow, so a card whose lines share their lengths still closes.
Rounding every line by itself would not do: the errors of a step card's lines add
up, and more than half of the cards of three steps no longer close.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, islice
from math import floor
from types import MappingProxyType

from foldwright.profiles.model import Tool

from ..design import Design, resolve
from ..design.resolve import edition_in_use
from ..design.written import number_text
from ..folding import Verdict
from ..measures import Ruler, on_ruler
from ..problems import DesignError
from .integer_search import common_multiple
from .literals import Length, lengths_of
from .materials import calipers_of, materials_of
from .model import MeasureChange, Proof
from .prove import prove_design

# As many choices of lengths that stay as they are are proved, before all of them do.
_MOST_TRIED = 60

_NONE: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, kw_only=True, slots=True)
class Rounding:
    """A design rounded to a ruler.

    `changes` are the measures that were rounded, `overrides` the values of the
    run with them, as texts, and `proof` proves that edition; where its loops do
    not close, its `measure_mends` lie on the same ruler.  `left` names the
    lengths that have no line of the ruler near by within their limits, `closing`
    those that stay as they are because the design closes with them only.
    """

    ruler: Ruler
    changes: tuple[MeasureChange, ...]
    left: tuple[str, ...]
    closing: tuple[str, ...]
    overrides: Mapping[str, str]
    proof: Proof


def rounded(
    design: Design,
    ruler: Ruler,
    *,
    materials: Sequence[str] = (),
    tool: Tool | None = None,
    variant: str | None = None,
    overrides: Mapping[str, str] = _NONE,
) -> Rounding:
    """Round the lengths that an edition of a design states to a ruler, and prove it again.

    A length goes to the nearest line that its own step and its limits allow;
    one that is to be kept stays.  Where a design that closes would neither close
    rounded nor be mended on the ruler, the fewest lengths that let it close stay
    as they are.  `materials` and the rest are those of
    `prove_design`, which tells what is raised.
    """
    calipers = calipers_of(materials_of(design, materials, variant))
    resolved = resolve(design, calipers, overrides, variant)
    edition = edition_in_use(design, overrides, variant)
    lengths = lengths_of(design, edition, resolved.measures)
    choices = {one.name: _lines(one, ruler) for one in lengths}
    wanted = {name: _text(lines[0]) for name, lines in choices.items() if lines}

    def allowed(more: Mapping[str, str]) -> bool:
        try:
            resolve(design, calipers, {**overrides, **more}, variant)
        except DesignError:
            return False
        return True

    if not allowed(wanted):
        # A limit that follows from other measures is in the way: one at a time
        # each length goes to the nearest line that is left to it.
        wanted = {}
        for name, lines in choices.items():
            for line in lines:
                if allowed({**wanted, name: _text(line)}):
                    wanted[name] = _text(line)
                    break
    values = {one.name: _text(one.value) for one in lengths}
    changed = {name: text for name, text in wanted.items() if text != values[name]}

    def proved(more: Mapping[str, str]) -> Proof:
        return prove_design(
            design,
            materials=materials,
            tool=tool,
            variant=variant,
            overrides={**overrides, **more},
            ruler=ruler,
        )

    proof = proved(changed)
    closing: tuple[str, ...] = ()
    if changed and _open(proof) and proved({}).verdict is Verdict.CLOSES:
        closing, proof = _closing(changed, proof, proved)
    new = {**overrides, **{n: text for n, text in changed.items() if n not in closing}}
    changes = []
    for one in lengths:
        to = proof.resolved.measures[one.name]
        if isinstance(to, Fraction) and to != one.value:
            named = on_ruler(to, ruler.units) or ruler
            changes.append(
                MeasureChange(
                    measure=one.name,
                    from_mm=one.value,
                    to_mm=to,
                    on_ruler=named.value,
                    steps=abs(to - one.value) / ruler.step,
                )
            )
    return Rounding(
        ruler=ruler,
        changes=tuple(changes),
        left=tuple(one.name for one in lengths if one.name not in wanted),
        closing=closing,
        overrides=MappingProxyType(new),
        proof=proof,
    )


def _open(proof: Proof) -> bool:
    """Whether a proof does not close and has no mend of measures."""
    return proof.verdict is not Verdict.CLOSES and not proof.measure_mends


def _closing(
    changed: Mapping[str, str], proof: Proof, proved: Callable[[Mapping[str, str]], Proof]
) -> tuple[tuple[str, ...], Proof]:
    """The lengths that are better left as they are, and the proof with the others rounded."""
    names = tuple(changed)
    tries = islice(
        (stay for count in range(1, len(names)) for stay in combinations(names, count)),
        _MOST_TRIED,
    )
    for stay in (*tries, names):
        try:
            proof = proved({name: text for name, text in changed.items() if name not in stay})
        except DesignError:
            # A limit that follows from other measures is in the way.
            continue
        if proof.verdict is Verdict.CLOSES:
            return stay, proof
    return names, proof


def _text(value: Fraction) -> str:
    return f"{number_text(value)} mm"


def _lines(one: Length, ruler: Ruler) -> tuple[Fraction, ...]:
    """The lines beside a length that its limits allow, the nearest first; half way goes up.

    There is none where the nearest is 0, or where those of the ruler that the
    length's own step meets are further away than two divisions of either.
    """
    if one.value % ruler.step == 0 and one.step is not None and one.value % one.step:
        # It lies on the ruler as it is; that it is off its own step is not ours to mend.
        return (one.value,)
    lattice = ruler.step if one.step is None else common_multiple(ruler.step, one.step)
    reach = 2 * (ruler.step if one.step is None else max(ruler.step, one.step))
    below = floor(one.value / lattice)
    lines = [(below + n) * lattice for n in (1, 0, 2, -1)]
    # Sorting keeps the upper of two equally near lines first.
    lines.sort(key=lambda line: abs(line - one.value))
    if lines[0] == 0 != one.value:
        return ()
    return tuple(
        line
        for line in lines
        if (one.least is None or line >= one.least)
        and (one.most is None or line <= one.most)
        and abs(line - one.value) <= reach
        and line * one.value >= 0
        and (line != 0 or one.value == 0)
    )
