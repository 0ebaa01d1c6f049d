"""Settings for all tests: repeatable properties, and the options that lead outside the tree."""

from __future__ import annotations

from hypothesis import settings

# The same examples in every run: a property that fails here fails everywhere.
settings.register_profile("foldwright", derandomize=True, deadline=None, max_examples=60)
settings.load_profile("foldwright")
