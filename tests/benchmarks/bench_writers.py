"""This module times our writers against the libraries that a writer could be made of.

Run it with the Python that foldwright is installed in:

    python tests/benchmarks/bench_writers.py [RUNS]

For 100, 1,000 and 10,000 strokes a line tells the best of RUNS (5 if left out):
our SVG against lxml alone, which builds the same elements and serialises them;
our DXF against ezdxf alone, which adds the same polylines and writes them; each
with the read-back that every export makes, and without.  All run in turn in
one process, so a busy machine slows both; read the ratios, not the times.
"""

from __future__ import annotations

import gc
import io
import sys
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import ezdxf
from ezdxf import units
from lxml import etree

from foldwright.drawing import Drawing, Layer, Role, Stroke, Work
from foldwright.geometry import Path, Point, Vertex
from foldwright.writers import WriteOptions, Writer, differences
from foldwright.writers.dxf import writer as dxf
from foldwright.writers.svg import writer as svg

OPTIONS = WriteOptions()
SVG = "http://www.w3.org/2000/svg"
COLUMNS = 100
PITCH = 20.0


def strokes(count: int) -> Drawing:
    """A drawing of `count` strokes: slits, scores and shapes of lines and arcs in equal shares."""
    found: list[Stroke] = []
    for number in range(count):
        row, column = divmod(number, COLUMNS)
        x, y = column * PITCH + 1 / 3, row * PITCH + 1 / 7
        kind = number % 4
        if kind == 0:
            path = Path((Vertex(Point(x, y)), Vertex(Point(x + 12.0, y))))
        elif kind == 1:
            path = Path(tuple(Vertex(Point(x + i * 3.0, y + i % 2)) for i in range(5)))
        elif kind == 2:
            corners = ((0.0, 0.0), (12.0, 0.0), (12.0, 9.0), (6.0, 14.0), (0.0, 9.0))
            path = Path(tuple(Vertex(Point(x + dx, y + dy)) for dx, dy in corners), closed=True)
        else:
            turns = ((0.0, 0.0, 0.0), (12.0, 0.0, 0.4), (12.0, 9.0, 0.0), (0.0, 9.0, -0.3))
            path = Path(tuple(Vertex(Point(x + dx, y + dy), b) for dx, dy, b in turns), closed=True)
        layer, work = (
            (Layer.CUT, Work.THROUGH)
            if path.closed or number % 8 == 0
            else (Layer.SCORE, Work.CREASED)
        )
        found.append(
            Stroke(path=path, layer=layer, work=work, piece="b", source="s", role=Role.SLIT)
        )
    height = (count // COLUMNS + 1) * PITCH
    return Drawing(
        piece="b", title="many", width=COLUMNS * PITCH, height=height, strokes=tuple(found)
    )


def with_lxml(drawing: Drawing) -> bytes:
    """The same SVG through lxml: its tree, its serialiser, its escaping."""
    width, height = f"{drawing.width:g}", f"{drawing.height:g}"
    root = etree.Element(f"{{{SVG}}}svg", nsmap={None: SVG})
    root.set("width", f"{width}mm")
    root.set("height", f"{height}mm")
    root.set("viewBox", f"0 0 {width} {height}")
    groups: dict[Layer, Any] = {}
    for layer in Layer:
        groups[layer] = etree.SubElement(root, f"{{{SVG}}}g", id=layer.value)
    for stroke in drawing.strokes:
        element = etree.SubElement(groups[stroke.layer], f"{{{SVG}}}path")
        element.set("fill", "none")
        element.set("stroke", OPTIONS.style.colours[stroke.layer])
        element.set("stroke-width", "0.1")
        element.set("d", _d(stroke.path, drawing.height))
    data: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8")
    return data


def _d(path: Path, top: float) -> str:
    # The numbers have to be formatted whoever writes them; arcs are left whole.
    x, y = path.start.floats()
    parts = [f"M {x:.4f} {top - y:.4f}"]
    for segment in path.segments:
        x, y = segment.end.floats()
        if segment.is_line:
            parts.append(f"L {x:.4f} {top - y:.4f}")
        else:
            radius = f"{segment.radius:.4f}"
            sweep = 0 if segment.bulge > 0.0 else 1
            parts.append(f"A {radius} {radius} 0 0 {sweep} {x:.4f} {top - y:.4f}")
    if path.closed:
        parts.append("Z")
    return " ".join(parts)


def with_ezdxf(drawing: Drawing) -> str:
    """The same DXF through ezdxf: its document, its entities, its writer."""
    document = ezdxf.new("R2000", units=units.MM)  # type: ignore[attr-defined]
    for layer in Layer:
        document.layers.add(layer.upper(), color=OPTIONS.style.indices[layer])
    space = document.modelspace()
    for stroke in drawing.strokes:
        space.add_lwpolyline(
            [(*vertex.at.floats(), vertex.bulge) for vertex in stroke.path.vertices],
            format="xyb",
            close=stroke.path.closed,
            dxfattribs={"layer": stroke.layer.upper()},
        )
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def with_read_back(writer: Writer, drawing: Drawing) -> None:
    """Write, read back and compare, as every export does.  Raises ValueError for a difference."""
    read = writer.read_back(writer.write(drawing, OPTIONS), OPTIONS)
    if differences(drawing, read, largest_sweep=writer.largest_sweep):
        raise ValueError("the file does not read back the same")


def best(runs: int, *calls: Callable[[], object]) -> list[float]:
    """The best time of each call in seconds, measured in turn."""
    found = [float("inf")] * len(calls)
    for _ in range(runs):
        for number, call in enumerate(calls):
            gc.collect()
            start = time.perf_counter()
            call()
            found[number] = min(found[number], time.perf_counter() - start)
    return found


PAIRS: tuple[tuple[str, Writer, Callable[[Drawing], object]], ...] = (
    ("svg", svg, with_lxml),
    ("dxf", dxf, with_ezdxf),
)


def main() -> None:
    """Print the table."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    titles = f"{'strokes':>8}{'write':>12}{'library':>12}{'ratio':>8}{'with read-back':>16}"
    print(f"{'':8}{titles}{'ratio':>8}")
    for count in (100, 1_000, 10_000):
        drawing = strokes(count)
        for name, writer, library in PAIRS:
            ours, theirs, both = best(
                runs,
                partial(writer.write, drawing, OPTIONS),
                partial(library, drawing),
                partial(with_read_back, writer, drawing),
            )
            print(
                f"{name:8}{count:>8}{ours * 1000:>9.1f} ms{theirs * 1000:>9.1f} ms"
                f"{ours / theirs:>8.2f}{both * 1000:>13.1f} ms{both / theirs:>8.2f}"
            )


if __name__ == "__main__":
    main()
