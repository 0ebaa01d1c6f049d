"""This module finds the material of each stock: the design's own, or the one given for this run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from foldwright.profiles.load import load_material, material_files
from foldwright.profiles.model import Profile

from ..design import Design, nearest
from ..design.resolve import EVERY_OTHER_STOCK
from ..problems import Collector, DesignError, FoldwrightError, Place, Problem, problem


def materials_of(
    design: Design, given: Sequence[str], variant: str | None
) -> dict[str, Profile | None]:
    """The profile of each stock by name, None where it has no material.

    `given` are texts such as `card=card-200` for one stock, or a bare
    `card-200` for every stock that is not so named; they come before what the
    design says.  The profile under the empty name serves stocks that the design
    does not list, and pieces without a stock.  A path in the design starts from
    the design's folder, a given one from the current folder.

    Raises DesignError for a stock that is not there, and whatever loading a
    material raises.
    """
    found = Collector()
    wanted, every = _given(design, given, found)
    beside = _folder(design)
    profiles: dict[str, Profile | None] = {}
    loaded: dict[tuple[str, Path | None], Profile] = {}

    def load(stock: str, name: str | None, folder: Path | None, place: Place) -> None:
        profiles[stock] = None
        if name is None:
            return
        try:
            key = (name, folder)
            if key not in loaded:
                loaded[key] = load_material(name, beside=folder)
            profiles[stock] = loaded[key]
        except FoldwrightError as error:
            # What is wrong within a material's file has its place there; a
            # material that is not to be had is told where it is named.
            for one in error.problems:
                nowhere = one.place.line is None
                found.add(_told_at(one, name, place) if nowhere else one)
            errors.append(type(error))

    errors: list[type[FoldwrightError]] = []
    for stock in _stocks(design):
        if stock in wanted:
            load(stock, wanted[stock], None, Place(file=f"--material {stock}={wanted[stock]}"))
        elif every is not None:
            load(stock, every, None, Place(file=f"--material {every}"))
        else:
            name, place = _own_material(design, stock, variant)
            load(stock, name, beside, place)
    load(EVERY_OTHER_STOCK, every, None, Place(file=f"--material {every}"))
    found.raise_if_stopped(errors[0] if errors else DesignError)
    return profiles


def calipers_of(profiles: Mapping[str, Profile | None]) -> dict[str, float]:
    """The paper thickness of each stock in mm, those without a material left out."""
    return {
        stock: profile.caliper.value for stock, profile in profiles.items() if profile is not None
    }


def grammages_of(profiles: Mapping[str, Profile | None]) -> dict[str, float]:
    """The grammage of each stock in g/m², those without a material left out."""
    return {
        stock: profile.grammage.value for stock, profile in profiles.items() if profile is not None
    }


def files_read(design: Design, given: Sequence[str]) -> tuple[Path, ...]:
    """The files of its user that a design comes from: its own, and those of its materials.

    `given` is that of `materials_of`; the materials of every variant are among them.
    """
    own = {draft.material for draft in design.stocks.values()}
    for used in design.variants.values():
        own.update(used.materials.values())
    beside = _folder(design)
    names = [(text, None) for text in given]
    names += [(text.partition("=")[2], None) for text in given if "=" in text]
    found = [] if design.source is None else [Path(design.source.file)]
    for name, folder in (*names, *((name, beside) for name in sorted(filter(None, own)))):
        found += material_files(name, beside=folder)
    return tuple(dict.fromkeys(found))


def _own_material(design: Design, stock: str, variant: str | None) -> tuple[str | None, Place]:
    """The material that the design, or its variant, gives a stock, and where that is written."""
    used = design.variants.get(variant) if variant is not None else None
    source = design.source
    if used is not None and stock in used.materials:
        keys: tuple[str, ...] = ("variant", str(variant), "stock", stock, "material")
        name: str | None = used.materials[stock]
    else:
        draft = design.stocks.get(stock)
        keys = ("stock", stock, "material")
        name = None if draft is None else draft.material
    return name, Place() if source is None else source.place(*keys)


def _told_at(one: Problem, name: str, place: Place) -> Problem:
    """A problem with a material that is not to be had, told where the material is named."""
    message = one.message if name in one.message else f'the material "{name}": {one.message}'
    return replace(one, message=message, place=place)


def _stocks(design: Design) -> tuple[str, ...]:
    named = [*(piece.stock for piece in design.pieces), *(mat.stock for mat in design.mats)]
    if design.envelope is not None:
        named.append(design.envelope.stock)
    return tuple(dict.fromkeys((*design.stocks, *(stock for stock in named if stock is not None))))


def _folder(design: Design) -> Path | None:
    return None if design.source is None else Path(design.source.file).parent


def _given(
    design: Design, given: Sequence[str], found: Collector
) -> tuple[dict[str, str], str | None]:
    wanted: dict[str, str] = {}
    every: str | None = None
    stocks = _stocks(design)
    for text in given:
        stock, equals, name = text.partition("=")
        if not equals:
            every = text
        elif stock in stocks:
            wanted[stock] = name
        else:
            found.add(
                problem(
                    "unknown-stock",
                    place=Place(file=f"--material {text}"),
                    name=stock,
                    hint=nearest(stock, stocks, "stock"),
                )
            )
    return wanted, every


def profile_of(profiles: Mapping[str, Profile | None], stock: str | None) -> Profile | None:
    """The profile of a stock, or that of every stock not named."""
    every = profiles.get(EVERY_OTHER_STOCK)
    return every if stock is None else profiles.get(stock, every)
