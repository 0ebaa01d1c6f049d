"""This module says what a pattern is: a parametric design that gives its parts for chosen counts.

A pattern is registered under the entry-point group `foldwright.patterns`; a
design file takes its pieces, joints and poses from it with `pattern = "NAME"`
in place of `[[piece]]`.  Its parameters become measures of that design, which
`[measures]` may set.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Protocol, runtime_checkable

from .. import plugins
from ..measures import Kind, Unit
from ..problems import Place, PlugInError, problem
from .model import JointDraft, MatDraft, PieceDraft, PoseDraft, Scale
from .written import Written


@dataclass(frozen=True, kw_only=True, slots=True)
class Parameter:
    """One measure that a pattern can be set by.

    `default_mm` and `default_in` are its values in the metric and in the inch
    edition, written as in a design file: a bare length is in mm in the one and
    in inches in the other, a bare number of kind `angle` is degrees, and either
    may be reckoned from other parameters (`"length / 2"`).  `least` and `most`
    hold for both editions, so a length among them carries its unit (`"12 mm"`).
    `step_mm` and `step_in` are what a length moves by in each edition; other
    kinds have a step only where one is given.  `scale` says what becomes of it
    when the design is scaled.  `kind` is LENGTH, ANGLE or NUMBER, which is a
    whole number.
    """

    name: str
    meaning: str
    kind: Kind = Kind.LENGTH
    default_mm: str
    default_in: str
    least: str | None = None
    most: str | None = None
    step_mm: str | None = None
    step_in: str | None = None
    scale: Scale = Scale.WITH

    def default(self, units: Unit) -> str:
        """What it is in the edition of these units, an angle with its unit."""
        return self.with_unit(self.default_in if units is Unit.IN else self.default_mm)

    def with_unit(self, written: str) -> str:
        """A value as it is to stand in a file: the bare number of an angle says that it is one.

        Elsewhere in the file a bare number is a length.
        """
        is_bare = self.kind is Kind.ANGLE and _BARE.fullmatch(written.strip())
        return f"{written.strip()} deg" if is_bare else written

    def step(self, units: Unit) -> str | None:
        """What it moves by in the edition of these units."""
        written = self.step_in if units is Unit.IN else self.step_mm
        if written is None and self.kind is Kind.LENGTH:
            return _STEP_IN if units is Unit.IN else _STEP_MM
        return written


_BARE = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")

# The lines of the rulers that cards are measured with.
_STEP_MM, _STEP_IN = "1 mm", "1/16 in"


@dataclass(frozen=True, kw_only=True, slots=True)
class PatternParts:
    """What a pattern gives for chosen counts, all lengths written over its parameters' names.

    `closed` is the stated size of the closed card, along x and along y of the
    first piece.  `poses` are the ones beside flat, open and closed; a design
    that has a pose of the same name keeps its own.  `mats` are the usual ones,
    which a design has only where they are written into it.  A bare number other
    than nothing is never a length here, for it would be mm in one edition and
    inches in the other.
    """

    pieces: tuple[PieceDraft, ...]
    joints: tuple[JointDraft, ...] = ()
    poses: tuple[PoseDraft, ...] = ()
    mats: tuple[MatDraft, ...] = ()
    closed: tuple[Written, Written]


@runtime_checkable
class Pattern(Protocol):
    """What the reader of designs asks of a pattern.

    `parts` gives what a design has from it.  `counts` has the value of every
    parameter of kind `number`, so that a pattern can have as many steps as it
    is asked for.  It is a pure function: the same counts give the same parts.
    """

    @property
    def name(self) -> str:
        """The name under which it is registered."""
        ...

    @property
    def about(self) -> str:
        """What it is, in two sentences."""
        ...

    @property
    def closure(self) -> str:
        """What must be so for it to close, in words."""
        ...

    @property
    def materials(self) -> Mapping[str, str]:
        """The material that each of its stocks may start with."""
        ...

    @property
    def parameters(self) -> tuple[Parameter, ...]:
        """Its measures, in the order in which a person would set them."""
        ...

    def parts(self, counts: Mapping[str, int]) -> PatternParts:
        """The pieces, joints, poses and usual mats for the given counts."""
        ...


def load_pattern(name: str, place: Place | None = None) -> Pattern:
    """The installed pattern of that name; `place` is where a design asks for it.

    Raises PlugInError where there is none, or where what is installed is none.
    """
    where = Place() if place is None else place
    try:
        loaded = plugins.load(plugins.Group.PATTERNS, name)
    except PlugInError as error:
        raise PlugInError(replace(found, place=where) for found in error.problems) from None
    if not isinstance(loaded, Pattern):
        raise PlugInError(problem("not-a-pattern", place=where, name=name))
    reason = misfit(loaded, name)
    if reason is not None:
        raise PlugInError(problem("pattern-fails", place=where, name=name, reason=reason))
    return loaded


def misfit(pattern: Pattern, name: str) -> str | None:
    """Why what is registered under a name cannot be used as a pattern; None where it can."""
    if pattern.name != name:
        return f'it calls itself "{pattern.name}"'
    # The types say what is due, and a stranger's code need not keep to them.
    texts: tuple[tuple[str, object], ...] = (
        ("about", pattern.about),
        ("closure", pattern.closure),
    )
    for what, text in texts:
        if not isinstance(text, str):
            return f"its {what} is no text"
    materials: object = pattern.materials
    if not isinstance(materials, Mapping):
        return "its materials are no mapping of stocks to names"
    rows: object = pattern.parameters
    if not isinstance(rows, tuple) or not all(isinstance(one, Parameter) for one in rows):
        return "its parameters are no tuple of them"
    return None


def parts_of(
    pattern: Pattern, counts: Mapping[str, int], place: Place | None = None
) -> PatternParts:
    """What a pattern gives for counts within its limits; `place` is where a design asks for it.

    Raises PlugInError where it fails or gives something else: anybody may have written it.
    """
    try:
        parts: object = pattern.parts(counts)
    except Exception as error:  # foreign code may do anything at all
        reason = f"{type(error).__name__}: {error}"
    else:
        if isinstance(parts, PatternParts):
            return parts
        reason = f"it gives a {type(parts).__name__} in place of its parts"
    raise PlugInError(
        problem("pattern-fails", place=place, name=pattern.name, reason=reason)
    ) from None
