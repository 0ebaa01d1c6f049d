"""This module finds the factor by which a design comes to another finished size.

The finished size is that of the closed card.  Where it grows in proportion to the factor,
or in proportion but for a part that stays, two cards give the factor exactly; else it is
found by halving a range.  Width and height follow one factor, so the largest card that
fits inside the asked size is taken, either way round.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from types import MappingProxyType
from typing import Protocol

from foldwright.profiles.paper import envelopes

from ..design import Design, resolve
from ..design.rewriting import measure_text
from ..design.scaling import Scaling, scaled
from ..design.sheets import sheet_size
from ..measures import LARGEST_MM, Unit, exact_text
from ..problems import DesignError, Place, Problem, Severity, problem
from .materials import calipers_of, materials_of
from .nearer_size import nearer
from .prove import prove

_NONE: Mapping[str, str] = MappingProxyType({})

# A closed size is told to a millionth of a millimetre; what is nearer than two of them is met.
_MET_MM = Fraction(2, 10**6)

# The simplest factor is looked for among fractions of ever larger denominators.
_DENOMINATORS = (100, 1000, 10**4, 10**5, 10**6, 10**9)

# Sides of six decimals that are rounded give factors of more digits than this.
_PLAIN = 10**6

# A range that holds the factor is halved until it is this narrow.
_NARROW = Fraction(1, 10**7)

# No card is made this many times as large, or as small, as it was designed.
_MOST_TIMES = 64

Sides = tuple[Fraction, Fraction]
"""Width and height of a closed card, in mm."""

TOO_LARGE: Sides = (Fraction(10**9), Fraction(10**9))
"""What stands for the sides at a factor at which there is no card."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Fit:
    """The factor for a finished size, and the two sides that the closed card then has.

    `asked` is the size as it was asked for, turned so that its long side is the card's.
    """

    factor: Fraction
    asked: Sides
    reached: Sides

    @property
    def met(self) -> bool:
        """Whether both sides are what was asked for."""
        return all(abs(a - r) <= _MET_MM for a, r in zip(self.asked, self.reached, strict=True))


def _size_hint(size: str) -> str:
    """How a size is to be written that is none of a card."""
    envelope = envelopes().get(size.strip().upper())
    if envelope is not None:
        sides = f"{float(envelope.short_mm):g} x {float(envelope.long_mm):g} mm"
        return (
            f'"{size}" is an envelope, {sides}: write the two sides of the card, smaller by its'
            " clearance on every side"
        )
    return 'write its two sides, such as "105 x 148" or "4 1/4 x 5 1/2 in", or a name like "A6"'


class OutOfReach(Exception):
    """No factor fits: `stays` are the sides that no factor changes, `least` the least that do."""

    def __init__(self, stays: tuple[bool, bool], least: Sides) -> None:
        super().__init__("no factor fits")
        self.stays = stays
        self.least = least


def fitted(sides_at: Callable[[Fraction], Sides], asked: Sides) -> Fit:
    """The largest factor at which a closed card fits inside a size, turned either way.

    `sides_at` gives the sides at a factor above 0.  Raises OutOfReach where no factor fits
    or none changes the card.
    """
    here, twice = sides_at(Fraction(1)), sides_at(Fraction(2))
    if (here[0] < here[1]) != (asked[0] < asked[1]) and here[0] != here[1]:
        asked = (asked[1], asked[0])
    stays = (here[0] == twice[0], here[1] == twice[1])
    if any(stays):
        half = sides_at(Fraction(1, 2))
        stays = (stays[0] and half[0] == here[0], stays[1] and half[1] == here[1])
    if all(stays) or any(stays[k] and here[k] > asked[k] + _MET_MM for k in (0, 1)):
        raise OutOfReach(stays, here)
    in_line = [
        1 + (asked[k] - here[k]) / (twice[k] - here[k]) for k in (0, 1) if twice[k] != here[k]
    ]
    straight = min(in_line, default=Fraction(0))
    if straight > 0:
        found = _simplest(straight, sides_at, asked, stays)
        if found is not None:
            return found
    return _searched(sides_at, asked, stays)


def _fits(sides: Sides, asked: Sides) -> bool:
    return all(side <= most + _MET_MM for side, most in zip(sides, asked, strict=True))


def _fills(sides: Sides, asked: Sides, stays: tuple[bool, bool]) -> bool:
    """Whether a card fits and fills the size along a side that follows the factor."""
    return _fits(sides, asked) and any(
        abs(sides[k] - asked[k]) <= _MET_MM for k in (0, 1) if not stays[k]
    )


def _simplest(
    factor: Fraction,
    sides_at: Callable[[Fraction], Sides],
    asked: Sides,
    stays: tuple[bool, bool],
) -> Fit | None:
    """The simplest factor beside a reckoned one that fills the size, if one does."""
    tried = set()
    # One of few digits comes of sides that are exact, and is the very one.
    plain = factor if factor.denominator <= _PLAIN else factor.limit_denominator(1)
    for near in (plain, *(factor.limit_denominator(most) for most in _DENOMINATORS)):
        # Sides are known to a millionth of a millimetre: a hundredth of that per part is
        # far from what they tell.
        if near in tried or near <= 0 or abs(near - factor) > factor * Fraction(1, 10**7):
            continue
        tried.add(near)
        sides = _or_too_large(sides_at, near)
        if _fills(sides, asked, stays):
            return Fit(factor=near, asked=asked, reached=sides)
    return None


def _searched(sides_at: Callable[[Fraction], Sides], asked: Sides, stays: tuple[bool, bool]) -> Fit:
    """The largest factor that fits, by halving."""
    low = high = Fraction(1)
    if _fits(sides_at(low), asked):
        while _fits(_or_too_large(sides_at, high * 2), asked) and high < _MOST_TIMES:
            high *= 2
        low, high = high, high * 2
    else:
        sides = sides_at(low)
        while not _fits(sides, asked):
            smaller = _or_too_large(sides_at, low / 2)
            if smaller is TOO_LARGE or low / 2 < Fraction(1, _MOST_TIMES):
                raise OutOfReach(stays, sides)
            low, high, sides = low / 2, low, smaller
    while high - low > _NARROW * low:
        middle = (low + high) / 2
        if _fits(_or_too_large(sides_at, middle), asked):
            low = middle
        else:
            high = middle
    for most in _DENOMINATORS:
        near = low.limit_denominator(most)
        close = abs(near - low) <= low * Fraction(1, 10**6)
        if close and _fits(_or_too_large(sides_at, near), asked):
            low = near
            break
    return Fit(factor=low, asked=asked, reached=sides_at(low))


def _or_too_large(sides_at: Callable[[Fraction], Sides], factor: Fraction) -> Sides:
    """The sides at a factor, larger than anything where the design does not allow it."""
    try:
        return sides_at(factor)
    except DesignError:
        return TOO_LARGE


@dataclass(frozen=True, kw_only=True, slots=True)
class Sized:
    """An edition of a design at another size: its scaling, and what `resolve` takes for it.

    `fit` is there where a finished size was asked for.
    """

    scaling: Scaling
    overrides: Mapping[str, str]
    fit: Fit | None
    findings: tuple[Problem, ...]


def sized(
    design: Design,
    *,
    factor: Fraction | None = None,
    size: str | None = None,
    materials: Sequence[str] = (),
    variant: str | None = None,
    overrides: Mapping[str, str] = _NONE,
    stay: Collection[str] = (),
) -> Sized:
    """An edition of a design scaled by a factor, or to a finished size such as "105 x 148".

    `materials`, `variant` and `overrides` are those of `prove_design`; the measures that
    `stay` do not scale.  Raises DesignError for a size that is none or cannot be reached,
    and what `prove_design` raises.
    """
    profiles = materials_of(design, materials, variant)
    calipers = calipers_of(profiles)
    as_it_is = resolve(design, calipers, overrides, variant)
    units = Unit(as_it_is.units)

    def scaling_by(by: Fraction, *, with_notes: bool = False) -> Scaling:
        return scaled(
            design,
            by,
            calipers=calipers,
            overrides=overrides,
            variant=variant,
            stay=stay,
            with_notes=with_notes,
        )

    def sides(
        by: Fraction, *, whole: bool, more: Mapping[str, str] = MappingProxyType({})
    ) -> Sides:
        texts = {**overrides, **scaling_by(by).texts, **more}
        proof = prove(resolve(design, calipers, texts, variant), profiles, whole=whole)
        closed = proof.closed
        if closed is None:
            raise DesignError(_not_judged(design, by, proof.findings))
        # Told to a millionth, and that exactly.
        return Fraction(str(closed.width_mm)), Fraction(str(closed.height_mm))

    def hint(fit: Fit) -> str:
        def sides_with(name: str, length: Fraction) -> Sides | None:
            more = {name: measure_text(design, name, length, variant)}
            try:
                return sides(fit.factor, whole=several, more=more)
            except DesignError:
                return None

        several = sides(fit.factor, whole=False) != fit.reached
        measures = scaling_by(fit.factor).measures
        return nearer(measures, sides_with, fit.reached, fit.asked, units)

    fit = None
    found: list[Problem] = []
    if size is not None:
        asked = sheet_size(size.strip(), units)
        if asked is None:
            raise DesignError(problem("unfit-size", found=size, hint=_size_hint(size)))
        try:
            fit = _fit(sides, asked, several=len(as_it_is.pieces) > 1)
        except OutOfReach as reason:
            raise DesignError(_out_of_reach(design, reason, asked, scaling_by, units)) from None
        factor = fit.factor
        if not fit.met:
            found.append(_not_met(design, fit, units, hint(fit)))
        # A6 is a sheet and, of another size, an envelope; C6 is one size by both names.
        envelope = envelopes().get(size.strip().upper())
        if envelope is not None and sorted(asked) == [envelope.short_mm, envelope.long_mm]:
            found.append(problem("size-of-an-envelope", found=size.strip()))
        elif envelope is not None and units is Unit.IN:
            found.append(
                problem(
                    "size-of-a-sheet",
                    found=size.strip(),
                    sheet=size_text(asked, units),
                    envelope=size_text((envelope.short_mm, envelope.long_mm), units),
                )
            )
    assert factor is not None
    scaling = scaling_by(factor, with_notes=True)
    largest = max((one.after for one in scaling.measures), default=Fraction(0))
    if largest > LARGEST_MM:
        name = next(one.name for one in scaling.measures if one.after == largest)
        what = f'the measure "{name}", scaled,'
        raise DesignError(problem("length-too-large", place=Place(file="--scale"), what=what))
    return Sized(
        scaling=scaling,
        overrides=MappingProxyType({**overrides, **scaling.texts}),
        fit=fit,
        findings=(*found, *scaling.findings),
    )


class _SidesOf(Protocol):
    """Gives the sides at a factor: of the first piece, or of the whole closed card.

    `more` are measures that have a value of their own there.
    """

    def __call__(
        self, by: Fraction, *, whole: bool, more: Mapping[str, str] = MappingProxyType({})
    ) -> Sides: ...


def _fit(sides: _SidesOf, asked: Sides, *, several: bool) -> Fit:
    """The fit of a closed card; of several pieces the first is looked at alone where it may be.

    The whole card takes far longer to work out than the first piece, which mostly covers it.
    """
    whole = partial(sides, whole=True)
    first = partial(sides, whole=False)
    if not several:
        return fitted(first, asked)
    if first(Fraction(1)) == whole(Fraction(1)):
        fit = fitted(first, asked)
        if whole(fit.factor) == fit.reached:
            return fit
    return fitted(whole, asked)


def _not_judged(design: Design, by: Fraction, findings: Sequence[Problem]) -> Problem:
    """That the lines cannot be judged at a factor, with the first reason, where it stands."""
    stop = next((one for one in findings if one.severity is Severity.STOP), None)
    why, place = "the lines of the design cannot be judged", design.place
    mend = "prove it as it is, and mend what the findings say first"
    if by != 1:
        why = f"at a factor of {float(by):.4g} its lines cannot be judged"
        mend = f"give what stays behind a name in [measures]; see it with --scale {float(by):.4g}"
    if stop is not None:
        why += f": {stop.message}"
        place = stop.place or place
    return problem("size-does-not-follow", place=place, why=why, mend=mend)


def _out_of_reach(
    design: Design,
    reason: OutOfReach,
    asked: Sides,
    scaling_by: Callable[[Fraction], Scaling],
    units: Unit,
) -> Problem:
    scaling = scaling_by(Fraction(1, 2))
    stays = [f'"{one.name}"' for one in scaling.measures if one.after == one.before]
    if all(reason.stays):
        why = "no length in [measures] reaches its outline"
        mend = "give the lengths of the outline names in [measures]"
        if stays:
            why = f"{_row(stays)} {'is' if len(stays) == 1 else 'are'} fixed"
            mend = 'mark what is to follow scale = "with"'
        return problem("size-does-not-follow", place=design.place, why=why, mend=mend)
    why = f"at the least it is {size_text(reason.least, units)}"
    if any(reason.stays):
        side = reason.stays.index(True)
        why = f"its {('width', 'height')[side]} stays {exact_text(reason.least[side], units)}"
    return problem(
        "size-out-of-reach",
        place=design.place,
        asked=size_text(asked, units),
        why=why,
        stays=_row(stays) or "numbers in its lines",
    )


def _not_met(design: Design, fit: Fit, units: Unit, hint: str) -> Problem:
    less = [
        f"{exact_text(most - side, units)} less in {name}"
        for name, side, most in zip(("width", "height"), fit.reached, fit.asked, strict=True)
        if most - side > _MET_MM
    ]
    return problem(
        "size-not-met",
        place=design.place,
        asked=size_text(fit.asked, units),
        reached=size_text(fit.reached, units),
        short=" and ".join(less),
        hint=hint,
    )


def size_text(sides: Sides, units: Unit) -> str:
    """Two sides as a message tells them."""
    return " by ".join(exact_text(side, units) for side in sides)


def _row(names: Sequence[str]) -> str:
    return ", ".join(names)
