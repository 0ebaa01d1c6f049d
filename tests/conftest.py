"""Settings for all tests: repeatable properties, and the options that lead outside the tree."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from foldwright.design import parse_design, resolve
from foldwright.design.pieces import Piece, Resolved

# The same examples in every run: a property that fails here fails everywhere.
# How long drawing an example takes is no matter: a busy machine must not fail a test.
settings.register_profile(
    "foldwright",
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("foldwright")


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("foldwright")
    group.addoption(
        "--update-goldens",
        action="store_true",
        help="write the golden files and the outputs shown in the documentation anew",
    )
    group.addoption(
        "--rsvg-convert",
        metavar="PATH",
        help="this program, librsvg's, measures the drawn size of every SVG too",
    )
    group.addoption(
        "--facts",
        metavar="FOLDER",
        help="the values copied into tests/published are compared with those of this folder too",
    )


# A marker of tests that lead outside the tree, and the option that says where to.
OUTSIDE = {"rsvg_convert": "--rsvg-convert", "facts": "--facts"}


def pytest_configure(config: pytest.Config) -> None:
    for marker, option in OUTSIDE.items():
        config.addinivalue_line("markers", f"{marker}: needs {option}, and is left out without it")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    # A test whose outside is not named is no part of the run: nothing is skipped.
    missing = [marker for marker, option in OUTSIDE.items() if config.getoption(option) is None]
    left_out = [item for item in items if any(map(item.get_closest_marker, missing))]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


PUBLISHED = Path(__file__).parent / "published"


def resolved_of(pieces: str) -> Resolved:
    """The design whose file holds this text after its first lines, worked out."""
    text = f'format = 1\nname = "test card"\nunits = "mm"\n{textwrap.dedent(pieces)}'
    return resolve(parse_design(text))


@pytest.fixture(scope="session")
def piece_of() -> Callable[[str], Piece]:
    """Make a piece from the text of its table, without the table's header."""
    return lambda text: resolved_of(f'[[piece]]\nname = "base"\n{textwrap.dedent(text)}').pieces[0]


@pytest.fixture(scope="session")
def design_of() -> Callable[[str], Resolved]:
    """Make a resolved design from the text after its first lines."""
    return resolved_of
