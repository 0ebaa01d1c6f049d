"""This module reads tables by typed getters that collect problems and read on."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from enum import StrEnum
from fractions import Fraction
from typing import Protocol, TypeVar, overload

from ..problems import Collector, Place, Problem, likely, problem
from .names import name_problem
from .places import KeyPath
from .source import key_text

Word = TypeVar("Word", bound=StrEnum)

# A number of more bits than this is a slip of the pen, whatever it was meant to be.
_MOST_BITS = 200


class Origin(Protocol):
    """What knows where values were written: a `Source`, or several files laid over each other."""

    def place(self, *path: str | int) -> Place:
        """The place of a key, or of the nearest table around it."""
        ...


def shown(value: object) -> str:
    """A value as a message tells it: short, in quotes where it is text."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 40 else f'"{value[:37]}..."'
    if isinstance(value, int):
        return str(value) if value.bit_length() <= _MOST_BITS else "a number far too large"
    if isinstance(value, Fraction):
        try:
            return f"{float(value):.12g}"
        except OverflowError:
            return "a number far too large"
    if isinstance(value, float):
        return "a number far too large or small" if math.isinf(value) else "nan"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, Sequence):
        return "an empty list" if not value else f"a list of {len(value)}"
    if isinstance(value, datetime | date | time):
        return "a date or time"
    return type(value).__name__


class Table:
    """A table being read: each key is asked for once, by the getter of its type.

    A getter gives None (or the default) where the key is missing or its value
    is wrong; a wrong value, and a missing one that is required, is a problem in
    `collector`.  `finish` tells of every key that nobody asked for.  `values`
    are those of the table at `path` in `source`.
    """

    def __init__(
        self,
        values: Mapping[str, object],
        source: Origin,
        collector: Collector,
        *,
        path: KeyPath = (),
        called: str | None = None,
    ) -> None:
        # What a message calls the table where it stands in a list or inside one
        # that does: `fold "gutter" of piece "base"`.
        self.called = called
        self.values = values
        self.source = source
        self.collector = collector
        self.path = path
        self._asked: dict[str, None] = {}
        self._children: list[Table] = []

    def place(self, *path: str | int) -> Place:
        """The place of a key of this table, or of the table itself."""
        return self.source.place(*self.path, *path)

    def told(self, *path: str | int) -> str:
        """What a message calls a key of this table, or the table itself.

        Keys are told by their path, `"tool.knife.kerf"`, up to the first list;
        what stands in a list is told by its name, or counted from 1:
        `"sense" of fold "gutter" of piece "base"`, `item 2 of "points" of slit 1`.
        """
        within = self.called
        words: list[str] = []
        keys: list[str | int] = [] if within is not None else list(self.path)
        for part in path:
            if isinstance(part, int):
                if keys:
                    words.append(f'"{key_text(tuple(keys))}"')
                    keys = []
                words.append(f"item {part + 1}")
            else:
                keys.append(part)
        if keys:
            words.append(f'"{key_text(tuple(keys))}"')
        if within is not None:
            words.insert(0, within)
        return " of ".join(reversed(words))

    def report(self, code: str, *path: str | int, **fields: object) -> None:
        """Collect a problem at a key of this table, or at the table itself.

        The field `key` is filled with what a person calls that key, quotation
        marks and all, `name` with the last key, unless given.
        """
        fields.setdefault("key", self.told(*path))
        fields.setdefault("name", key_text((*self.path, *path)[-1:]))
        self.collector.add(problem(code, place=self.place(*path), **fields))  # type: ignore[arg-type]

    def keep(self, found: Problem | None) -> None:
        """Collect a problem that was found elsewhere, if there is one."""
        if found is not None:
            self.collector.add(found)

    # Whether and what is there.

    def __contains__(self, key: object) -> bool:
        return key in self.values

    def open_keys(self) -> tuple[str, ...]:
        """All keys in the order of the file; none of them is unknown from now on.

        For tables whose keys are names that the user chooses.
        """
        self._asked.update(dict.fromkeys(self.values))
        return tuple(self.values)

    def knows(self, *keys: str) -> None:
        """Say that these keys are known, though nobody reads them now."""
        self._asked.update(dict.fromkeys(keys))

    def raw(self, key: str, *, required: str | None = None) -> object:
        """The value as TOML gave it, None where there is none; `required` says what is due."""
        self._asked[key] = None
        value = self.values.get(key)
        if value is None and required is not None:
            self.report("missing-key", key, due=required)
        return value

    def wrong(self, key: str, due: str, *more: str | int) -> None:
        """Collect that the value at a key is not what is due there."""
        value: object = self.values.get(key)
        for part in more:
            value = value[part]  # type: ignore[index]
        self.report("wrong-type", key, *more, due=due, found=shown(value))

    # Getters, one a type.

    @overload
    def text(self, key: str, *, required: bool = False) -> str | None: ...
    @overload
    def text(self, key: str, default: str) -> str: ...
    def text(self, key: str, default: str | None = None, *, required: bool = False) -> str | None:
        """A text."""
        value = self.raw(key, required="a text in quotes" if required else None)
        if value is None or isinstance(value, str):
            return default if value is None else value
        self.wrong(key, "a text in quotes")
        return default

    def name(self, key: str, *, required: bool = False) -> str | None:
        """A text that file names can be made of."""
        value = self.text(key, required=required)
        if value is None:
            return None
        found = name_problem(value, place=self.place(key))
        self.keep(found)
        return None if found is not None else value

    @overload
    def choice(self, key: str, words: type[Word], *, required: bool = False) -> Word | None: ...
    @overload
    def choice(self, key: str, words: type[Word], default: Word) -> Word: ...
    def choice(
        self, key: str, words: type[Word], default: Word | None = None, *, required: bool = False
    ) -> Word | None:
        """One word of a few."""
        known = [word.value for word in words]
        due = " or ".join(f'"{word}"' for word in known)
        value = self.raw(key, required=due if required else None)
        if value is None:
            return default
        if not isinstance(value, str):
            self.wrong(key, due)
            return default
        if value not in known:
            near = difflib.get_close_matches(value, known, n=1, cutoff=0.5)
            hint = f'did you mean "{near[0]}"?' if near else f"write {due}"
            self.report("unknown-word", key, due=due, found=value, hint=hint)
            return default
        return words(value)

    @overload
    def flag(self, key: str, *, required: bool = False) -> bool | None: ...
    @overload
    def flag(self, key: str, default: bool) -> bool: ...
    def flag(self, key: str, default: bool | None = None, *, required: bool = False) -> bool | None:
        """True or false."""
        value = self.raw(key, required="true or false" if required else None)
        if value is None or isinstance(value, bool):
            return default if value is None else value
        self.wrong(key, "true or false")
        return default

    @overload
    def whole(self, key: str, *, required: bool = False) -> int | None: ...
    @overload
    def whole(self, key: str, default: int) -> int: ...
    def whole(self, key: str, default: int | None = None, *, required: bool = False) -> int | None:
        """A whole number; true and false are none."""
        value = self.raw(key, required="a whole number" if required else None)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, int):
            self.wrong(key, "a whole number")
            return default
        return default if self._absurd(value, key) else value

    @overload
    def number(self, key: str, *, required: bool = False) -> Fraction | None: ...
    @overload
    def number(self, key: str, default: Fraction) -> Fraction: ...
    def number(
        self, key: str, default: Fraction | None = None, *, required: bool = False
    ) -> Fraction | None:
        """A number, exact; true and false are none."""
        value = self.raw(key, required="a number" if required else None)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, int | Fraction | float):
            self.wrong(key, "a number")
            return default
        return default if self._absurd(value, key) else Fraction(value)

    def expression(self, key: str, *, required: bool = False) -> str | int | Fraction | None:
        """A number, or a text to be reckoned; `expression_at` judges one inside a list."""
        due = "a number or an expression in quotes"
        value = self.raw(key, required=due if required else None)
        return None if value is None else self.expression_at(value, key)

    def expression_at(self, value: object, *path: str | int) -> str | int | Fraction | None:
        """The value at a path inside this table if it is a number or a text, else a problem."""
        if isinstance(value, str):
            return value
        if isinstance(value, bool) or not isinstance(value, int | Fraction | float):
            due = "a number or an expression in quotes"
            self.report("wrong-type", *path, due=due, found=shown(value))
            return None
        if self._absurd(value, *path) or isinstance(value, float):
            return None
        return value

    def array(self, key: str, *, required: bool = False) -> tuple[object, ...] | None:
        """A list of anything."""
        value = self.raw(key, required="a list in brackets" if required else None)
        if value is None:
            return None
        if not isinstance(value, list):
            self.wrong(key, "a list in brackets")
            return None
        return tuple(value)

    def texts(self, key: str, *, required: bool = False) -> tuple[str, ...] | None:
        """A list of texts; those that are none are told of and left out."""
        due = "a list of texts in quotes"
        value = self.raw(key, required=due if required else None)
        if value is None:
            return None
        if not isinstance(value, list):
            self.wrong(key, due)
            return None
        found = []
        for index, item in enumerate(value):
            if isinstance(item, str):
                found.append(item)
            else:
                self.wrong(key, "a text in quotes", index)
        return tuple(found)

    # Tables inside this one.

    def table(self, key: str, *, required: bool = False) -> Table | None:
        """A table."""
        value = self.raw(key, required="a table" if required else None)
        if value is None:
            return None
        if not isinstance(value, Mapping):
            self.wrong(key, "a table")
            return None
        return self.inside(value, key)

    def tables(self, key: str) -> tuple[Table, ...]:
        """A list of tables, such as `[[key]]` makes; none where the key is missing."""
        value = self.raw(key)
        if value is None:
            return ()
        if not isinstance(value, list):
            self.wrong(key, f"a list of tables: [[{key}]]")
            return ()
        found = []
        for index, item in enumerate(value):
            if isinstance(item, Mapping):
                found.append(self._listed(item, key, index))
            else:
                self.wrong(key, "a table", index)
        return tuple(found)

    def named_tables(self, key: str) -> dict[str, Table]:
        """Tables by names that the user chooses, such as `[key.NAME]` makes."""
        outer = self.table(key)
        if outer is None:
            return {}
        found = ((name, outer.table(name)) for name in outer.open_keys())
        return {name: table for name, table in found if table is not None}

    def inside(self, values: Mapping[str, object], *path: str | int) -> Table:
        """A table at a path inside this one, for one that stands in a list."""
        in_list = self.called is not None or any(isinstance(part, int) for part in path)
        return self._child(values, path, self.told(*path) if in_list else None)

    def _listed(self, values: Mapping[str, object], key: str, index: int) -> Table:
        """The table at a place of a list of tables: it is called by its name where it has one."""
        name = values.get("name")
        called = f'{key} "{name}"' if isinstance(name, str) and name else f"{key} {index + 1}"
        if self.called is not None:
            called += f" of {self.called}"
        return self._child(values, (key, index), called)

    def _child(self, values: Mapping[str, object], path: KeyPath, called: str | None) -> Table:
        child = Table(values, self.source, self.collector, path=(*self.path, *path), called=called)
        self._children.append(child)
        return child

    def finish(self) -> None:
        """Collect every key that nobody asked for, here and in the tables inside."""
        known = list(self._asked)
        where = f"in {self.told()}" if self.path else "at the top of the file"
        for key in self.values:
            if key in self._asked:
                continue
            # The value of a measure stands at "is".
            near = "is" if key == "value" and "is" in known else likely(key, known, alike=0.5)
            listed = ", ".join(known)
            hint = f'did you mean "{near}"?' if near else f"remove it; known here are: {listed}"
            self.collector.add(
                problem("unknown-key", place=self.place(key), key=key, where=where, hint=hint)
            )
        for child in self._children:
            child.finish()

    def _absurd(self, value: int | Fraction | float, *path: str | int) -> bool:
        if isinstance(value, float):
            absurd = True
        elif isinstance(value, int):
            absurd = value.bit_length() > _MOST_BITS
        else:
            absurd = value.numerator.bit_length() > 8 * _MOST_BITS
        if absurd:
            self.report("unusable-number", *path, found=shown(value))
        return absurd
