"""This module says what a pattern is: a parametric design that gives its pieces for chosen counts.

A pattern is registered under the entry-point group `foldwright.patterns`; a
design file takes its pieces from it with `pattern = "NAME"` in place of
`[[piece]]`.  Its parameters become measures of that design, which `[measures]`
may set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Protocol, runtime_checkable

from .. import plugins
from ..measures import Kind
from ..problems import Place, PlugInError, problem
from .model import PieceDraft


@dataclass(frozen=True, kw_only=True, slots=True)
class Parameter:
    """One measure that a pattern can be set by.

    `default_mm` and `default_in` are its values in the metric and in the inch
    edition, written as in a design file: a bare length is in mm in the one and
    in inches in the other, a bare number of kind `angle` is degrees, and either
    may be reckoned from other parameters (`"length / 2"`).  `least` and `most`
    hold for both editions, so a length among them carries its unit (`"12 mm"`).
    `kind` is LENGTH, ANGLE or NUMBER, which is a whole number.
    """

    name: str
    meaning: str
    kind: Kind = Kind.LENGTH
    default_mm: str
    default_in: str
    least: str | None = None
    most: str | None = None


@runtime_checkable
class Pattern(Protocol):
    """What the reader of designs asks of a pattern.

    `pieces` gives the pieces, their lengths written over the parameters' names.
    `counts` has the value of every parameter of kind `number`, so that a
    pattern can have as many steps as it is asked for.  It is a pure function:
    the same counts give the same pieces.
    """

    @property
    def name(self) -> str:
        """The name under which it is registered."""
        ...

    @property
    def about(self) -> str:
        """What it folds into, in one line."""
        ...

    @property
    def parameters(self) -> tuple[Parameter, ...]:
        """Its measures, in the order in which a person would set them."""
        ...

    def pieces(self, counts: Mapping[str, int]) -> tuple[PieceDraft, ...]:
        """The pieces for the given counts."""
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
    return loaded
