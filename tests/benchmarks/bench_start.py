"""This module times whole processes: what a user waits for a help text and for a card's files.

Run it with the Python that foldwright is installed in:

    python tests/benchmarks/bench_start.py [RUNS]

Each line gives the best of RUNS (15 if left out) for the program and for its
yardstick, measured in turn so that a busy machine slows both, and their ratio;
the ratio is to be 1.5 at most.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

DESIGN = Path(__file__).parents[1] / "designs" / "harbour-steps.toml"
PROGRAM = Path(sys.executable).with_name("foldwright")
AT_MOST = 1.5


def seconds(command: list[str]) -> float:
    """The wall time of one run.  Raises CalledProcessError if it fails."""
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start


def compare(title: str, ours: list[str], yardstick: list[str], runs: int) -> float:
    """Print both times and give their ratio."""
    best_ours = best_theirs = float("inf")
    for _ in range(runs):
        best_ours = min(best_ours, seconds(ours))
        best_theirs = min(best_theirs, seconds(yardstick))
    ratio = best_ours / best_theirs
    print(
        f"{title:32}  {best_ours * 1000:7.1f} ms   {yardstick[-1]:32}  {best_theirs * 1000:7.1f} ms"
        f"   ratio {ratio:.2f} (at most {AT_MOST})"
    )
    return ratio


def main() -> None:
    """Print one line a comparison."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    program = [str(PROGRAM)]
    with tempfile.TemporaryDirectory() as folder:
        options = ["--material", "card-200", "--tool", "knife", "--to", folder]
        compare(
            "foldwright export, SVG and DXF",
            [*program, "export", str(DESIGN), *options],
            [sys.executable, "-c", "import shapely, ezdxf, lxml"],
            runs,
        )
    compare(
        "foldwright --help",
        [*program, "--help"],
        [sys.executable, "-c", "import click"],
        runs,
    )


if __name__ == "__main__":
    main()
