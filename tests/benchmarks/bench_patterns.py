"""This module times the three commands that take a person from a pattern to files for a cutter.

Run it with the Python that foldwright is installed in:

    python tests/benchmarks/bench_patterns.py [ROUNDS] [PATTERN...]

For every shipped pattern, or for those named: `new`, `prove` and `export` (SVG and DXF, each read
back) by the command line's own function, in one process that has run them all once before.
Rounds (5 if left out) go through all patterns in turn, and time is the processor's, so that a busy
machine slows all alike and not by much; waiting for the disk is left out.
A line gives the best in ms, their sum as a ratio to the half fold's, which is the yardstick and
should be 2 at most for the median pattern, and how many panels, folds and poses there are to prove.
Read the ratios, not the times.
"""

from __future__ import annotations

import gc
import io
import statistics
import sys
import tempfile
import time
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from foldwright.cli import main as foldwright
from foldwright.design import load_pattern, parse_design
from foldwright.measures import Unit
from foldwright.patterns import starter
from foldwright.plugins import Group, listed
from foldwright.proving import prove_design

YARDSTICK = "half-fold"
AT_MOST = 2.0
COMMANDS = ("new", "prove", "export")


def seconds(*command: str) -> float:
    """The processor time of a command whose words go nowhere.  Raises RuntimeError if it fails."""
    gc.collect()
    said = io.StringIO()
    with redirect_stdout(said), redirect_stderr(said):
        start = time.process_time()
        status = foldwright(list(command))
        taken = time.process_time() - start
    if status:
        raise RuntimeError(f"{' '.join(command)}: {said.getvalue()}")
    return taken


def way(pattern: str) -> tuple[float, ...]:
    """What each of the three commands takes, in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        design = Path(folder, "card.toml")
        return (
            seconds("new", pattern, "--to", str(design)),
            seconds("prove", str(design)),
            seconds("export", str(design), "--tool", "knife", "--to", str(Path(folder, "files"))),
        )


def counted(pattern: str) -> str:
    """The panels, folds and poses of a pattern as it is started."""
    proof = prove_design(parse_design(starter(load_pattern(pattern), pattern, Unit.MM)))
    panels = sum(len(piece.division.panels) for piece in proof.pieces)
    folds = sum(len(piece.division.piece.folds) for piece in proof.pieces)
    return f"{panels:6}  {folds:5}  {len(proof.poses):5}"


def main() -> None:
    """Print a line a pattern, the quickest first, and the median of the ratios."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    shipped = [one.name for one in listed(Group.PATTERNS) if one.distribution == "foldwright"]
    chosen = sys.argv[2:] or shipped
    patterns = [YARDSTICK, *(name for name in chosen if name != YARDSTICK)]
    for pattern in patterns:
        way(pattern)
    taken: dict[str, list[tuple[float, ...]]] = {pattern: [] for pattern in patterns}
    for _ in range(rounds):
        for pattern in patterns:
            taken[pattern].append(way(pattern))
    best = {
        pattern: [min(parts) for parts in zip(*runs, strict=True)]
        for pattern, runs in taken.items()
    }
    yardstick = sum(best[YARDSTICK])
    ratios = {pattern: sum(parts) / yardstick for pattern, parts in best.items()}
    titles = "".join(f"{command:>8}" for command in COMMANDS)
    print(f"{'pattern':24}{titles} ms   ratio  panels  folds  poses")
    for pattern in sorted(patterns, key=ratios.__getitem__):
        parts = "".join(f"{1000.0 * part:8.1f}" for part in best[pattern])
        print(f"{pattern:24}{parts}     {ratios[pattern]:5.2f}  {counted(pattern)}")
    print(f"median ratio {statistics.median(ratios.values()):.2f} (at most {AT_MOST:g})")


if __name__ == "__main__":
    main()
