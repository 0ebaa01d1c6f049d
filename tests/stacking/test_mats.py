"""The shapes of mats on panels, against closed forms and against shapely."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Face, Mat, Opening, Piece
from foldwright.geometry import Path, Point, Vertex, circle
from foldwright.geometry.offset_check import flattened
from foldwright.panels import Panel, divide
from foldwright.stacking.mats import MatShape, inset, mat_shapes, unknown_panels
from tests.stacking.dressed import PLATE, card
from tests.stacking.placed import box, ring

MAT = Mat(name="mat 1", piece="card", panels=None, face=Face.FRONT, margin=0.0)


def panel_of(outline: Path, *holes: Path) -> Panel:
    openings = tuple(Opening(name=f"hole {i}", path=hole) for i, hole in enumerate(holes))
    division = divide(Piece(name="card", outline=outline, openings=openings))
    assert division.problems == ()
    return division.panels[0]


def shape_of(panel: Panel, margin: float) -> MatShape:
    outlines, openings = inset(panel, margin)
    return MatShape(mat=MAT, panel=("card", 0), margin=margin, outlines=outlines, openings=openings)


def test_a_rectangle_loses_the_margin_on_all_sides() -> None:
    shape = shape_of(panel_of(box(100, 60, 10, 20)), 3)
    assert shape.area == pytest.approx(94 * 54, abs=1e-9)
    assert shape.centroid.floats() == pytest.approx((60, 50))
    assert [len(path.vertices) for path in shape.outlines] == [4]
    assert shape.outlines[0].box() == pytest.approx((13, 23, 107, 77))


def test_without_a_margin_a_mat_is_as_large_as_its_panel() -> None:
    panel = panel_of(box(100, 60), circle(Point(50.0, 30.0), 10.0))
    shape = shape_of(panel, 0.0)
    assert shape.area == pytest.approx(panel.area, rel=1e-14)
    assert shape.area == pytest.approx(6000 - 100 * math.pi, rel=1e-12)


def test_an_opening_is_kept_clear_as_well() -> None:
    """A disc with a hole beside its middle: the hole pulls the centroid to the other side."""
    panel = panel_of(circle(Point(0.0, 0.0), 40.0), circle(Point(10.0, 0.0), 8.0))
    shape = shape_of(panel, 2)
    assert shape.area == pytest.approx(math.pi * (38**2 - 10**2), rel=1e-12)
    assert shape.centroid.floats() == pytest.approx((-10 * 10**2 / (38**2 - 10**2), 0), abs=1e-9)
    assert (len(shape.outlines), len(shape.openings)) == (1, 1)
    assert all(not segment.is_line for segment in shape.outlines[0].segments)


@pytest.mark.parametrize("margin", [2.0, 3.0, 5.0])
def test_rounded_corners_up_to_the_margin_become_sharp(margin: float) -> None:
    """Of a corner of 3 mm an arc of 1 mm is left inside a margin of 2 mm, of 3 mm on none."""
    bulge, r = math.tan(math.pi / 8), 3.0
    w, h = 100.0, 60.0
    corners = [
        ((r, 0), 0.0), ((w - r, 0), bulge), ((w, r), 0.0), ((w, h - r), bulge),
        ((w - r, h), 0.0), ((r, h), bulge), ((0, h - r), 0.0), ((0, r), bulge),
    ]  # fmt: skip
    rounded = Path(tuple(Vertex(Point(*map(float, at)), b) for at, b in corners), closed=True)
    shape = shape_of(panel_of(rounded), margin)
    left = max(0.0, r - margin)
    assert shape.area == pytest.approx(
        (w - 2 * margin) * (h - 2 * margin) - (4 - math.pi) * left**2, abs=1e-8
    )
    assert len(shape.outlines[0].segments) == (8 if left else 4)


def test_a_corner_that_points_into_the_mat_stays_sharp() -> None:
    """An L of two arms 40 wide, 100 and 80 long."""
    panel = panel_of(ring(((0, 0), (100, 0), (100, 40), (40, 40), (40, 80), (0, 80))))
    shape = shape_of(panel, 5)
    assert shape.area == pytest.approx(90 * 30 + 30 * 40, abs=1e-9)
    assert len(shape.outlines[0].vertices) == 6


def test_where_sides_vanish_the_margin_is_kept_all_round() -> None:
    """Two plates with a narrow neck between them part into two mats."""
    neck = ring(
        (
            (0, 0), (40, 0), (40, 18), (60, 18), (60, 0), (100, 0),
            (100, 40), (60, 40), (60, 22), (40, 22), (40, 40), (0, 40),
        )
    )  # fmt: skip
    shape = shape_of(panel_of(neck), 3)
    assert len(shape.outlines) == 2
    assert shape.area == pytest.approx(2 * 34 * 34, abs=1e-6)
    whole = shapely.union_all([shapely.Polygon(flattened(path)) for path in shape.outlines])
    rim = shapely.Polygon(flattened(neck)).exterior
    assert whole.distance(rim) == pytest.approx(3, abs=1e-3)


def test_an_opening_near_the_rim_is_not_closed_over() -> None:
    """The hole of 10 mm comes within 4 mm of the rim: the margins of both run into each other."""
    panel = panel_of(box(100, 60), circle(Point(14.0, 30.0), 10.0))
    shape = shape_of(panel, 3)
    known = shapely.Polygon(flattened(box(100, 60)), [flattened(circle(Point(14.0, 30.0), 10.0))])
    known = known.buffer(-3, quad_segs=256)
    assert shape.openings == ()
    assert shape.area == pytest.approx(known.area, abs=0.01)


def test_nothing_is_left_of_a_panel_less_than_two_margins_wide() -> None:
    assert inset(panel_of(box(100, 10)), 5) == ((), ())
    assert inset(panel_of(box(100, 10)), 6) == ((), ())
    assert inset(panel_of(circle(Point(0.0, 0.0), 4.0)), 5) == ((), ())
    assert shape_of(panel_of(box(100, 10)), 4.9).area == pytest.approx(90.2 * 0.2)
    # What the hole leaves is a rim of 10 mm.
    frame = panel_of(box(60, 60), box(40, 40, 10, 10))
    assert shape_of(frame, 4).area == pytest.approx(52**2 - 48**2, abs=1e-8)
    assert inset(frame, 5) == ((), ())


FOLDED = (
    PLATE
    + """
  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [[40, 0], [40, 60]]
  [[piece.panel]]
  name = "page"
  at = [5, 5]
"""
)


def test_a_mat_lies_on_the_panels_that_it_names_or_on_all() -> None:
    mats = '[[mat]]\non = "card"\nmargin = 2\n[[mat]]\non = "card"\npanels = ["panel 1"]\n'
    assembly, resolved = card(FOLDED + mats)
    shapes = mat_shapes(assembly, resolved.mats)
    assert [(shape.mat.name, shape.panel) for shape in shapes] == [
        ("mat 1", ("card", 0)),
        ("mat 1", ("card", 1)),
        ("mat 2", ("card", 1)),
    ]
    # The margin is kept from the fold as well.
    assert [shape.area for shape in shapes] == pytest.approx([36 * 56, 56 * 56, 54 * 54])
    assert [shape.margin for shape in shapes] == [2, 2, 3]
    assert tuple(unknown_panels(assembly, resolved.mats, resolved.extras)) == ()


def test_panels_that_are_not_there_are_found() -> None:
    mats = '[[mat]]\non = "card"\npanels = ["panel 9", "page"]\n[[extra]]\non = "card/panel 2"\n'
    assembly, resolved = card(FOLDED + mats)
    assert [shape.panel for shape in mat_shapes(assembly, resolved.mats)] == [("card", 0)]
    # A panel that has a name has no number.
    missing = [(part.name, name) for part, name in unknown_panels(
        assembly, resolved.mats, resolved.extras
    )]  # fmt: skip
    assert missing == [("mat 1", "panel 9"), ("extra 1", "panel 2")]


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.floats(15, 50), st.floats(0.3, 1)), min_size=3, max_size=9),
    st.floats(0.1, 12),
)
def test_every_inset_is_that_of_shapely(spokes: list[tuple[float, float]], margin: float) -> None:
    """Straight sides; corners that point in stay sharp, where shapely is asked to mitre them."""
    whole = sum(share for _, share in spokes)
    angle, corners = 0.0, []
    for reach, share in spokes:
        corners.append((reach * math.cos(angle), reach * math.sin(angle)))
        angle += 2 * math.pi * share / whole
    shape = shapely.Polygon(corners)
    if not shape.is_valid or shape.area < 100 or not shape.exterior.is_ccw:
        return
    division = divide(Piece(name="card", outline=ring(corners)))
    if division.problems:
        return
    found = shape_of(division.panels[0], margin)
    least = shape.buffer(-margin, join_style="mitre", mitre_limit=20.0).area
    most = shape.buffer(-margin, quad_segs=256).area
    assert least - 0.01 <= found.area <= most + 0.01
