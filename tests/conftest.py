"""Settings for all tests: repeatable properties, and the options that lead outside the tree."""

from __future__ import annotations

import pytest
from hypothesis import settings

# The same examples in every run: a property that fails here fails everywhere.
settings.register_profile("foldwright", derandomize=True, deadline=None, max_examples=60)
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


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers", "rsvg_convert: needs the program that --rsvg-convert names; left out without it"
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    # A test whose program is not named is no part of the run: nothing is skipped.
    if config.getoption("--rsvg-convert") is not None:
        return
    left_out = [item for item in items if item.get_closest_marker("rsvg_convert")]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]
