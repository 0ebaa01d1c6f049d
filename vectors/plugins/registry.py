"""This module looks plug-ins up by their entry points: lazily, guarded, each name once.

The built-in writers, patterns and materials are registered the same way as
anybody's own, so there is one path for all of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from ..problems import PlugInError, Problem, likely, problem

TYPE_CHECKING = False
if TYPE_CHECKING:
    from importlib.metadata import Distribution, EntryPoint


class Group(StrEnum):
    """The entry-point groups; the value is the group's name in a pyproject file."""

    WRITERS = "foldwright.writers"
    PATTERNS = "foldwright.patterns"
    MATERIALS = "foldwright.materials"
    MODELS = "foldwright.models"

    @property
    def one(self) -> str:
        """What one member is called in a message."""
        return self.value.rpartition(".")[2].removesuffix("s")


@dataclass(frozen=True, kw_only=True, slots=True)
class PlugIn:
    """A registered plug-in, loaded or not: its name, what ships it, what is wrong with it."""

    name: str
    group: Group
    distribution: str
    version: str
    problem: Problem | None = None
    loaded: object = None


@cache
def _entries(group: Group) -> tuple[EntryPoint, ...]:
    # It brings in a library for electronic mail, so it waits until it is asked.
    from importlib.metadata import entry_points

    return tuple(sorted(entry_points(group=group.value), key=lambda entry: entry.name))


def _distribution(entry: EntryPoint) -> tuple[str, str]:
    return ("an unnamed distribution", "") if entry.dist is None else _told(entry.dist)


@cache
def _told(distribution: Distribution) -> tuple[str, str]:
    # Each time that one of them is asked for, the metadata is read from its file once more.
    return distribution.name, distribution.version


def names(group: Group) -> tuple[str, ...]:
    """The registered names, sorted, each once."""
    return tuple(dict.fromkeys(entry.name for entry in _entries(group)))


def _candidates(group: Group, name: str) -> list[EntryPoint]:
    # One distribution may be seen twice on a path (an editable install beside
    # a build folder); only different distributions clash.
    found: dict[tuple[str, str], EntryPoint] = {}
    for entry in _entries(group):
        if entry.name == name:
            found.setdefault((_distribution(entry)[0], entry.value), entry)
    return list(found.values())


def find(group: Group, name: str) -> PlugIn:
    """The plug-in `name`, loaded.

    Its `problem` is set instead where importing it fails, or where two
    distributions register the name; `load` turns that into an error.
    Raises PlugInError when nothing of that name is registered.
    """
    candidates = _candidates(group, name)
    if not candidates:
        known = names(group)
        near = likely(name, known, alike=0.5)
        listed_names = ", ".join(known) if known else "none"
        hint = f'did you mean "{near}"?' if near else f"installed are: {listed_names}"
        raise PlugInError(problem("unknown-plug-in", kind=group.one, name=name, hint=hint))
    entry = candidates[0]
    distribution, version = _distribution(entry)
    if len(candidates) > 1:
        trouble = problem(
            "doubled-plug-in",
            kind=group.one,
            name=name,
            first=distribution,
            second=_distribution(candidates[1])[0],
        )
        return PlugIn(
            name=name, group=group, distribution=distribution, version=version, problem=trouble
        )
    try:
        loaded = entry.load()
    except Exception as reason:  # anything at all may go wrong while importing foreign code
        trouble = problem(
            "broken-plug-in",
            kind=group.one,
            name=name,
            distribution=distribution,
            reason=f"{type(reason).__name__}: {reason}",
        )
        return PlugIn(
            name=name, group=group, distribution=distribution, version=version, problem=trouble
        )
    return PlugIn(name=name, group=group, distribution=distribution, version=version, loaded=loaded)


def load(group: Group, name: str) -> object:
    """The object that the plug-in `name` registers.

    Raises PlugInError when it is unknown, doubled or broken.
    """
    plug_in = find(group, name)
    if plug_in.problem is not None:
        raise PlugInError(plug_in.problem)
    return plug_in.loaded


def listed(group: Group) -> tuple[PlugIn, ...]:
    """Every registered plug-in of a group by name, the broken ones with their problem."""
    return tuple(find(group, name) for name in names(group))
