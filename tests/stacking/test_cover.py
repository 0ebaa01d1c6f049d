"""The cover of the closed card: held to closed forms, to areas, to shapely place by place."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from fractions import Fraction

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import affine_transform

from foldwright.design.pieces import Face, Opening, Piece, Slit
from foldwright.folding.motion import STILL, Motion
from foldwright.geometry import Path, Vertex, line, polygon
from foldwright.measures.exact import MEETS_MM, SLIVER_MM
from foldwright.panels import Assembly, assemble
from foldwright.stacking.cover import Cover, NotFlat, cover_of
from tests.folding.folded_samples import (
    M,
    Sample,
    V,
    accordion,
    apart,
    assembled,
    at,
    bare,
    easel,
    fold,
    glued,
    miura,
    parallel_box,
    rectangle,
    square_twist,
    stair,
    v_fold,
)

from .placed import A, B, box, loose, motion, ring, square
from .stacks import HIGH, closed, closed_cover, strip, strip_places


def areas(cover: Cover) -> tuple[float, float]:
    """The area of all cells times their plies, and that of all footprints."""
    return (
        math.fsum(cell.polygon.area * len(cell.panels) for cell in cover.cells),
        math.fsum(one.polygon.area for one in cover.footprints.values()),
    )


def by_place(cover: Cover, x: float, y: float) -> list[int]:
    """The panels, by number, at a place."""
    here = shapely.Point(x, y)
    found = [cell.panels for cell in cover.cells if cell.polygon.contains(here)]
    assert len(found) <= 1
    return [index for panels in found for _, index in panels]


def moved(assembly: Assembly, key: tuple[str, int], placed: Motion) -> shapely.Polygon:
    """A panel laid down by shapely itself, for straight edges."""
    panel = assembly.divisions[key[0]].panels[key[1]]
    flat = shapely.Polygon(
        [vertex.at.floats() for vertex in panel.ring.vertices],
        [[vertex.at.floats() for vertex in hole.vertices] for hole in panel.holes],
    )
    (a, b, _), (c, d, _), _ = placed.rows
    return affine_transform(flat, (a, b, c, d, *placed.shift[:2]))


def test_panels_that_coincide_make_one_cell() -> None:
    cover = closed_cover(assembled(accordion([20] * 64)))
    (cell,) = cover.cells
    assert cell.panels == tuple(("strip", i) for i in range(64))
    assert cell.polygon.area == pytest.approx(20 * 60, abs=1e-9)
    assert cover.outline.equals(shapely.box(0, 0, 20, 60))
    ups = [one.face_up for one in cover.footprints.values()]
    assert ups == [True, False] * 32


def test_a_short_panel_covers_a_part() -> None:
    cover = closed_cover(assembled(strip([30, 10], [V])))
    assert sorted((cell.panels, cell.polygon.area) for cell in cover.cells) == [
        ((("strip", 0),), 20.0 * HIGH),
        ((("strip", 0), ("strip", 1)), 10.0 * HIGH),
    ]
    assert by_place(cover, 25, 5) == [0, 1]
    assert by_place(cover, 5, 5) == [0]


@given(
    widths=st.lists(st.integers(1, 40).map(lambda n: Fraction(n, 2)), min_size=1, max_size=12),
    place=st.floats(0, 1),
)
@settings(deadline=None, max_examples=60)
def test_plies_of_a_strip_are_counted_by_its_intervals(
    widths: list[Fraction], place: float
) -> None:
    """The running sum of the widths, to and fro, says where each panel lies."""
    cover = closed_cover(assembled(strip(widths, [V] * (len(widths) - 1))))
    spans = strip_places(widths)
    low = float(min(min(ends) for ends in spans))
    high = float(max(max(ends) for ends in spans))
    x = low + place * (high - low)
    if any(abs(x - float(end)) < 0.01 for ends in spans for end in ends):
        return
    expected = [i for i, ends in enumerate(spans) if min(ends) < x < max(ends)]
    assert by_place(cover, x, HIGH / 2) == expected
    assert cover.outline.area == pytest.approx((high - low) * HIGH, abs=1e-6)


@pytest.mark.parametrize(
    "card",
    [
        assembled(stair([30, 20], [40, 25])),
        assembled(miura(6, 5, 60.0)),
        assembled(miura(5, 7, 75.0, a=17.3, b=11.9)),
        assembled(square_twist(20)),
        assembled(square_twist(20, phi=37.0)),
        v_fold().assembly,
        v_fold(40.0, 71.0).assembly,
        parallel_box(30, 50).assembly,
        easel().assembly,
        assembled(bare()),
    ],
)
def test_cells_are_what_shapely_finds_at_any_place(card: Assembly) -> None:
    placed = closed(card)
    cover = cover_of(card, placed)
    assert tuple(cover.footprints) == tuple(
        (name, panel.index) for name, d in card.divisions.items() for panel in d.panels
    )
    panels = {key: moved(card, key, placed[key]) for key in cover.footprints}
    for key, one in cover.footprints.items():
        assert one.polygon.symmetric_difference(panels[key]).area < 1e-6
        assert one.face_up == (placed[key].rows[2][2] > 0.0)
        assert one.placed is placed[key]
    cells, prints = areas(cover)
    assert cells == pytest.approx(prints, abs=1e-3)
    together = shapely.union_all(list(panels.values()), grid_size=1e-6)
    assert cover.outline.symmetric_difference(together).area < 1e-3
    rng = random.Random(4)
    left, bottom, right, top = together.bounds
    seen = 0
    for _ in range(300):
        at = shapely.Point(rng.uniform(left, right), rng.uniform(bottom, top))
        if min(panel.boundary.distance(at) for panel in panels.values()) < 2 * SLIVER_MM:
            continue
        expected = {key for key, panel in panels.items() if panel.contains(at)}
        found = [cell.panels for cell in cover.cells if cell.polygon.contains(at)]
        assert found == ([] if not expected else [tuple(k for k in panels if k in expected)])
        seen += 1
    assert seen > 200


def test_no_two_cells_lie_on_each_other() -> None:
    cover = closed_cover(assembled(miura(6, 5, 60.0)))
    assert len(cover.cells) > 5
    covered = math.fsum(cell.polygon.area for cell in cover.cells)
    assert covered == pytest.approx(cover.outline.area, abs=1e-6)


def test_nothing_lies_in_a_hole_or_a_notch() -> None:
    window = polygon(at(10, 10), at(30, 10), at(30, 30), at(10, 30))
    outline = polygon(
        at(0, 0), at(100, 0), at(100, 25), at(90, 25),
        at(90, 35), at(100, 35), at(100, 60), at(0, 60),
    )  # fmt: skip
    card = assembled(
        Piece(
            name="base",
            outline=outline,
            openings=(Opening(name="window", path=window),),
            folds=(fold("gutter", (50, 0), (50, 60)),),
        )
    )
    cover = closed_cover(card)
    # Shut, the right page lies on the left one, its notch by the left rim.
    assert by_place(cover, 40, 5) == [0, 1]
    assert by_place(cover, 20, 20) == [1]
    assert by_place(cover, 5, 30) == [0]
    assert areas(cover)[1] == pytest.approx(100 * 60 - 20 * 20 - 10 * 10)


def test_holes_that_lie_on_each_other_are_holes_of_the_card() -> None:
    windows = (
        polygon(at(10, 10), at(30, 10), at(30, 30), at(10, 30)),
        polygon(at(80, 20), at(95, 20), at(95, 40), at(80, 40)),
    )
    card = assembled(
        Piece(
            name="base",
            outline=rectangle(100, 60),
            openings=tuple(Opening(name=f"window {i}", path=w) for i, w in enumerate(windows)),
            folds=(fold("gutter", (50, 0), (50, 60)),),
        )
    )
    cover = closed_cover(card)
    # Window 80 to 95 comes to lie at 5 to 20.
    assert cover.outline.area == pytest.approx(50 * 60 - 10 * 10, abs=1e-6)


@pytest.mark.parametrize("radius", [10.0, 25.0])
def test_arcs_are_followed_by_chords(radius: float) -> None:
    bulge = math.tan(math.pi / 8)
    outline = Path(
        (
            Vertex(at(0, 0)),
            Vertex(at(100 - radius, 0), bulge),
            Vertex(at(100, radius)),
            Vertex(at(100, 60)),
            Vertex(at(0, 60)),
        ),
        closed=True,
    )
    cover = closed_cover(
        assembled(Piece(name="base", outline=outline, folds=(fold("g", (50, 0), (50, 60)),)))
    )
    corner = radius * radius * (1.0 - math.pi / 4)
    (single,) = [cell for cell in cover.cells if len(cell.panels) == 1]
    # The chords lie inside of the arc, by MEETS_MM at most.
    allowed = MEETS_MM * radius * math.pi / 2
    assert corner <= single.polygon.area <= corner + allowed


def test_an_arc_that_is_cut_differently_twice_makes_no_cells_by_its_chords() -> None:
    """A round window on itself: on one page it is cut in halves, on the other in thirds."""
    card = assembled(
        Piece(
            name="base",
            outline=rectangle(100, 60),
            openings=(
                Opening(
                    name="halves",
                    path=Path((Vertex(at(15, 30), 1.0), Vertex(at(35, 30), 1.0)), closed=True),
                ),
                Opening(
                    name="thirds",
                    path=Path(
                        tuple(
                            Vertex(at(*place), math.tan(math.radians(120 / 4)))
                            for place in (
                                (85.0, 30.0),
                                (70.0, 30 + 10 * math.sqrt(3) / 2),
                                (70.0, 30 - 10 * math.sqrt(3) / 2),
                            )
                        ),
                        closed=True,
                    ),
                ),
            ),
            folds=(fold("gutter", (50, 0), (50, 60)),),
        )
    )
    cover = closed_cover(card)
    (cell,) = cover.cells
    assert len(cell.panels) == 2
    assert cover.outline.area == pytest.approx(50 * 60 - math.pi * 100, abs=0.2)
    # What the chords leave between each other cracks neither the cell nor the outline.
    assert len(cover.outline.interiors) == 1


@pytest.mark.parametrize("off", [1e-12, 1e-9, 1e-7, 4e-7, 1e-6, 1e-5, 4e-4])
def test_rounding_makes_no_cells(off: float) -> None:
    card = assembled(miura(6, 6, 60.0))
    exact = closed_cover(card)
    rng = random.Random(7)
    shaken = {
        key: Motion(
            one.rows,
            (one.shift[0] + rng.uniform(-off, off), one.shift[1] + rng.uniform(-off, off), 0.0),
        )
        for key, one in closed(card).items()
    }
    cover = cover_of(card, shaken)
    assert sorted(cell.panels for cell in cover.cells) == sorted(
        cell.panels for cell in exact.cells
    )
    assert cover.outline.geom_type == "Polygon"
    assert not cover.outline.interiors
    assert cover.outline.area == pytest.approx(exact.outline.area, abs=400 * max(off, 1e-6))


def test_what_is_wider_than_a_sliver_is_a_cell() -> None:
    card = loose(square(50), square(50))
    for gap, count in ((0.5 * SLIVER_MM, 1), (4 * SLIVER_MM, 3)):
        cover = _held(card, {A: STILL, B: motion(shift=(gap, 0.0, 0.0))})
        assert len(cover.cells) == count


def test_a_sliver_between_panels_does_not_crack_the_outline() -> None:
    card = loose(square(50), square(50))
    for gap in (-0.5 * SLIVER_MM, 0.5 * SLIVER_MM):
        cover = _held(card, {A: STILL, B: motion(shift=(50.0 + gap, 10.0, 0.0))})
        assert [len(cell.panels) for cell in cover.cells] == [1, 1]
        # Paper that laps over by a sliver hangs together; a gap that is open at its ends parts it.
        assert cover.outline.geom_type == ("Polygon" if gap < 0.0 else "MultiPolygon")
        assert cover.outline.area == pytest.approx(5000, abs=0.5)


def _held(card: Assembly, placed: dict[tuple[str, int], Motion]) -> Cover:
    """The cover of two pieces that a joint holds, wherever they lie."""
    joint = glued(
        "seam",
        ("b", "panel 1", Face.BACK, (10, 10), (20, 10)),
        ("a", "panel 1", Face.FRONT, (10, 10), (20, 10)),
    )
    return cover_of(assemble(card.divisions, (joint,)), placed)


def test_glued_pieces_are_part_of_the_card_and_loose_ones_are_not() -> None:
    together = closed_cover(parallel_box(30, 50).assembly)
    assert {piece for piece, _ in together.footprints} == {"base", "strip"}
    assert together.apart == ()
    sample = apart()
    parted = closed_cover(sample.assembly)
    assert {piece for piece, _ in parted.footprints} == {"base"}
    assert parted.apart == (("loose", 0), ("loose", 1))
    alone = closed_cover(Sample(pieces=sample.pieces[:1]).assembly)
    assert [cell.panels for cell in alone.cells] == [cell.panels for cell in parted.cells]


def test_a_card_of_one_panel_is_one_cell() -> None:
    cover = closed_cover(assembled(bare()))
    (cell,) = cover.cells
    assert len(cell.panels) == 1
    assert cell.polygon.area == pytest.approx(100 * 100 - 20 * 20)


def test_no_panel_at_all() -> None:
    cover = cover_of(assembled(bare()), {})
    assert cover.cells == ()
    assert cover.outline.is_empty
    assert dict(cover.footprints) == {}


def test_a_panel_without_area_covers_nothing() -> None:
    card = assembled(strip([30, 10], [V]))
    division = card.divisions["strip"]
    flat = replace(division.panels[1], ring=ring(((30, 0), (40, 0), (35, 0))), area=0.0)
    thin = replace(card, divisions={"strip": replace(division, panels=(division.panels[0], flat))})
    cover = cover_of(thin, closed(thin))
    (cell,) = cover.cells
    assert cell.panels == (("strip", 0),)
    assert cover.footprints["strip", 1].polygon.area == 0.0


def test_a_slit_from_rim_to_rim_of_one_panel_parts_nothing() -> None:
    card = assembled(
        Piece(
            name="plate",
            outline=rectangle(100, 100),
            openings=bare().openings,
            slits=(Slit(name="slit 1", path=line(at(0, 50), at(40, 50))),),
        )
    )
    cover = closed_cover(card)
    assert len(cover.cells) == 1
    assert areas(cover) == pytest.approx((100 * 100 - 20 * 20,) * 2)
    assert all(one.polygon.is_valid for one in cover.footprints.values())


@pytest.mark.parametrize("angle", [90, 175, 1])
def test_a_panel_that_stands_out_is_not_flat(angle: int) -> None:
    card = assembled(accordion([50, 20, 20], [180, angle]))
    with pytest.raises(NotFlat) as caught:
        closed_cover(card)
    assert caught.value.panel == ("strip", 2)
    assert caught.value.height_mm == pytest.approx(20 * math.sin(math.radians(angle)))


def test_a_level_panel_at_another_height_is_not_flat() -> None:
    card = loose(square(50), box(20, 20))
    with pytest.raises(NotFlat):
        _held(card, {A: STILL, B: motion(shift=(0.0, 0.0, 0.1))})
    assert len(_held(card, {A: STILL, B: motion(shift=(0.0, 0.0, 1e-5))}).cells) == 2


def test_a_card_that_lies_turned_over_has_the_same_cells() -> None:
    card = assembled(strip([30, 10, 25], [V, M]))
    over = motion((1.0, 0.0, 0.0), 180.0)
    usual, turned = (
        closed_cover(card),
        cover_of(card, {k: over @ m for k, m in closed(card).items()}),
    )
    assert sorted((cell.panels, round(cell.polygon.area, 6)) for cell in usual.cells) == sorted(
        (cell.panels, round(cell.polygon.area, 6)) for cell in turned.cells
    )
    for key, one in usual.footprints.items():
        assert one.face_up is not turned.footprints[key].face_up
