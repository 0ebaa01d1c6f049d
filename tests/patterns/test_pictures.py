"""Pictures of the shipped patterns: kept ones of each, and what must hold of all."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from foldwright.design import load_pattern, parse_design
from foldwright.measures import Unit
from foldwright.patterns import starter
from foldwright.pictures import svg_of
from foldwright.pictures.of_pattern import CLOSED, FLAT, STANDING, PatternPicture, pattern_pictures
from foldwright.proving import Proof, prove_design
from tests.pictures.plain import hold_on_the_page

from .shipped import SHIPPED, edition, shipped

GOLDEN = Path(__file__).parents[1] / "golden" / "patterns"


@cache
def proof_in(name: str, units: Unit) -> Proof:
    """The pattern as it ships, called by its own name."""
    return prove_design(parse_design(starter(load_pattern(name), name, units)))


@cache
def pictures_of(name: str, units: Unit) -> tuple[PatternPicture, ...]:
    return pattern_pictures(proof_in(name, units))


@shipped
def test_kept_pictures(name: str, request: pytest.FixtureRequest) -> None:
    folder = GOLDEN / name
    made = {f"{one.shows}.svg": svg_of(one.picture) for one in pictures_of(name, Unit.MM)}
    if request.config.getoption("--update-goldens"):
        folder.mkdir(parents=True, exist_ok=True)
        for file, data in made.items():
            (folder / file).write_bytes(data)
    assert sorted(path.name for path in folder.iterdir()) == sorted(made)
    for file, data in made.items():
        assert (folder / file).read_bytes() == data, (
            "look at the new picture, then bring it up to date with "
            "pytest tests/patterns/test_pictures.py --update-goldens"
        )


def test_nothing_but_the_pictures_of_patterns_is_kept() -> None:
    assert sorted(path.name for path in GOLDEN.iterdir()) == sorted(SHIPPED)


@edition
def test_each_pattern_has_its_pictures(name: str, units: Unit) -> None:
    folds = any(piece.division.hinges for piece in proof_in(name, units).pieces)
    wanted = [FLAT, CLOSED, STANDING] if folds else [FLAT]
    assert [one.shows for one in pictures_of(name, units)] == wanted


@edition
def test_words_lie_apart_and_on_the_page(name: str, units: Unit) -> None:
    for one in pictures_of(name, units):
        hold_on_the_page(one.picture)


@shipped
def test_the_last_picture_stands_where_the_pattern_does(name: str) -> None:
    own = [one.name for one in proof_in(name, Unit.MM).poses if one.asked is not None]
    shown = [one.pose for one in pictures_of(name, Unit.MM) if one.shows == STANDING]
    assert shown == (["standing"] if "standing" in own else own[:1])
