"""Problems are printed one a line, and not by the thousand: JSON has them all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., Any]


def test_thousands_of_problems_are_counted(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "card.toml"
    head = 'format = 1\nname = "Pebble"\nunits = "mm"\n'
    file.write_text(head + "[[piece]]\nname = 3\n" * 2000, encoding="utf-8")
    # Each piece has a wrong name and no outline.
    ran = foldwright("prove", file, "--json")
    assert ran.status == 2
    assert len(ran.json["findings"]) == 4000
    lines = ran.err.splitlines()
    assert len(lines) == 51
    assert lines[-1] == "and 3,950 more (--json has all of them)"


def test_what_stops_is_printed_first_where_not_all_is(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "card.toml"
    measures = "".join(f"spare_{chr(97 + n // 26)}{chr(97 + n % 26)} = {n}\n" for n in range(60))
    file.write_text(
        'format = 1\nname = "Pebble"\nunits = "mm"\n[measures]\n' + measures + "[[piece]]\n"
        'name = "card"\noutline = { rectangle = [100, 150] }\n[[piece.fold]]\n'
        'sense = "valley"\npoints = [[0, 75], [60, 75]]\n',
        encoding="utf-8",
    )
    ran = foldwright("prove", file)
    assert ran.status == 1
    assert ": stop: " in ran.err.splitlines()[0]
    assert len(ran.err.splitlines()) == 51
