"""This script measures the kerf pass's geometry against shapely's buffer alone.

    python tests/benchmarks/bench_kerf.py [--outlines N] [--rounds N]

The outlines are rounded rectangles of differing sizes, each of 4 lines and 4
arcs, moved out by half a kerf of 0.1 mm.

- ours, alone: the analytic shift, lines and arcs kept;
- ours, verified: the same and its verification, as the kerf pass runs it;
- ours, many at once: the same outlines in whole columns, as the kerf pass moves them
  where there are some tens;
- ours, trimmed: a fiftieth of the outlines, each with two notches that are narrower than the
  kerf, followed through what they lose and proved (in ms for all outlines, reckoned from
  that fiftieth);
- the same for notched outlines (12 lines and 4 arcs), which are not convex,
  so that the verification has to look at boxes;
- shapely, alone: one vectorised call of `shapely.buffer` (mitred) for all
  outlines, on copies flattened beforehand with a chord tolerance as told.  Its
  error is that of the flattening; a tolerance of 0.1 µm is as exact as what is
  written, 1 µm is the tolerance of the read-back, 50 µm is coarse.

The best of some rounds is printed, in ms for all outlines, and its ratio to
shapely's buffer at 1 µm.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable

import shapely

from foldwright.geometry import Path, Point, Vertex
from foldwright.geometry.offset import offset
from foldwright.geometry.offset_check import flattened, verify
from foldwright.geometry.offset_many import offset_many
from foldwright.geometry.offset_rings import offset_rings

HALF_KERF = 0.05

# One in so many outlines is enough to measure the slow way.
FEWER = 50
QUARTER = math.tan(math.pi / 8.0)
TOLERANCES = (0.05, 1e-3, 1e-4)


def rounded_rectangle(width: float, height: float, radius: float) -> list[Vertex]:
    w, h, r = width, height, radius
    places = (
        (r, 0.0),
        (w - r, 0.0),
        (w, r),
        (w, h - r),
        (w - r, h),
        (r, h),
        (0.0, h - r),
        (0.0, r),
    )
    return [Vertex(Point(*at), QUARTER if i % 2 else 0.0) for i, at in enumerate(places)]


def outlines(count: int, *, notched: bool, wide: float = 3.0) -> list[Path]:
    """`count` outlines, no two of one size; their notches are `wide` mm."""
    found = []
    for i in range(count):
        width, height = 40.0 + (i % 100), 30.0 + (i // 100 % 100)
        vertices = rounded_rectangle(width, height, 2.0 + i % 7)
        if notched:
            # Two notches in the upper side, from right to left.
            for at in (width * 0.6, width * 0.4):
                left, right = at - wide / 2.0, at + wide / 2.0
                notch = ((right, height), (right, height - 5), (left, height - 5), (left, height))
                vertices[-3:-3] = [Vertex(Point(*place)) for place in notch]
        found.append(Path(tuple(vertices), closed=True))
    return found


def best(rounds: int, work: Callable[[], object]) -> float:
    """The shortest of some rounds, in ms."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000.0 * min(times)


def alone(paths: list[Path]) -> None:
    """Every outline is moved, and none kept: memory is not what is measured."""
    for path in paths:
        offset(path, HALF_KERF)


def verified(paths: list[Path]) -> int:
    """How many outlines are moved and found right."""
    good = 0
    for path in paths:
        moved = offset(path, HALF_KERF)
        good += not verify(path, moved, HALF_KERF)
    return good


def trimmed(paths: list[Path]) -> int:
    """How many outlines come through the loss of a feature with true arcs."""
    good = 0
    for path in paths:
        found = offset_rings(path, HALF_KERF)
        good += bool(found.paths and found.changed) and not found.refitted
    return good


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--outlines", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    plain = outlines(asked.outlines, notched=False)
    notched = outlines(asked.outlines, notched=True)
    narrow = outlines(max(1, asked.outlines // FEWER), notched=True, wide=HALF_KERF)
    if trimmed(narrow) != len(narrow):
        raise SystemExit("an outline of the benchmark cannot be trimmed")
    if verified(plain) != len(plain) or verified(notched) != len(notched):
        raise SystemExit("an outline of the benchmark cannot be moved")

    rows: list[tuple[str, float]] = [
        ("ours, alone", best(asked.rounds, lambda: alone(plain))),
        ("ours, verified", best(asked.rounds, lambda: verified(plain))),
        ("ours, many at once", best(asked.rounds, lambda: offset_many(plain, HALF_KERF))),
        (
            "ours, trimmed",
            best(asked.rounds, lambda: trimmed(narrow)) * asked.outlines / len(narrow),
        ),
        (
            "ours, notched, alone",
            best(asked.rounds, lambda: alone(notched)),
        ),
        ("ours, notched, verified", best(asked.rounds, lambda: verified(notched))),
    ]
    against = math.nan
    for tolerance in TOLERANCES:
        flat = shapely.polygons([shapely.LinearRing(flattened(path, tolerance)) for path in plain])
        took = best(
            asked.rounds,
            lambda flat=flat: shapely.buffer(flat, HALF_KERF, join_style="mitre"),  # type: ignore[misc]
        )
        corners = shapely.get_num_coordinates(flat).mean() - 1
        rows.append((f"shapely, {tolerance * 1000:g} µm ({corners:.0f} corners)", took))
        if tolerance == 1e-3:
            against = took
    print(f"{asked.outlines} outlines of 8 primitives (notched: 16), best of {asked.rounds}")
    print(f"{'':32}{'ms':>10}{'ratio':>8}")
    for name, took in rows:
        print(f"{name:32}{took:10.1f}{took / against:8.2f}")


if __name__ == "__main__":
    main()
