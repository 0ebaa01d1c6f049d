"""Closed cards from the text of a design: cover, order of plies, and what is glued on them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from foldwright.design import Resolved
from foldwright.folding import PanelKey
from foldwright.panels import Assembly
from foldwright.stacking.cover import Cover
from foldwright.stacking.glued import Glued, glued_on
from foldwright.stacking.mats import mat_shapes
from foldwright.stacking.order import PlyOrder, ply_order
from foldwright.stacking.spill import NoCover, Spilled, covers_of, spill_of
from foldwright.stacking.thickness import ThicknessMap, thickness_of
from tests.stacking.dressed import card, named
from tests.stacking.stacks import closed_cover

Length = int | Fraction


@dataclass(frozen=True)
class Card:
    """A design as text, divided and laid flat; every stock has a caliper that is given by name."""

    text: str
    calipers: Mapping[str, float]

    @cached_property
    def read(self) -> tuple[Assembly, Resolved]:
        return card(self.text)

    @property
    def assembly(self) -> Assembly:
        return self.read[0]

    @cached_property
    def cover(self) -> Cover:
        return closed_cover(self.assembly)

    @cached_property
    def order(self) -> PlyOrder:
        order = ply_order(self.assembly, self.cover)
        assert isinstance(order, PlyOrder)
        return order

    @cached_property
    def glued(self) -> tuple[Glued, ...]:
        resolved = self.read[1]
        mats = mat_shapes(self.assembly, resolved.mats)
        return glued_on(self.assembly, mats, resolved.extras, self.calipers)

    @cached_property
    def thickness(self) -> ThicknessMap:
        return thickness_of(self.assembly, self.cover, self.calipers, self.glued)

    @cached_property
    def panels(self) -> Mapping[str, PanelKey]:
        return named(self.assembly)

    @property
    def spilled(self) -> Spilled | NoCover:
        return spill_of(self.cover, self.order, covers_of(self.assembly))

    @property
    def spills(self) -> Spilled:
        found = self.spilled
        assert isinstance(found, Spilled)
        return found


def strip_card(
    widths: Sequence[Length],
    senses: str,
    more: str = "",
    high: int = 60,
    covers: Sequence[int] = (),
) -> str:
    """A strip of panels p1, p2, ... side by side, folds of the senses V and M between them."""
    xs = [Fraction(0)]
    for width in widths:
        xs.append(xs[-1] + width)
    text = f"""
[[piece]]
name = "card"
stock = "card"
outline = {{ rectangle = [{number(xs[-1])}, {high}] }}
"""
    for x, sense in zip(xs[1:-1], senses, strict=True):
        word = "valley" if sense == "V" else "mountain"
        line = f"[[{number(x)}, 0], [{number(x)}, {high}]]"
        text += f'[[piece.fold]]\nsense = "{word}"\npoints = {line}\n'
    for i, (left, right) in enumerate(pairwise(xs)):
        middle = f"[{number((left + right) / 2)}, {high / 2}]"
        text += f'[[piece.panel]]\nname = "p{i + 1}"\nat = {middle}\n'
        text += "cover = true\n" if i in covers else ""
    return text + "[stock.card]\n" + more


def number(value: Length) -> str:
    """A length as the file has it, exact: tenths and the like have decimals."""
    return str(float(value))


def stair(
    wall: int, floor: int, treads: Sequence[int], risers: Sequence[int], more: str = ""
) -> str:
    """A side-step card, 148 wide: a strip of 50 with the fold at y = floor, steps on the rest.

    From the top of the band tread and riser alternate.
    """
    top, bottom = floor + sum(risers), floor - sum(treads)
    walk = [length for pair in zip(treads, risers, strict=True) for length in pair]
    ys = [top]
    for length in walk:
        ys.append(ys[-1] - length)
    names: dict[str, tuple[float, float]] = {"wall": (5, floor + 1), "floor": (5, floor - 1)}
    for i in range(len(walk)):
        kind = "tread" if i % 2 == 0 else "riser"
        names[f"{kind} {i // 2 + 1}"] = (140, (ys[i] + ys[i + 1]) / 2)
    panels = "".join(
        f'[[piece.panel]]\nname = "{name}"\nat = [{x}, {y}]\n' for name, (x, y) in names.items()
    )
    return f"""
[[piece]]
name = "base"
stock = "card"
outline = {{ rectangle = [148, {wall + floor}] }}
[[piece.slit]]
points = [[50, {bottom}], [50, {top}]]
[[piece.band]]
name = "steps"
from = [50, {top}]
to = [148, {top}]
walk = {walk}
first = "valley"
[[piece.fold]]
name = "gutter"
sense = "valley"
points = [[0, {floor}], [50, {floor}]]
{panels}
[stock.card]
[stock.print]
{more}
"""
