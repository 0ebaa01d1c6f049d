"""This module holds the names that file names are made of."""

from __future__ import annotations

from pathlib import PurePosixPath, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.problems import Place
from foldwright.sources import name_fault, name_problem

GOOD = [
    "base",
    "Harbour steps",
    "back panel 2",
    "Ärmel_1",
    "紙",
    "v1.2",
    "con man",
    "a" * 80,
    "lpt10",
]
BAD = [
    "", "  ", " base", "base ", "a/b", "..", "../a", "a..b", "a\\b", "C:base", ".hidden", "end.",
    "a\nb", "a\x00", "a\u202eb", "a" * 81, "紙" * 70, "CON", "nul", "Com1", "aux.front", "LPT9 ",
    "a*", "a?", 'a"', "a|b", "<a>", "\ud800",
]  # fmt: skip


@pytest.mark.parametrize("name", GOOD)
def test_good_names(name: str) -> None:
    assert name_fault(name) is None
    assert name_problem(name) is None


@pytest.mark.parametrize("name", BAD)
def test_bad_names_are_told_with_their_place(name: str) -> None:
    found = name_problem(name, place=Place(file="card.toml", line=3))
    assert found is not None
    assert found.line().startswith('card.toml:3: stop: "')
    assert found.rule == "unsafe-name"
    assert len(found.message) < 200


@given(st.text(max_size=100))
def test_a_good_name_is_one_part_of_a_path_everywhere(name: str) -> None:
    if name_fault(name) is None:
        for path in (PurePosixPath(f"out/{name}.svg"), PureWindowsPath(f"out/{name}.svg")):
            assert path.parts == ("out", f"{name}.svg")
            assert not path.is_reserved()
        assert len(f"01-{name}-front-unproven.svg".encode()) <= 255
