"""A sign of life: one line, on a terminal only, and only where the work takes long."""

from __future__ import annotations

import io
import sys
from threading import Event

import pytest

from foldwright.cli import patience


class Screen(io.StringIO):
    """A standard error that may be a terminal, and says when something was printed."""

    def __init__(self, *, terminal: bool) -> None:
        super().__init__()
        self.terminal = terminal
        self.printed = Event()

    def isatty(self) -> bool:
        return self.terminal

    def flush(self) -> None:
        self.printed.set()


def test_a_person_who_waits_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(terminal=True)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr(patience, "AFTER_S", 0.0)
    with patience.told_if_long("still at it"):
        assert screen.printed.wait(60.0)
    assert screen.getvalue() == "still at it\n"


@pytest.mark.parametrize(("terminal", "after"), [(True, 3600.0), (False, 0.0)])
def test_nobody_is_told_of_quick_work_or_in_a_pipe(
    monkeypatch: pytest.MonkeyPatch, terminal: bool, after: float
) -> None:
    screen = Screen(terminal=terminal)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr(patience, "AFTER_S", after)
    with patience.told_if_long("still at it"):
        assert not screen.printed.wait(0.05)
    assert screen.getvalue() == ""
