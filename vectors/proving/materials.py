"""This module finds the material of each stock: the design's own, or the one given for this run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from foldwright.profiles.load import load_material
from foldwright.profiles.model import Profile

from ..design import Design, nearest
from ..design.resolve import EVERY_OTHER_STOCK
from ..problems import Collector, DesignError, FoldwrightError, Place, problem


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
    used = design.variants.get(variant) if variant is not None else None
    own = {} if used is None else used.materials
    beside = _folder(design)
    profiles: dict[str, Profile | None] = {}
    loaded: dict[tuple[str, Path | None], Profile] = {}

    def load(stock: str, name: str | None, folder: Path | None) -> None:
        profiles[stock] = None
        if name is None:
            return
        try:
            key = (name, folder)
            if key not in loaded:
                loaded[key] = load_material(name, beside=folder)
            profiles[stock] = loaded[key]
        except FoldwrightError as error:
            found.extend(error)
            errors.append(type(error))

    errors: list[type[FoldwrightError]] = []
    for stock in _stocks(design):
        if stock in wanted:
            load(stock, wanted[stock], None)
        elif every is not None:
            load(stock, every, None)
        else:
            draft = design.stocks.get(stock)
            load(stock, own.get(stock, None if draft is None else draft.material), beside)
    load(EVERY_OTHER_STOCK, every, None)
    found.raise_if_stopped(errors[0] if errors else DesignError)
    return profiles


def calipers_of(profiles: Mapping[str, Profile | None]) -> dict[str, float]:
    """The paper thickness of each stock in mm, those without a material left out."""
    return {
        stock: profile.caliper.value for stock, profile in profiles.items() if profile is not None
    }


def _stocks(design: Design) -> tuple[str, ...]:
    named = (*(piece.stock for piece in design.pieces), *(mat.stock for mat in design.mats))
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
