"""This module tells whether what is installed under a name is what it should be."""

from __future__ import annotations

from ..plugins import PlugIn
from ..problems import Problem, problem


def checked(plug_in: PlugIn, kind: type) -> tuple[object, tuple[Problem, ...]]:
    """What a plug-in holds, or what is wrong with it: it does not load, or is no such thing."""
    if plug_in.problem is not None:
        return None, (plug_in.problem,)
    if isinstance(plug_in.loaded, kind):
        return plug_in.loaded, ()
    reason = f"it gives a {type(plug_in.loaded).__name__}, not a {kind.__name__}"
    trouble = problem(
        "broken-plug-in",
        kind=plug_in.group.one,
        name=plug_in.name,
        distribution=plug_in.distribution,
        reason=reason,
    )
    return None, (trouble,)
