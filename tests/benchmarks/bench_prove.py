"""This module times proofs against the import of numpy and shapely.

Run it with the Python that foldwright is installed in:

    python tests/benchmarks/bench_prove.py [RUNS]

For every shipped pattern in both editions, each figure the best of RUNS (11 if
left out), the processes run in turn so that a busy machine slows all alike:

* `call`: one proof by the library, in a process that has imported everything,
* `process`: a whole `foldwright prove`, less a process that imports the command
  line and reads its options,
* `yardstick`: a process that imports numpy and shapely, less a bare one.

The ratio of the call is to be 0.3 at most, the poses flat, open and closed included.
That of the process is printed beside it and is above 2: poses need numpy and the closed
card shapely, which are the yardstick, and our own modules take as long again, most of
it for making their dataclasses.  Up to some hundred folds a proof does without scipy.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

from foldwright.design import load_pattern, parse_design
from foldwright.measures import Unit
from foldwright.patterns import starter
from foldwright.plugins import Group, names
from foldwright.proving import prove_design

AT_MOST = 0.3

# What `foldwright prove` does before it opens the design.
STARTED = (
    "import sys; from foldwright.cli.arguments import chosen_parser; import foldwright.cli.run; "
    "chosen_parser(sys.argv[1:]).parse_args(sys.argv[1:])"
)
BARE = "pass"
LIBRARIES = "import numpy, shapely"


def seconds(command: list[str], cache: str) -> float:
    """The wall time of one run.  Raises CalledProcessError if it fails."""
    # Installed modules are compiled once; a setting that forbids to keep them
    # compiled would time the compiler instead.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(
        command, check=True, capture_output=True, env={**kept, "PYTHONPYCACHEPREFIX": cache}
    )
    return time.perf_counter() - start


def best_of(commands: Mapping[str, list[str]], runs: int, cache: str) -> dict[str, float]:
    """The best time of each command, all run in turn; the first run only fills the cache."""
    best = dict.fromkeys(commands, float("inf"))
    for command in commands.values():
        seconds(command, cache)
    for _ in range(runs):
        for name, command in commands.items():
            best[name] = min(best[name], seconds(command, cache))
    return best


def call_seconds(text: str, runs: int) -> float:
    """The best time of one proof of a design that is read already."""
    design = parse_design(text)
    best = float("inf")
    for _ in range(runs + 1):
        start = time.perf_counter()
        proof = prove_design(design)
        best = min(best, time.perf_counter() - start)
        assert proof.proven
    return best


def main() -> None:
    """Print one line a pattern and edition."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 11
    worst = 0.0
    print(f"{'pattern':24}  {'call':>9}  {'ratio':>5}  {'process':>9}  {'ratio':>5}  yardstick")
    with tempfile.TemporaryDirectory() as folder:
        for name in names(Group.PATTERNS):
            for unit in Unit:
                text = starter(load_pattern(name), name, unit)
                file = Path(folder) / f"{name}-{unit}.toml"
                file.write_text(text, encoding="utf-8")
                arguments = ["prove", str(file)]
                best = best_of(
                    {
                        "process": [sys.executable, "-m", "foldwright", *arguments],
                        "started": [sys.executable, "-c", STARTED, *arguments],
                        "libraries": [sys.executable, "-c", LIBRARIES],
                        "bare": [sys.executable, "-c", BARE],
                    },
                    runs,
                    str(Path(folder) / "cache"),
                )
                yardstick = best["libraries"] - best["bare"]
                process = best["process"] - best["started"]
                call = call_seconds(text, runs)
                worst = max(worst, call / yardstick)
                print(
                    f"{f'{name}, {unit}':24}  {call * 1000:6.2f} ms  {call / yardstick:5.2f}  "
                    f"{process * 1000:6.1f} ms  {process / yardstick:5.2f}  "
                    f"{yardstick * 1000:6.1f} ms"
                )
    print(f"the largest ratio of a call is {worst:.2f} (at most {AT_MOST})")


if __name__ == "__main__":
    main()
