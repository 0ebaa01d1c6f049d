"""This script measures all compile passes but the order of work against shapely's buffer alone.

    python tests/benchmarks/bench_passes.py [--outlines N] [--rounds N] [--only-one] [--profile]

The outlines are rounded rectangles of differing sizes, each of 4 lines and 4
arcs.  They are compiled as the openings of one large piece, and each as a piece
of its own, for a laser of kerf 0.1 mm: without bridges, and with bridges of 0.4 mm
about every 60 mm.

- passes: every pass of the table but the order of work, from the resolved piece
  to the placed drawing, as the export runs them; with the rubbish collector off,
  as `timeit` has it, and the time with it on beside that;
- shapely, alone: one vectorised call of `shapely.buffer` (mitred) for all
  outlines, on copies flattened beforehand with a chord tolerance as told: 1 µm is
  the tolerance of the read-back, 50 µm is coarse.

The best of some rounds is printed, in ms of processor time (so that other work on
the machine counts little), its ratio to shapely's buffer at 1 µm,
and the exponent of its growth from a tenth of the outlines to all of them.  Last
come the nodes: vertices of an arc-rich design, and of its drawing.
"""

from __future__ import annotations

import argparse
import cProfile
import gc
import math
import pstats
import time
from collections.abc import Callable

import shapely
from bench_kerf import rounded_rectangle  # type: ignore[import-not-found]

from foldwright.compiling import CompileOptions, Job
from foldwright.compiling.compile import PASSES
from foldwright.design.pieces import Opening, Piece
from foldwright.drawing import Drawing, Work
from foldwright.geometry import Path, Point, Vector, polygon
from foldwright.geometry.offset_check import flattened
from foldwright.profiles.model import (
    BridgeWay,
    Confidence,
    Figure,
    Profile,
    ScoreWay,
    Tool,
    ToolWay,
)

HALF_KERF = 0.05
TOLERANCES = (0.05, 1e-3)

# The order of work is a search of its own.
LEFT_OUT = {"order"}

# Outlines stand on a grid of this pitch, in mm: the largest is 139 by 129 mm.
ACROSS, UP = 145.0, 135.0


def figure(value: float) -> Figure:
    """A figure of the profile of this benchmark."""
    return Figure(value=value, basis="made up for a benchmark", confidence=Confidence.ESTIMATE)


def profile(*, bridges: bool) -> Profile:
    """A material for a laser, with bridges or none."""
    bridge = BridgeWay(length=figure(0.4), pitch=figure(60.0), clear=figure(5.0))
    way = ToolWay(
        tool=Tool.LASER,
        kerf=figure(2.0 * HALF_KERF),
        score=ScoreWay(
            work=Work.CREASED, inset=figure(0.5), allowance=figure(0.0), shift=figure(0.0)
        ),
        bridge=bridge if bridges else None,
        waste_loose=not bridges,
        tolerance=figure(0.1),
    )
    return Profile(
        name="bench card",
        about="a material for a benchmark",
        grammage=figure(200.0),
        caliper=figure(0.25),
        gives_mm=figure(0.5),
        made_of="paper",
        tools={Tool.LASER: way},
    )


def outlines(count: int) -> list[Path]:
    """`count` rounded rectangles on a grid, no two of one size among 7,000."""
    side = math.ceil(math.sqrt(count))
    found = []
    for i in range(count):
        path = Path(
            tuple(rounded_rectangle(40.0 + i % 100, 30.0 + (i // 100 % 100), 2.0 + i % 7)),
            closed=True,
        )
        found.append(path.moved(Vector(10.0 + ACROSS * (i % side), 10.0 + UP * (i // side))))
    return found


def one_piece(paths: list[Path]) -> list[Piece]:
    """All outlines as openings of one piece."""
    side = math.ceil(math.sqrt(len(paths)))
    width, height = ACROSS * side + 20.0, UP * side + 20.0
    corners = (Point(0.0, 0.0), Point(width, 0.0), Point(width, height), Point(0.0, height))
    openings = tuple(Opening(name=f"opening {i}", path=path) for i, path in enumerate(paths))
    return [Piece(name="sheet", outline=polygon(*corners), openings=openings)]


def single_pieces(paths: list[Path]) -> list[Piece]:
    """Each outline as a piece of its own."""
    return [Piece(name=f"piece {i}", outline=path) for i, path in enumerate(paths)]


def compiled(pieces: list[Piece], material: Profile, spent: dict[str, float]) -> Drawing:
    """The last drawing of some pieces; the seconds of each pass are added to those spent."""
    for piece in pieces:
        job = Job(
            piece=piece,
            profile=material,
            tool=Tool.LASER,
            way=material.tools[Tool.LASER],
            options=CompileOptions(),
        )
        drawing = Drawing(piece=piece.name, title="bench", width=0.0, height=0.0)
        for step in PASSES:
            if step.name in LEFT_OUT:
                continue
            start = time.process_time()
            drawing = step.run(drawing, job).drawing
            spent[step.name] = spent.get(step.name, 0.0) + time.process_time() - start
    return drawing


def best(rounds: int, work: Callable[[], object], *, collecting: bool = False) -> float:
    """The shortest of some rounds, in ms."""
    times = []
    for _ in range(rounds):
        gc.collect()
        if not collecting:
            gc.disable()
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
        gc.enable()
    return 1000.0 * min(times)


def buffer_times(paths: list[Path], rounds: int) -> dict[float, float]:
    """The time of shapely's buffer for each tolerance of the flattening, in ms."""
    found = {}
    for tolerance in TOLERANCES:
        flat = shapely.polygons([shapely.LinearRing(flattened(path, tolerance)) for path in paths])
        found[tolerance] = best(
            rounds,
            lambda flat=flat: shapely.buffer(flat, HALF_KERF, join_style="mitre"),  # type: ignore[misc]
        )
    return found


def print_times(asked: argparse.Namespace) -> None:
    """The table of times, ratios and exponents, and what each pass takes."""
    few, many = outlines(asked.outlines // 10), outlines(asked.outlines)
    yardstick = buffer_times(many, asked.rounds)
    print(f"{asked.outlines} outlines of 8 primitives, best of {asked.rounds}")
    print(f"{'':42}{'ms':>9}{'ratio':>8}{'growth':>8}{'collecting':>12}")
    for tolerance, took in yardstick.items():
        name = f"shapely's buffer alone, {tolerance * 1000:g} µm"
        print(f"{name:42}{took:9.0f}{took / yardstick[1e-3]:8.2f}")
    shares = {}
    shapes = [("openings of one piece", one_piece)]
    if not asked.only_one:
        shapes.append(("single pieces", single_pieces))
    for label, shape in shapes:
        for bridges in (False, True):
            material = profile(bridges=bridges)
            small, large = shape(few), shape(many)
            quick = best(asked.rounds, lambda: compiled(small, material, {}))  # noqa: B023
            took = best(asked.rounds, lambda: compiled(large, material, {}))  # noqa: B023
            slow = best(1, lambda: compiled(large, material, {}), collecting=True)  # noqa: B023
            name = f"{label}, {'bridges' if bridges else 'no bridges'}"
            growth = math.log(took / quick) / math.log(len(many) / len(few))
            ratio = took / yardstick[1e-3]
            print(f"{name:42}{took:9.0f}{ratio:8.2f}{growth:8.2f}{slow:12.0f}")
            spent: dict[str, float] = {}
            gc.disable()
            compiled(large, material, spent)
            gc.enable()
            shares[name] = spent
    print("\nms by pass")
    for name, spent in shares.items():
        rest = 1000.0 * (sum(spent.values()) - spent.get("hazards", 0.0))
        print(f"{name}: {rest / yardstick[1e-3]:.2f} times without hazards")
        told = [f"{step} {1000.0 * took:.0f}" for step, took in spent.items() if took > 0.005]
        print(f"  {', '.join(told)}")


def print_nodes() -> None:
    """The vertices of an arc-rich design, and of its drawing, and how many there may be."""
    paths = outlines(100)
    (piece,) = one_piece(paths)
    before = sum(len(path.vertices) for path in [piece.outline, *paths])
    drawing = compiled([piece], profile(bridges=True), {})
    after = sum(len(stroke.path.vertices) for stroke in drawing.strokes)
    # Every closed line that is left in n runs keeps n bridges.
    bridges = sum(not stroke.path.closed for stroke in drawing.strokes)
    print(f"\nnodes: {before} in the design, {after} in the drawing, {bridges} bridges")
    print(f"at most {before + 2 * bridges}: two more a bridge, and no corner here is rounded")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--outlines", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--only-one", action="store_true", help="leave single pieces out")
    parser.add_argument("--profile", action="store_true", help="print where the time goes")
    asked = parser.parse_args()
    if asked.profile:
        pieces, material = one_piece(outlines(asked.outlines)), profile(bridges=True)
        with cProfile.Profile() as profiler:
            compiled(pieces, material, {})
        pstats.Stats(profiler).sort_stats("tottime").print_stats(30)
        return
    print_times(asked)
    print_nodes()


if __name__ == "__main__":
    main()
