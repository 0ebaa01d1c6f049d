"""This module lays one profile file over another: tables are merged, values replaced."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from foldwright.problems import Place
from foldwright.sources import Source


@dataclass(frozen=True, kw_only=True, slots=True)
class Overlay:
    """Several sources, the topmost first, each laid over those after it."""

    sources: tuple[Source, ...]

    def place(self, *path: str | int) -> Place:
        """The place of a key in the topmost file that has it.

        Where none has it, the place of the nearest table around it in the
        topmost file that has that one.
        """
        holders = self.sources
        for end in range(1, len(path) + 1):
            having = tuple(source for source in holders if _at(source, path[:end]) is not None)
            if not having:
                break
            holders = having
            if not _is_table(_at(holders[0], path[:end])):
                # What is no table hides all that lies below it.
                break
        return holders[0].place(*path)

    def merged(self) -> dict[str, object]:
        """The tables of all sources, laid over each other."""
        result: dict[str, object] = {}
        for source in reversed(self.sources):
            result = _merge(result, source.table)
        return result


def _at(source: Source, path: tuple[str | int, ...]) -> object:
    """The value at a path of table keys, None where there is none."""
    value: object = source.table
    for part in path:
        value = value.get(part) if isinstance(value, Mapping) else None
    return value


def _merge(below: Mapping[str, object], above: Mapping[str, object]) -> dict[str, object]:
    result = dict(below)
    for key, value in above.items():
        under = below.get(key)
        if _is_table(under) and _is_table(value):
            result[key] = _merge(under, value)  # type: ignore[arg-type]
        elif key == "cautions" and isinstance(under, list) and isinstance(value, list):
            # A caution is never taken back by a file laid over the one that gives it.
            result[key] = [*under, *(one for one in value if one not in under)]
        else:
            result[key] = value
    return result


def _is_table(value: object) -> bool:
    # A figure is one value: its basis and confidence speak of its number, and
    # must not be left standing under another one.
    return isinstance(value, Mapping) and not value.keys() & {"is", "basis", "confidence"}
