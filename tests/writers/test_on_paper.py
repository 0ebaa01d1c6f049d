"""This module holds what two unlike programs draw of one drawing against each other, on paper.

The DXF file is drawn by the drawing add-on of ezdxf, the SVG file by librsvg, both at
600 dots an inch, layer by layer: every dot that one of them sets must lie within 0.1 mm of a dot of
the other's.
"""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import numpy as np
import pytest
from ezdxf.addons.drawing import config, layout
from ezdxf.addons.drawing import svg as drawing_svg
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.filemanagement import read
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from foldwright.compiling import compile_piece
from foldwright.design import read_design, resolve
from foldwright.design.pieces import Piece
from foldwright.drawing import Drawing, Layer
from foldwright.geometry import Path, Point, Vector, Vertex
from foldwright.profiles import Tool, load_material
from foldwright.writers.dxf import writer as dxf
from foldwright.writers.protocol import DEFAULT_STYLE, WriteOptions
from foldwright.writers.svg import writer as svg

from .drawings import LETTER_F, arc, cut, drawing, mark, score

DESIGNS = FilePath(__file__).parents[1] / "designs"
PER_INCH = 600
PER_MM = PER_INCH / 25.4
WITHIN_MM = 0.1
MARGIN_MM = 10.0
# Every layer black, so that thin lines set dots wherever they lie.
OPTIONS = WriteOptions(style=replace(DEFAULT_STYLE, colours=dict.fromkeys(Layer, "#000000")))

Dots = NDArray[np.bool_]

pytestmark = pytest.mark.rsvg_convert


def rasterised(program: str, svg_file: bytes) -> Dots:
    """The dots that librsvg sets for an SVG file, the top row first."""
    dots = str(PER_INCH)
    made = subprocess.run(
        [program, "-d", dots, "-p", dots, "-b", "white"],
        input=svg_file,
        check=True,
        timeout=120,
        stdout=subprocess.PIPE,
    )
    with Image.open(io.BytesIO(made.stdout)) as picture:
        grey: Dots = np.asarray(picture.convert("L")) < 128
    return grey


def of_svg(program: str, sheet: Drawing) -> Dots:
    return rasterised(program, svg.write(sheet, OPTIONS))


def of_dxf(program: str, sheet: Drawing) -> Dots:
    """The dots of the DXF file as the drawing add-on draws it, on the page of the drawing."""
    document = read(io.StringIO(dxf.write(sheet, OPTIONS).decode()))
    space = document.modelspace()
    width, height = sheet.width, sheet.height
    # The add-on lays the box of all that it draws on the page: a frame makes the two one.
    space.add_lwpolyline([(0, 0), (width, 0), (width, height), (0, height)], close=True)
    backend = drawing_svg.SVGBackend()
    # Dark lines on white whatever the layer's colour; arcs flattened far finer than is judged.
    settings = config.Configuration(
        color_policy=config.ColorPolicy.BLACK,
        background_policy=config.BackgroundPolicy.WHITE,
        lineweight_policy=config.LineweightPolicy.RELATIVE_FIXED,
        max_flattening_distance=0.001,
    )
    Frontend(RenderContext(document), backend, config=settings).draw_layout(space)
    made = backend.get_string(
        layout.Page(width, height, layout.Units.mm, layout.Margins.all(0)),
        settings=layout.Settings(
            fit_page=False,
            # Stroke widths are told in shares of the longer side of the page.
            max_stroke_width=OPTIONS.style.stroke_width / max(width, height),
            fixed_stroke_width=1.0,
        ),
    )
    return rasterised(program, made.encode())


def farthest_mm(first: Dots, second: Dots) -> float:
    """How far the dot of either that lies farthest from all dots of the other lies from them."""
    rows = max(first.shape[0], second.shape[0])
    columns = max(first.shape[1], second.shape[1])
    one, other = (
        np.pad(dots, ((0, rows - dots.shape[0]), (0, columns - dots.shape[1])))
        for dots in (first, second)
    )
    # The frame that only one of them has lies outside the margin.
    rim = round(MARGIN_MM / 2 * PER_MM)
    one, other = one[rim:-rim, rim:-rim], other[rim:-rim, rim:-rim]
    assert one.any() and other.any()
    away = [
        float(ndimage.distance_transform_edt(~to)[of].max())
        for of, to in ((one, other), (other, one))
    ]
    return max(away) / PER_MM


def arcs_and_letter() -> Drawing:
    """No symmetry, arcs both ways round, large and small, on every layer."""
    ring = Path((Vertex(Point(50.0, 60.0), 1.0), Vertex(Point(62.0, 60.0), 1.0)), closed=True)
    return drawing(
        mark(arc((10.0, 12.0), (40.0, 18.0), 0.3)),
        score(arc((12.0, 40.0), (60.0, 30.0), -0.7)),
        score(arc((5.0, 5.0), (75.0, 6.0), 0.02)),
        cut(LETTER_F),
        cut(ring),
        width=80.0,
        height=90.0,
    )


def step_card() -> Drawing:
    """A card with slits and folds as a laser takes it: perforated, with bridges and rounding."""
    piece: Piece = resolve(read_design(DESIGNS / "harbour-steps.toml")).pieces[0]
    made = compile_piece(piece, load_material("card-200"), Tool.LASER, title="steps")
    return made.drawing


SHEETS: dict[str, Callable[[], Drawing]] = {"arcs": arcs_and_letter, "step card": step_card}


def layers() -> list[Any]:
    return [
        pytest.param(make, layer, id=f"{name}, {layer}")
        for name, make in SHEETS.items()
        for layer in Layer
        if make().on(layer)
    ]


def only(sheet: Drawing, layer: Layer) -> Drawing:
    """One layer, in the middle of a page with a margin, so that nothing is cut off at its edges."""
    moved = sheet.moved(Vector(MARGIN_MM, MARGIN_MM))
    return replace(
        moved,
        strokes=moved.on(layer),
        width=sheet.width + 2 * MARGIN_MM,
        height=sheet.height + 2 * MARGIN_MM,
    )


@pytest.mark.parametrize(("make", "layer"), layers())
def test_both_draw_every_layer_on_the_same_places(
    make: Callable[[], Drawing], layer: Layer, request: pytest.FixtureRequest
) -> None:
    program = request.config.getoption("--rsvg-convert")
    sheet = only(make(), layer)
    away = farthest_mm(of_svg(program, sheet), of_dxf(program, sheet))
    assert away <= WITHIN_MM


def test_a_line_that_is_moved_is_seen(request: pytest.FixtureRequest) -> None:
    program = request.config.getoption("--rsvg-convert")
    sheet = only(arcs_and_letter(), Layer.CUT)
    moved = replace(
        sheet,
        strokes=tuple(
            replace(stroke, path=stroke.path.moved(Vector(0.0, 0.15))) for stroke in sheet.strokes
        ),
    )
    assert farthest_mm(of_svg(program, sheet), of_dxf(program, moved)) > WITHIN_MM
