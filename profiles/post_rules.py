"""This module reads what services of the post ask of a letter, from dated files of rules.

The files that ship lie in the folder `post`; a file of the user's own takes the place of
all of them.  A service has rules on one measure each.  Lengths are mm as bare numbers, masses
grams, or texts with their unit.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType

from foldwright.problems import Collector, DesignError, ProfileError
from foldwright.sources import Source, Table, read_source, shown
from foldwright.sources.lengths import length_at


class Measure(StrEnum):
    """What a rule is about: sides of the face, thickness, mass, or what follows from them.

    `RATIO` is length over height, `SUM` length, height and thickness together,
    `UNEVENNESS` by how much the thickness varies, `LARGER` whether any of several is passed.
    """

    LENGTH = "length"
    HEIGHT = "height"
    THICKNESS = "thickness"
    MASS = "mass"
    RATIO = "ratio"
    SUM = "sum"
    UNEVENNESS = "unevenness"
    LARGER = "larger"

    @property
    def unit(self) -> str:
        """What its numbers are in."""
        return {Measure.MASS: "g", Measure.RATIO: "ratio"}.get(self, "mm")


class Fails(StrEnum):
    """What becomes of a letter that breaks a rule."""

    NO = "no"
    SURCHARGE = "surcharge"


# What a rule may be bound to, or be about in turn.
_PLAIN = (Measure.LENGTH, Measure.HEIGHT, Measure.THICKNESS, Measure.MASS)

GRAMS = MappingProxyType({"g": Fraction(1), "kg": Fraction(1000), "oz": Fraction("28.349523125")})
"""Units of mass; the ounce is a sixteenth of the international pound of 1959, exactly."""

_MASS = re.compile(r"(\d{1,6}(?:\.\d{1,9})?) ?(g|kg|oz)")
_LENGTH_DUE = 'a number of mm, or a text with its unit such as "6 1/8 in"'
_MASS_DUE = 'a number of g, or a text with its unit such as "3.5 oz"'
_DATE_DUE = "a date such as 2023-07-09"


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """What a service asks of one measure: mm, g, or a plain ratio; None where nothing is asked.

    With `if_over` it is asked only of a letter that passes one of those.  `larger_than` belongs
    to `LARGER`: a letter must pass one of those.
    """

    measure: Measure
    least: float | None = None
    most: float | None = None
    fails: Fails = Fails.NO
    if_over: Mapping[Measure, float] = field(default_factory=dict)
    larger_than: Mapping[Measure, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class Service:
    """A service of the post: `tolerance_mm` is what the sides of a letter may be off by.

    `dated` is the day of its rules, as year, month and day.
    """

    name: str
    about: str
    dated: str
    rules: tuple[Rule, ...]
    tolerance_mm: float = 0.0


def shipped_services() -> tuple[Service, ...]:
    """The services of the files that ship, in the order of the files' names."""
    from importlib.resources import as_file, files

    found: list[Service] = []
    with as_file(files("foldwright.profiles").joinpath("post")) as folder:
        for file in sorted(folder.glob("*.toml")):
            found += read_services(read_source(file))
    return tuple(found)


def load_services(path: str | Path) -> tuple[Service, ...]:
    """The services of a file of the user's.

    Raises FileError for a file that cannot be read, ProfileError for one that cannot be used,
    with everything that is wrong in it.
    """
    try:
        source = read_source(Path(path))
    except DesignError as reason:
        # The text is not TOML: here that is a fault of the file of rules.
        raise ProfileError(reason.problems) from None
    return read_services(source)


def read_services(source: Source) -> tuple[Service, ...]:
    """The services that a source describes.  Raises ProfileError with everything wrong in it."""
    found = Collector()
    table = Table(source.table, source, found)
    table.text("name", required=True)
    dated = _date(table)
    # Where the rules come from is for whoever reads the file; they must be said all the same.
    table.text("source", required=True)
    table.text("basis", required=True)
    services: dict[str, Service] = {}
    for inner in table.tables("service"):
        one = _service(inner, dated)
        if one is not None and one.name in services:
            inner.report("post-service-twice", "name", name=one.name)
        elif one is not None:
            services[one.name] = one
    if not services and not found.stopped:
        table.report("missing-key", "service", due="a list of tables: [[service]]")
    table.finish()
    if found.stopped:
        raise ProfileError(found.problems)
    return tuple(services.values())


def _date(table: Table) -> str:
    value = table.raw("dated", required=_DATE_DUE)
    if isinstance(value, date):
        return f"{value:%Y-%m-%d}"
    if value is not None:
        table.wrong("dated", _DATE_DUE)
    return ""


def _service(table: Table, dated: str) -> Service | None:
    name = table.text("name", required=True)
    about = table.text("about")
    tolerance = _amount(table, Measure.LENGTH, table.raw("tolerance"), "tolerance")
    rules = tuple(
        rule for rule in (_rule(inner) for inner in table.tables("rule")) if rule is not None
    )
    if name is None:
        return None
    return Service(
        name=name,
        about=name if about is None else about,
        dated=dated,
        rules=rules,
        tolerance_mm=tolerance or 0.0,
    )


def _rule(table: Table) -> Rule | None:
    measure = table.choice("measure", Measure, required=True)
    fails = table.choice("fails", Fails, Fails.NO)
    table.text("basis")
    table.knows("least", "most", "if_over", "larger_than")
    if measure is None:
        return None
    least, most = (_amount(table, measure, table.raw(key), key) for key in ("least", "most"))
    larger = _passed(table, "larger_than")
    over = _passed(table, "if_over")
    if measure is Measure.LARGER:
        if not larger:
            table.report("missing-key", "larger_than", due="the measures of which one is passed")
    elif "least" not in table and "most" not in table:
        table.report("post-rule-empty")
    return Rule(
        measure=measure, least=least, most=most, fails=fails, if_over=over, larger_than=larger
    )


def _passed(table: Table, key: str) -> Mapping[Measure, float]:
    inner = table.table(key)
    if inner is None:
        return MappingProxyType({})
    found = {}
    for measure in _PLAIN:
        amount = _amount(inner, measure, inner.raw(measure.value), measure.value)
        if amount is not None:
            found[measure] = amount
    return MappingProxyType(found)


def _amount(table: Table, measure: Measure, value: object, key: str) -> float | None:
    """The amount at a key in mm, g or plain; None where there is none, or where it is wrong."""
    if value is None:
        return None
    due = {"g": _MASS_DUE, "ratio": "a number"}.get(measure.unit, _LENGTH_DUE)
    if isinstance(value, str) and measure.unit == "mm":
        length = length_at(table, value, due, key)
        if length is None or length >= 0.0:
            return length
    if isinstance(value, str) and measure.unit == "g":
        mass = _MASS.fullmatch(value.strip())
        if mass is not None:
            return float(Fraction(mass[1]) * GRAMS[mass[2]])
    elif not isinstance(value, str):
        number = table.number(key)
        if number is None or number >= 0:
            return None if number is None else float(number)
    table.report("wrong-type", key, due=due, found=shown(value))
    return None
