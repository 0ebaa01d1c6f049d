"""The facts that were copied with their number are still those of the folder they came from."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent


def facts_of(folder: Path) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for file in sorted(folder.glob("*.toml")):
        with file.open("rb") as stream:
            for fact in tomllib.load(stream).get("fact", []):
                found[fact["id"]] = fact
    return found


def agrees(copy: Any, whole: Any) -> bool:
    """Whether a copy says nothing else; entries of a table may be left out or renamed."""
    if isinstance(copy, dict):
        return all(agrees(copy[key], whole[key]) for key in copy.keys() & whole.keys())
    return bool(copy == whole)


def test_every_copy_names_its_source() -> None:
    copies = facts_of(HERE)
    assert copies
    for number, fact in copies.items():
        assert fact["statement"], number
        assert fact["source"], number


@pytest.mark.facts
def test_the_copies_are_those_of_the_folder(request: pytest.FixtureRequest) -> None:
    folder = facts_of(Path(request.config.getoption("--facts")))
    shared = [
        (number, fact["value"], folder[number]["value"])
        for number, fact in facts_of(HERE).items()
        if "value" in fact and "value" in folder.get(number, {})
    ]
    assert len(shared) > 5
    for number, copy, whole in shared:
        assert agrees(copy, whole), number
