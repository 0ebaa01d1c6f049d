"""This module prints: problems on standard error, answers on standard output."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterable, Mapping, Sequence

from ..problems import Problem

# The smallest step that is told, in mm: a tenth of a micrometre.
DECIMALS = 4


MOST_LINES = 50
"""More problems than this are counted in place of being printed; JSON has all of them."""


def tell_problems(problems: Iterable[Problem]) -> None:
    """Print problems to standard error, one a line: the first ones, and how many more there are.

    What stops comes before what only warns where not all can be printed.
    """
    told = list(problems)
    if len(told) > MOST_LINES:
        told.sort(key=lambda problem: problem.severity.rank)
    for problem in told[:MOST_LINES]:
        print(problem.line(), file=sys.stderr)
    if len(told) > MOST_LINES:
        print(f"and {len(told) - MOST_LINES:,} more (--json has all of them)", file=sys.stderr)


def findings_json(problems: Iterable[Problem]) -> list[dict[str, object]]:
    """Problems as the list `findings` of every JSON answer."""
    return [
        {
            "rule": problem.rule,
            "severity": str(problem.severity),
            "piece": problem.piece,
            "at": None if problem.at is None else [number(value) for value in problem.at],
            "measure_mm": number(problem.measure_mm),
            "message": problem.message,
            "mend": problem.mend,
            "file": problem.place.file,
            "line": problem.place.line,
        }
        for problem in problems
    ]


def number(value: object) -> int | float | None:
    """A number for JSON: rounded to 0.1 µm, whole where it is whole, null where there is none."""
    if value is None:
        return None
    rounded = round(float(value), DECIMALS)  # type: ignore[arg-type]
    if not math.isfinite(rounded):
        return None
    return int(rounded) if rounded == int(rounded) else rounded


def write_json(answer: Mapping[str, object]) -> None:
    """Print one JSON object.  Only ASCII, so that no terminal setting can spoil it."""
    print(json.dumps(answer, indent=2, ensure_ascii=True, allow_nan=False))


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Lines of text in aligned columns, a head line first; numbers are aligned right."""
    cells = [list(heads), *(list(row) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(heads))]
    right = [
        len(cells) > 1 and all(_is_number(row[i]) for row in cells[1:]) for i in range(len(heads))
    ]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if numeric else cell.ljust(width)
            for cell, width, numeric in zip(row, widths, right, strict=True)
        ).rstrip()
        for row in cells
    )


def _is_number(text: str) -> bool:
    return text[:1].isdigit() or text[:1] == "-"
