"""Tests of compiling.place, pretrim, size_bar and cautions: what the page holds."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from foldwright.compiling.size_bar import BARS
from foldwright.drawing import Layer, Role
from foldwright.geometry import Path, Vector, circle, point, union_box
from foldwright.problems import Severity
from foldwright.profiles import LAST_CAUTION, cautions_for, needs_of
from foldwright.writers import WriteOptions
from foldwright.writers.dxf import writer as dxf
from foldwright.writers.svg import writer as svg


def test_a_card_without_kerf_has_a_page_of_exactly_its_size(build: Any) -> None:
    drawing = build.compiled(build.step_card(), build.way(perforation=(2.0, 1.0))).drawing
    assert (drawing.width, drawing.height) == (148.0, 210.0)
    assert drawing.box() == (0.0, 0.0, 148.0, 210.0)


def test_a_piece_that_lies_elsewhere_is_brought_to_the_origin(build: Any) -> None:
    card = build.piece()
    far = replace(card, outline=card.outline.moved(Vector(Fraction(101, 10), Fraction(-333, 10))))
    drawing = build.compiled(far, build.way()).drawing
    assert (drawing.width, drawing.height) == (100.0, 60.0)
    assert drawing.box() == pytest.approx((0.0, 0.0, 100.0, 60.0), abs=1e-9)


def test_the_kerf_makes_the_page_larger_by_its_width(build: Any) -> None:
    drawing = build.compiled(build.piece(), build.way(kerf=0.1)).drawing
    assert (drawing.width, drawing.height) == (100.1, 60.1)


def test_a_pretrimmed_piece_has_no_outline_and_a_page_like_its_blank(build: Any) -> None:
    window = build.opening("window", circle(point(50, 30), Fraction(5)))
    piece = build.piece(openings=(window,), folds=(build.fold("fold 1", (0, 45), (100, 45)),))
    drawing = build.compiled(piece, build.way(kerf=0.2, inset=0.5), pretrimmed=True).drawing
    assert {s.role for s in drawing.strokes} == {Role.REGISTER, Role.FOLD, Role.OPENING}
    assert (drawing.width, drawing.height) == (100.0, 60.0)
    left, bottom, right, top = drawing.on(Layer.CUT)[0].path.box()
    assert ((left + right) / 2, (bottom + top) / 2) == pytest.approx((50.0, 30.0))
    # The score keeps clear of the edge that a hand has cut.
    assert drawing.on(Layer.SCORE)[0].path.box()[0::2] == pytest.approx((0.5, 99.5))


def test_a_pretrimmed_blank_with_nothing_on_it_is_told(build: Any) -> None:
    compiled = build.compiled(build.piece(), build.way(), pretrimmed=True)
    assert [(p.rule, p.severity) for p in compiled.findings] == [("nothing-to-work", Severity.WARN)]
    assert (compiled.drawing.width, compiled.drawing.height) == (100.0, 60.0)


def bars(drawing: Any) -> dict[str, tuple[float, float, float, float]]:
    return {
        bar.name: union_box(path.box() for path in lines_of(drawing, bar.name))
        for bar in BARS
        if lines_of(drawing, bar.name)
    }


def lines_of(drawing: Any, name: str) -> list[Path]:
    return [s.path for s in drawing.on(Layer.MARK) if s.role is Role.SIZE_BAR and s.source == name]


def test_size_bars_are_50_mm_and_2_in(build: Any) -> None:
    """One inch is 25.4 mm: published/units.toml."""
    found = bars(build.compiled(build.piece(), build.way(), size_bar=True).drawing)
    assert {name: box[2] - box[0] for name, box in found.items()} == {
        "50 mm": 50.0,
        "2 in": 2 * 25.4,
    }
    assert {bar.name: bar.length for bar in BARS} == {"50 mm": 50.0, "2 in": 50.8}


def test_size_bars_are_told_apart_without_letters(build: Any) -> None:
    """A tick every 10 mm on one; every half inch, and a double line, on the other."""
    drawing = build.compiled(build.piece(), build.way(), size_bar=True).drawing
    for name, step, count, doubled in (("50 mm", 10.0, 4, 0), ("2 in", 12.7, 3, 1)):
        left, bottom, right, _ = bars(drawing)[name]
        boxes = [path.box() for path in lines_of(drawing, name)]
        ticks = sorted(box[0] - left for box in boxes if box[0] == box[2])
        assert ticks == pytest.approx([step * i for i in range(1, count + 1)])
        across = [box for box in boxes if box[1] == box[3] and (box[0], box[2]) == (left, right)]
        assert len(across) == doubled
        assert all(box[1] > bottom for box in across)
        # One stroke has the bar with its ends; nothing is drawn twice.
        assert len(boxes) == 1 + count + doubled


def test_size_bars_stand_below_the_piece_and_the_page_grows(build: Any) -> None:
    drawing = build.compiled(build.piece(), build.way(), size_bar=True).drawing
    assert (drawing.width, drawing.height) == (100.0, 60.0 + 2 * (5.0 + 3.0))
    card = drawing.on(Layer.CUT)[0].path.box()
    first, second = bars(drawing)["50 mm"], bars(drawing)["2 in"]
    assert card[1] - first[3] == pytest.approx(5.0)
    assert first[1] - second[3] == pytest.approx(5.0)
    assert second[1] == 0.0


@pytest.mark.parametrize("radius", [3, 20])
def test_a_bridge_on_an_outermost_place_does_not_make_the_page_smaller(
    build: Any, radius: int
) -> None:
    """A disc of radius 3 mm at a kerf of 0.12 mm is 6.12 mm either way, bridges or none."""
    piece = build.piece(outline=circle(point(50, 30), Fraction(radius)))
    way = build.way(kerf=0.12, bridge=(0.5, 50.0, 5.0))
    drawing = build.compiled(piece, way).drawing
    strokes = drawing.on(Layer.CUT)
    assert len(strokes) >= 2 and not any(s.path.closed for s in strokes)
    assert (drawing.width, drawing.height) == (2 * radius + 0.12, 2 * radius + 0.12)
    assert drawing.extent == pytest.approx((0.0, 0.0, drawing.width, drawing.height))
    # The centre of the disc is the middle of the page.
    for stroke in strokes:
        for segment in stroke.path.segments:
            assert segment.centre.floats() == pytest.approx((radius + 0.06, radius + 0.06))
    # Programs that open a DXF are told the same page in its header.
    for writer in (dxf, svg):
        read = writer.read_back(writer.write(drawing, WriteOptions()), WriteOptions())
        assert (read.width, read.height) == (2 * radius + 0.12, 2 * radius + 0.12)


def test_a_piece_narrower_than_its_bars_gets_a_wider_page(build: Any) -> None:
    drawing = build.compiled(
        build.piece(outline=build.rectangle(0, 0, 30, 60)), build.way(), size_bar=True
    ).drawing
    assert drawing.width == 50.8
    assert drawing.box() == (0.0, 0.0, 50.8, 76.0)


def test_a_pretrimmed_piece_has_its_bars_below_the_blank(build: Any) -> None:
    piece = build.piece(folds=(build.fold("fold 1", (0, 45), (100, 45)),))
    drawing = build.compiled(piece, build.way(), pretrimmed=True, size_bar=True).drawing
    assert (drawing.width, drawing.height) == (100.0, 76.0)
    assert drawing.on(Layer.SCORE)[0].path.box()[1] == 16.0 + 45.0


def test_without_the_option_there_are_no_bars(build: Any) -> None:
    assert bars(build.compiled(build.piece(), build.way()).drawing) == {}


def test_cautions_of_material_and_tool_reach_the_drawing(build: Any) -> None:
    way = build.way()
    drawing = build.compiled(build.piece(), way).drawing
    assert drawing.cautions == cautions_for(build.profile(way), way.tool, needs_of(way.tool))
    assert {"Paper burns.", "Keep the lid shut."} < set(drawing.cautions)
    assert drawing.cautions[-1] == LAST_CAUTION
