"""The occasions and their editions, for the tests beside this file."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from foldwright.design import Design, Resolved, parse_design, resolve
from foldwright.occasions import find, names
from foldwright.proving import Proof, prove_design

NAMES = names()


def design(name: str) -> Design:
    """The design that ships under a name."""
    found = find(name)
    assert found is not None
    return parse_design(found.text, f"{name}.toml")


def editions() -> Iterator[tuple[str, str | None]]:
    """Every occasion as it is and in each variant."""
    for name in NAMES:
        yield name, None
        for variant in design(name).variants:
            yield name, variant


EDITIONS = tuple(editions())
edition = pytest.mark.parametrize(("name", "variant"), EDITIONS)
occasion = pytest.mark.parametrize("name", NAMES)


def resolved(name: str, variant: str | None = None, **overrides: str) -> Resolved:
    """An edition, worked out with other values of its measures."""
    return resolve(design(name), overrides=overrides, variant=variant)


def proof(name: str, variant: str | None = None, **overrides: str) -> Proof:
    """The same, proved in the materials that it names."""
    return prove_design(design(name), variant=variant, overrides=overrides)
