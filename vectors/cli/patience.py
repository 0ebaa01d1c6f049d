"""This module gives a sign of life where a command takes long and a person is waiting."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

# Up to so many seconds nobody wonders.
AFTER_S = 3.0


@contextmanager
def told_if_long(line: str) -> Iterator[None]:
    """Print a line to standard error, once, where the block takes longer and that is a terminal."""
    if not sys.stderr.isatty():
        yield
        return
    from threading import Timer

    timer = Timer(AFTER_S, print, args=(line,), kwargs={"file": sys.stderr, "flush": True})
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
