"""This module finds the mass of every panel with all that is glued on it, and its centre.

The mass of paper is its area times its grammage (ISO 536).  Paper and mats are as
thin as the plane of their panel here; an extra stands up from the front of its
panel, its centre half its height above it.  What is not known is left open: a
panel of unknown mass has none, and so has the card.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from ..design.pieces import Extra, Resolved
from ..design.resolve import EVERY_OTHER_STOCK
from ..folding import PanelKey
from ..folding.motion import Motion, Place3
from ..geometry.moments import moments
from ..panels import Assembly
from .mats import MatShape, mat_shapes, panel_keys

# Square millimetres to the square metre of a grammage.
_MM2_PER_M2 = 1e6


@dataclass(frozen=True, kw_only=True, slots=True)
class Load:
    """Something that has mass: `at` is its centre in the coordinates of its piece, z up the front.

    `mass_g` is None where it is not known, `at` where the mass is known and its place is not.
    """

    mass_g: float | None
    at: Place3 | None


@dataclass(frozen=True, kw_only=True, slots=True)
class PanelMass:
    """A panel with the mats and extras on it.

    `area_mm2` is that of the panel alone, `paper_g` the mass of it, `mass_g` that of all together
    and `centre` where its centre is in the coordinates of the piece, z up from the front;
    each None where it is not known.
    """

    area_mm2: float
    paper_g: float | None
    mass_g: float | None
    centre: Place3 | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Masses:
    """What all panels of a design weigh.

    `mass_g` is the mass of the whole card with every copy of its pieces, None where it is not
    known.  `stocks` are those whose grammage is not known and would have to be, None among
    them for paper without a stock; `heavy` are the extras without a mass, `loose` those with a
    mass and no place, `flat` those with a mass and no height, which count as lying in their
    panel; `extras` are all of them that lie on a panel that is there.
    """

    panels: Mapping[PanelKey, PanelMass]
    mats: tuple[MatShape, ...]
    mass_g: float | None
    stocks: tuple[str | None, ...] = ()
    heavy: tuple[Extra, ...] = ()
    loose: tuple[Extra, ...] = ()
    flat: tuple[Extra, ...] = ()
    extras: tuple[Extra, ...] = ()


@dataclass(frozen=True, slots=True)
class Balance:
    """A mass in g and its centre in space."""

    mass_g: float
    centre: Place3


@dataclass(frozen=True, kw_only=True, slots=True)
class Moved:
    """How an extra moves the balance: the centre of mass with it, less that without it, in mm."""

    extra: Extra
    by: Place3


def masses_of(
    assembly: Assembly,
    resolved: Resolved,
    grammages: Mapping[str, float],
    *,
    mats: Sequence[MatShape] | None = None,
) -> Masses:
    """The mass of every panel of a design.

    `grammages` are in g/m² by stock, those not known left out; the one under the empty name
    serves stocks that are not named, and paper without a stock.  `mats` are the shapes of the
    mats where somebody has them already.
    """
    shapes = mat_shapes(assembly, resolved.mats) if mats is None else tuple(mats)
    unknown: dict[str | None, None] = {}

    def grammage(stock: str | None) -> float | None:
        every = grammages.get(EVERY_OTHER_STOCK)
        found = every if stock is None else grammages.get(stock, every)
        if found is None:
            unknown.setdefault(stock)
        return found

    loads = _loads(assembly, resolved.extras, shapes, grammage)
    panels: dict[PanelKey, PanelMass] = {}
    whole: list[float | None] = []
    for name, division in assembly.divisions.items():
        own = grammage(division.piece.stock)
        for panel in division.panels:
            key = name, panel.index
            of_paper = moments(panel.ring, *panel.holes)
            paper_g = None if own is None else of_paper.area * own / _MM2_PER_M2
            middle = (*of_paper.centroid.floats(), 0.0)
            every = (Load(mass_g=paper_g, at=middle), *loads.get(key, ()))
            together = _together(every)
            panels[key] = PanelMass(
                area_mm2=of_paper.area,
                paper_g=paper_g,
                mass_g=_sum(load.mass_g for load in every),
                centre=None if together is None else together.centre,
            )
            mass = panels[key].mass_g
            whole.append(None if mass is None else division.piece.copies * mass)
    keys = panel_keys(assembly)
    known = [extra for extra in resolved.extras if (extra.piece, extra.panel) in keys]
    weighed = [extra for extra in known if extra.mass_g]
    return Masses(
        panels=MappingProxyType(panels),
        mats=shapes,
        mass_g=_sum(whole),
        stocks=tuple(unknown),
        heavy=tuple(extra for extra in known if extra.mass_g is None),
        loose=tuple(extra for extra in weighed if extra.at is None),
        flat=tuple(extra for extra in weighed if extra.at is not None and extra.height is None),
        extras=tuple(known),
    )


def balance_of(
    masses: Masses, placed: Mapping[PanelKey, Motion], panels: Iterable[PanelKey] | None = None
) -> Balance | None:
    """The mass of panels that are put into space, and its centre; None where it is not known.

    Those of `panels`, or all that are `placed`.  None too where nothing there has any mass.
    """
    loads = []
    for key in placed if panels is None else panels:
        one = masses.panels[key]
        at = None if one.centre is None else placed[key].apply3(one.centre)
        loads.append(Load(mass_g=one.mass_g, at=at))
    return _together(loads)


def moved_by_extras(
    masses: Masses, placed: Mapping[PanelKey, Motion], assembly: Assembly, whole: Balance
) -> tuple[Moved, ...]:
    """How far each extra moves the centre of mass `whole` of the panels that are `placed`.

    Extras without a mass or a place, and those that are all that weighs anything, move nothing.
    """
    keys = panel_keys(assembly)
    found = []
    for extra in masses.extras:
        load, key = _load_of(extra), keys[extra.piece, extra.panel]
        if not load.mass_g or load.at is None or key not in placed:
            continue
        rest = whole.mass_g - load.mass_g
        if rest <= 0.0:
            continue
        at = placed[key].apply3(load.at)
        x, y, z = (
            (one - other) * load.mass_g / rest for one, other in zip(at, whole.centre, strict=True)
        )
        found.append(Moved(extra=extra, by=(x, y, z)))
    return tuple(found)


def _loads(
    assembly: Assembly,
    extras: Sequence[Extra],
    shapes: Sequence[MatShape],
    grammage: Callable[[str | None], float | None],
) -> dict[PanelKey, list[Load]]:
    """What is glued on each panel."""
    found: dict[PanelKey, list[Load]] = {}
    for shape in shapes:
        if shape.outlines:
            of_mat = shape.moments
            own = grammage(shape.mat.stock)
            mass = None if own is None else of_mat.area * own / _MM2_PER_M2
            load = Load(mass_g=mass, at=(*of_mat.centroid.floats(), 0.0))
            found.setdefault(shape.panel, []).append(load)
    keys = panel_keys(assembly)
    for extra in extras:
        key = keys.get((extra.piece, extra.panel))
        if key is not None:
            found.setdefault(key, []).append(_load_of(extra))
    return found


def _load_of(extra: Extra) -> Load:
    mass = None if extra.mass_g is None else float(extra.mass_g)
    if extra.at is None:
        return Load(mass_g=mass, at=None)
    height = 0.0 if extra.height is None else float(extra.height)
    return Load(mass_g=mass, at=(*extra.at.floats(), height / 2.0))


def _sum(masses: Iterable[float | None]) -> float | None:
    """The sum of masses, None where one of them is not known."""
    known = tuple(masses)
    return math.fsum(mass for mass in known if mass is not None) if None not in known else None


def _together(loads: Iterable[Load]) -> Balance | None:
    """The mass and the centre of several loads, None where one of them is not known."""
    known: list[tuple[float, Place3]] = []
    for load in loads:
        if load.mass_g is None:
            return None
        if load.mass_g == 0.0:
            continue
        if load.at is None:
            return None
        known.append((load.mass_g, load.at))
    whole = math.fsum(mass for mass, _ in known)
    if whole == 0.0:
        return None
    x, y, z = (math.fsum(mass * at[axis] for mass, at in known) / whole for axis in range(3))
    return Balance(whole, (x, y, z))
