"""Pictures of the closed card: what is seen, plies, spill, conflicts, no-foam zones, goldens."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path as FilePath
from typing import Any

import pytest
import shapely

from foldwright.design import parse_design
from foldwright.design.pieces import Face
from foldwright.geometry import Point
from foldwright.pictures import Line, Part, Pen, Picture, Words, pens, svg_of
from foldwright.pictures.boxes import box_of_part, box_of_parts
from foldwright.pictures.closed import Side, Stroke
from foldwright.pictures.closed_drawing import (
    SPILL_MM,
    draw_face,
    draw_plies,
    draw_side,
    draw_through,
)
from foldwright.pictures.closed_page import closed_picture
from foldwright.pictures.shapes import Sheet, hatched
from foldwright.proving import prove_design
from tests.pictures.closed_cards import NAMES, M, V, fresh, proof_of, scene_of, strip
from tests.pictures.plain import hold_plain

GOLDEN = FilePath(__file__).parents[1] / "golden" / "closed"

KEPT = (
    "letter",
    "accordion-spills",
    "crossed-flaps",
    "bench-spills",
    "harbour-steps",
    "square-twist",
    "everything",
)
ORDERED = [name for name in NAMES if name != "crossed-flaps"]


@pytest.fixture
def update(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-goldens"))


def texts(parts: Picture | list[Part]) -> list[str]:
    every = parts.parts if isinstance(parts, Picture) else parts
    found = [part.text for part in every if isinstance(part, Words)]
    return [text.replace("\N{NO-BREAK SPACE}", " ") for text in found]


def said(picture: Picture) -> str:
    """All words, those that were broken into lines joined again."""
    return " ".join(texts(picture))


def lines(parts: list[Part], *wanted: Pen) -> list[Line]:
    return [part for part in parts if isinstance(part, Line) and part.pen in wanted]


def length(parts: list[Part], pen: Pen) -> float:
    return sum(line.path.length for line in lines(parts, pen))


def strokes(side: Side, stroke: Stroke) -> float:
    return sum(float(line.line.length) for line in side.lines if line.stroke is stroke)


def seen(side: Side) -> dict[str, Face]:
    return {panel.name: panel.face for panel in side.panels}


def union(shapes: list[Any]) -> Any:
    return shapely.union_all(shapes, grid_size=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_what_holds_of_every_picture(name: str) -> None:
    data = hold_plain(closed_picture(scene_of(name)))
    assert svg_of(closed_picture(fresh(proof_of(name)))) == data


@pytest.mark.parametrize("name", KEPT)
def test_kept_pictures(name: str, update: bool) -> None:
    data = svg_of(closed_picture(scene_of(name)))
    file = GOLDEN / f"{name}.svg"
    if update:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    assert file.read_bytes() == data, (
        "look at the new picture, then bring it up to date with "
        "pytest tests/pictures --update-goldens"
    )


# What is seen.


@pytest.mark.parametrize("name", ORDERED)
def test_each_side_is_all_covered_by_what_is_seen(name: str) -> None:
    scene = scene_of(name)
    for side in scene.sides:
        shapes = [panel.shape for panel in side.panels]
        assert sum(shape.area for shape in shapes) == pytest.approx(scene.outline.area, rel=1e-9)
        assert union(shapes).symmetric_difference(scene.outline).area < 1e-3
        # What is seen of a panel lies on the panel.
        stack = proof_of(name).closed_stack
        assert stack is not None
        for panel in side.panels:
            there = stack.cover.footprints[panel.key]
            assert panel.shape.difference(there.polygon).area < 1e-3
            assert (panel.face is Face.FRONT) == (there.face_up == side.above)


@pytest.mark.parametrize("name", ORDERED)
def test_every_rim_is_drawn_once(name: str) -> None:
    """The outline and each border between two panels that are seen."""
    scene = scene_of(name)
    for side in scene.sides:
        rims = union([panel.shape.boundary for panel in side.panels])
        drawn = [line.line for line in side.lines if line.stroke is not Stroke.SCORED]
        assert sum(line.length for line in drawn) == pytest.approx(rims.length, abs=0.05)
        assert rims.difference(union(drawn).buffer(2e-3)).length < 0.01


def test_a_letter_shows_two_backs() -> None:
    """Folded in three the last third lies inside: the first one and the middle are seen."""
    above, below = scene_of("letter").sides
    assert (above.above, below.above) == (True, False)
    assert seen(above) == {"panel 2": Face.BACK}
    assert seen(below) == {"panel 1": Face.BACK}
    # Both folds bound the middle third; the first third has one, and open edges all round else.
    assert strokes(above, Stroke.SHUT) == pytest.approx(2 * 210.0)
    assert strokes(below, Stroke.SHUT) == pytest.approx(210.0)
    assert strokes(below, Stroke.EDGE) == pytest.approx(210.0 + 2 * 100.0)


def test_a_zigzag_shows_a_front_and_a_back() -> None:
    above, below = scene_of("zigzag").sides
    assert seen(above) == {"panel 3": Face.FRONT}
    assert seen(below) == {"panel 1": Face.BACK}


def test_backs_are_hatched_and_fronts_are_not() -> None:
    scene = scene_of("zigzag")
    above, below = (draw_side(scene, side, 1.0) for side in scene.sides)
    assert length(above, pens.BACK) == 0.0
    # Lines 1.5 mm apart: as long as the area over their distance, but for the rim.
    assert length(below, pens.BACK) == pytest.approx(60.0 * 90.0 / 1.5, rel=0.02)


def test_from_below_left_and_right_change() -> None:
    scene = scene_of("bench-spills")
    places = []
    for side in scene.sides:
        spill = box_of_parts(lines(draw_side(scene, side, 1.0), pens.SPILL))
        sheet = box_of_parts(lines(draw_side(scene, side, 1.0), pens.PAPER_EDGE))
        places.append((spill[0] - sheet[0], sheet[2] - spill[2]))
    assert places[0] == pytest.approx(places[1][::-1], abs=0.5)
    assert abs(places[0][0] - places[0][1]) > 50.0


@pytest.mark.parametrize("sense", ["valley", "mountain"])
def test_a_fold_that_is_not_turned_is_seen_by_its_sense(sense: str) -> None:
    design = parse_design(strip("Menu", (60, 60), (sense,), 90, "angle = 0\n"))
    above, below = fresh(prove_design(design)).sides
    front, back = Stroke.VALLEY, Stroke.MOUNTAIN
    if sense == "mountain":
        front, back = back, front
    assert strokes(above, front) == pytest.approx(90.0) == strokes(below, back)
    assert strokes(above, back) == strokes(above, Stroke.SHUT) == strokes(below, front) == 0.0


def test_a_line_that_is_only_scored_is_drawn_on_both_sides() -> None:
    for side in scene_of("scored").sides:
        assert strokes(side, Stroke.SCORED) == pytest.approx(90.0)
        assert strokes(side, Stroke.SHUT) == strokes(side, Stroke.VALLEY) == 0.0


def test_names_stand_where_their_panels_are_seen() -> None:
    scene = scene_of("square-twist")
    for side in scene.sides:
        drawn = draw_side(scene, side, 1.0)
        sheet = Sheet(scale=1.0, over=not side.above)
        for panel in side.panels:
            (name,) = [p for p in drawn if isinstance(p, Words) and p.text == panel.name]
            assert shapely.box(*box_of_part(name)).within(sheet.shape(panel.shape))


def test_what_is_glued_on_hides_the_paper() -> None:
    scene = scene_of("everything")
    above = scene.sides[0]
    assert {part.name for part in above.parts} >= {"mat 2"}
    mats = union([part.shape for part in above.parts])
    drawn = draw_side(scene, above, 1.0)
    assert lines(drawn, pens.GLUED_ON)
    for line in lines(drawn, pens.BACK):
        stretch = shapely.LineString([vertex.at.floats() for vertex in line.path.vertices])
        assert stretch.intersection(mats.buffer(-0.05)).length < 0.01


def test_the_size_of_the_closed_card() -> None:
    scene = scene_of("letter")
    assert scene.size == pytest.approx((100.0, 210.0))
    for side in scene.sides:
        assert {"100 mm", "210 mm"} <= set(texts(draw_side(scene, side, 0.5)))
    inch = scene_of("harbour-steps", "inch")
    assert inch.design == "Harbour steps, inch"
    assert {"5 3/4 in", "4 1/8 in"} <= set(texts(draw_side(inch, inch.sides[0], 0.5)))
    assert "lengths in inches" in said(closed_picture(inch))


# Plies.


@pytest.mark.parametrize("name", NAMES)
def test_plies_times_area_is_all_the_paper(name: str) -> None:
    """Each panel lies somewhere once, so the regions hold the areas of all panels."""
    proof, scene = proof_of(name), scene_of(name)
    stack = proof.closed_stack
    assert stack is not None
    paper = sum(
        panel.area
        for piece, division in proof.assembly.divisions.items()
        for panel in division.panels
        if (piece, panel.index) in stack.cover.footprints
    )
    held = sum(region.plies * region.shape.area for region in scene.regions)
    assert held == pytest.approx(paper, abs=0.01 * len(scene.regions))


@pytest.mark.parametrize("name", NAMES)
def test_the_number_of_a_region_is_that_of_its_plies(name: str) -> None:
    scene = scene_of(name)
    stack = proof_of(name).closed_stack
    assert stack is not None
    footprints = [one.polygon for one in stack.cover.footprints.values()]
    for region in scene.regions:
        there = sum(one.intersection(region.shape).area for one in footprints)
        assert region.plies * region.shape.area == pytest.approx(there, abs=0.01)
    drawn, _ = draw_plies(scene, 1.0)
    numbers = [p for p in drawn if isinstance(p, Words) and p.bold and p.text.isdigit()]
    assert numbers
    for number in numbers:
        left, bottom, right, top = box_of_part(number)
        middle = shapely.Point((left + right) / 2.0, (bottom + top) / 2.0)
        (there,) = [region for region in scene.regions if region.shape.contains(middle)]
        assert there.plies == int(number.text)


def test_neighbours_that_are_alike_are_one_region() -> None:
    for one, other in combinations(scene_of("square-twist").regions, 2):
        if (one.plies, one.mm) == (other.plies, other.mm):
            assert one.shape.intersection(other.shape).length < 1e-6
    # Four pleats of three plies, four single corners and the square in the middle.
    plies = sorted(region.plies for region in scene_of("square-twist").regions)
    assert plies == [1, 1, 1, 1, 3, 3, 3, 3, 5]


def test_the_ink_of_a_region_goes_by_its_plies() -> None:
    scene = scene_of("zigzag")
    assert [region.plies for region in scene.regions] == [3]
    halves = [
        replace(scene.regions[0], shape=shapely.box(x, 0.0, x + 30.0, 90.0), plies=plies)
        for x, plies in ((0.0, 2), (30.0, 6))
    ]
    drawn, _ = draw_plies(replace(scene, regions=tuple(halves)), 1.0)
    ink = [0.0, 0.0]
    for line in lines(drawn, pens.PLIES):
        ink[line.path.box()[0] >= 29.99] += line.path.length
    assert ink[1] / ink[0] == pytest.approx(3.0, rel=0.05)


def test_the_thickness_stands_by_the_number() -> None:
    """Paper of 0.23 mm: two, four and six plies."""
    drawn, without = draw_plies(scene_of("harbour-steps"), 0.5)
    found = texts(drawn)
    assert without == 0
    assert {"2", "0.46 mm", "4 plies, 0.92 mm", "thickest: 6 plies, 1.38 mm"} <= set(found)
    assert "6 plies and more" not in found


def test_what_lies_on_the_plies_is_told_where_the_card_is_thickest() -> None:
    """Two plies of 0.23 mm and two mats of 0.15 mm: 0.76 mm, and 1 mm more where a gem lies."""
    text = strip("Gem", (60, 60), (V,), 90)
    text += '[stock.print]\nmaterial = "text-120"\n[[mat]]\non = "strip"\nstock = "print"\n'
    gem = '[[extra]]\non = "strip/panel 1"\nat = [30, 45]\nsize = 10\nheight = "1 mm"\nmass = 0\n'
    for more, told in (
        ("", "2 plies, 2 mats, 0.76 mm"),
        (gem, "2 plies, 2 mats, 1 extra, 1.76 mm"),
    ):
        scene = fresh(prove_design(parse_design(text + more)))
        drawn, _ = draw_plies(scene, 0.5)
        assert f"thickest: {told}" in texts(drawn)


def test_without_a_caliper_plies_alone_are_told() -> None:
    scene = scene_of("no-material")
    assert {region.mm for region in scene.regions} == {None}
    assert scene.thickest is None
    drawn, _ = draw_plies(scene, 0.5)
    assert not [text for text in texts(drawn) if "mm" in text]
    words = said(closed_picture(scene))
    assert "thickness is not known, for want of the caliper of stock card" in words
    assert "thick," not in scene.words[0]


def test_regions_without_room_for_a_number_are_counted() -> None:
    scene = scene_of("harbour-steps")
    many = tuple(
        replace(scene.regions[0], shape=shapely.box(x, 0.0, x + 0.5, 50.0)) for x in range(11)
    )
    drawn, without = draw_plies(replace(scene, regions=many, thickest=None), 1.0)
    assert (len([text for text in texts(drawn) if "plies" in text]), without) == (8, 3)
    picture = closed_picture(replace(scene, regions=many, thickest=None))
    assert "more regions are too small for a number." in said(picture)


# Spill.


def test_the_spill_of_an_accordion() -> None:
    """Leaves of 58 mm outside, of 64 mm next to them: 6 mm on either side past the cover."""
    scene = scene_of("accordion-spills")
    assert [(one.spills, round(one.mm, 6)) for one in scene.sticking] == [(True, 6.0)] * 2
    spills = union([one.shape for one in scene.sticking])
    assert spills.area == pytest.approx(2 * 6.0 * 100.0, abs=1.0)
    for side in scene.sides:
        drawn = draw_side(scene, side, 1.0)
        assert length(drawn, pens.SPILL) * SPILL_MM == pytest.approx(1200.0, rel=0.03)
        # Both edges of the cover, hidden or not.
        assert length(drawn, pens.PASSED) == pytest.approx(200.0, abs=1.0)
        assert len([text for text in texts(drawn) if "6 mm past panel" in text]) == 2
    assert "Sticks out: " in said(closed_picture(scene))


def test_a_spill_is_measured_from_the_edge_to_the_farthest_place() -> None:
    for name in ("accordion-spills", "bench-spills"):
        for one in scene_of(name).sticking:
            assert one.at.distance(one.edge) == pytest.approx(one.mm, abs=0.02)
    (label,) = {
        text
        for text in texts(list(page("bench-spills").parts))
        if text.startswith("bench/") and "past left" in text
    }
    assert label == "bench/panel 1, bench/panel 2: 30 mm past left page"


def test_nothing_sticks_out_of_a_half_that_covers_all() -> None:
    scene = scene_of("letter")
    assert scene.sticking == ()
    assert "Nothing sticks out of panel 1, panel 2." in scene.words
    assert not lines(list(page("letter").parts), pens.SPILL, pens.PASSED, pens.BESIDE)


def test_what_shows_beside_the_cover_is_hatched_thinly() -> None:
    scene = scene_of("bench-spills")
    beside = replace(scene, sticking=tuple(replace(one, spills=False) for one in scene.sticking))
    drawn = draw_side(beside, beside.sides[0], 1.0)
    assert length(drawn, pens.SPILL) == 0.0 < length(drawn, pens.BESIDE)
    assert [text for text in texts(drawn) if "30 mm beside left page" in text]


def test_more_spills_than_a_picture_bears_are_counted() -> None:
    scene = scene_of("bench-spills")
    first = scene.sticking[0]
    many = tuple(
        replace(first, panels=(f"flap {i}",), at=Point(first.at.x, first.at.y + i))
        for i in range(10)
    )
    picture = closed_picture(replace(scene, sticking=many))
    assert "2 more places stick out and have no figure here." in said(picture)


# No order.


def test_panels_in_each_others_way_are_marked() -> None:
    scene = scene_of("crossed-flaps")
    assert scene.sides == ()
    assert scene.in_the_way is not None
    assert [name for name, _ in scene.in_the_way.panels] == ["panel 1", "panel 2", "panel 3"]
    drawn = draw_through(scene, 1.0)
    assert length(drawn, pens.CLASH) == pytest.approx(2 * (120.0 + 90.0 + 120.0))
    assert len(lines(drawn, pens.RING_OF_CLASH)) == 1
    found = set(texts(drawn))
    assert {"in each other's way", "panel 1", "panel 2", "panel 3"} <= found
    words = said(closed_picture(scene))
    assert "No order of its plies is possible: a panel that runs on across a fold" in words
    assert "In each other's way: panel 1, panel 2, panel 3." in words
    # The number of plies needs no order.
    assert sorted(region.plies for region in scene.regions) == [1, 1, 3]


def test_an_order_that_is_not_decided_marks_nothing() -> None:
    scene = replace(scene_of("crossed-flaps"), in_the_way=None)
    assert not lines(draw_through(scene, 1.0), pens.CLASH, pens.RING_OF_CLASH)
    assert length(draw_through(scene, 1.0), pens.THROUGH) > 0.0


# No-foam zones.


def test_no_foam_zones_lie_along_shut_folds() -> None:
    """Foam of 1 mm keeps 1 mm away from the fold, on the two panels and the inner face."""
    scene = scene_of("zigzag")
    assert scene.foam_mm == 1.0
    front, back = scene.faces
    assert (front.face, back.face) == (Face.FRONT, Face.BACK)
    assert front.no_foam.area == pytest.approx(2.0 * 90.0, abs=0.5)
    assert front.no_foam.bounds == pytest.approx((59.0, 0.0, 61.0, 90.0), abs=1e-3)
    assert back.no_foam.bounds == pytest.approx((119.0, 0.0, 121.0, 90.0), abs=1e-3)
    # From the back the piece is turned over, and its valley is a mountain.
    drawn = draw_face(back, 1.0)
    left, _, right, _ = box_of_parts(lines(drawn, pens.NO_FOAM))
    assert (left, right) == pytest.approx((-121.0, -119.0), abs=0.2)
    assert lines(drawn, pens.VALLEY_IN_SPACE)[0].path.box()[0] == pytest.approx(-120.0)


def test_no_foam_zones_on_a_face_that_is_seen_are_hatched() -> None:
    scene = scene_of("zigzag")
    zone = shapely.box(10.0, 10.0, 40.0, 70.0)
    side = replace(scene.sides[0], no_foam=zone)
    drawn = draw_side(replace(scene, sides=(side, scene.sides[1])), side, 1.0)
    rim = 2.0 * (30.0 + 60.0)
    assert length(drawn, pens.NO_FOAM) - rim == pytest.approx(1800.0 / 1.2, rel=0.05)


def test_where_foam_would_break_a_limit_is_hatched_on_what_is_seen() -> None:
    """Paper of 0.23 mm and foam of 1 mm in a card of at most 1.5 mm: not over three plies."""
    text = strip("Menu", (60, 60, 30), (V, M), 90) + "[limits]\nthickness = 1.5\n"
    scene = fresh(prove_design(parse_design(text)))
    assert [(region.plies, region.shape.area) for region in scene.regions] == [
        (2, pytest.approx(30.0 * 90.0)),
        (3, pytest.approx(30.0 * 90.0)),
    ]
    over = next(region.shape for region in scene.regions if region.plies == 3)
    for side in scene.sides:
        assert side.no_foam.symmetric_difference(over).area < 0.01
        assert lines(draw_side(scene, side, 1.0), pens.NO_FOAM)


def test_a_single_sheet() -> None:
    scene = scene_of("single-sheet")
    assert scene.words[0] == "90 mm wide, 60 mm high, 1 ply, up to 0.23 mm thick"
    assert [region.plies for region in scene.regions] == [1]
    assert scene.faces == ()


def test_a_hatching_is_as_long_as_its_area_over_the_spacing() -> None:
    frame = shapely.box(0.0, 0.0, 60.0, 40.0).difference(shapely.box(20.0, 10.0, 40.0, 30.0))
    for slant in (0.0, 20.0, 45.0, 90.0, -60.0):
        total = sum(line.path.length for line in hatched(frame, 0.5, slant, pens.PLIES))
        assert total * 0.5 == pytest.approx(frame.area, rel=0.02)
        for line in hatched(frame, 0.5, slant, pens.PLIES):
            ends = [vertex.at.floats() for vertex in line.path.vertices]
            assert shapely.LineString(ends).within(frame.buffer(1e-6))


def page(name: str) -> Picture:
    return closed_picture(scene_of(name))
