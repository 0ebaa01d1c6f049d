"""Bézier curves and ellipses of a design: fitted with arcs, told in a note ("curve-fitted")."""

from __future__ import annotations

import math

import pytest

from foldwright.design import (
    CurveDraft,
    Design,
    EllipseDraft,
    FoldDraft,
    OpeningDraft,
    PathDraft,
    PieceDraft,
    RectangleDraft,
    Resolved,
    SlitDraft,
    parse_design,
    resolve,
    write_design,
)
from foldwright.geometry import Path, Point
from foldwright.geometry.nearest import nearest
from foldwright.measures.exact import FITTED_MM
from foldwright.problems import DesignError, Severity

Pair = tuple[float, float]

HEAD = """
format = 1
name = "Petal"
units = "mm"

[measures]
reach = 40

[[piece]]
name = "card"
"""

FILE = (
    HEAD
    + """
outline = { path = [[0, 0], [100, 0],
  { curve_to = [100, "reach + 10"], control = [["100 + reach", 25]] }, [0, 50]] }

  [[piece.opening]]
  ellipse = [50, "reach / 2 + 5", "reach / 2", "1 cm"]

  [[piece.slit]]
  points = [[10, 10], { curve_to = [20, 12], control = [[12, 14], [18, 6]] }]
"""
)


def fitted(resolved: Resolved) -> list[str]:
    found = [note for note in resolved.notes if note.rule == "curve-fitted"]
    assert all(note.severity is Severity.NOTE for note in found)
    return [note.message for note in found]


def off(path: Path, places: list[Pair]) -> float:
    return max(nearest(path, Point(*at)).away for at in places)


def test_a_file_may_hold_curves_and_ellipses() -> None:
    resolved = resolve(parse_design(FILE, "petal.toml"))
    piece = resolved.pieces[0]
    shares = [i / 500 for i in range(501)]
    # (1 - t)² a + 2 t (1 - t) b + t² c, and its cubic kin (Bernstein, textbook).
    quadratic = [(100 + 80 * t * (1 - t), 50 * t * (1 - t) + 50 * t * t) for t in shares]
    cubic = [
        (
            10 * (1 - t) ** 3 + 36 * t * (1 - t) ** 2 + 54 * t * t * (1 - t) + 20 * t**3,
            10 * (1 - t) ** 3 + 42 * t * (1 - t) ** 2 + 18 * t * t * (1 - t) + 12 * t**3,
        )
        for t in shares
    ]
    ellipse = [(50 + 20 * math.cos(math.tau * t), 25 + 10 * math.sin(math.tau * t)) for t in shares]
    for path, places in (
        (piece.outline, quadratic),
        (piece.slits[0].path, cubic),
        (piece.openings[0].path, ellipse),
    ):
        assert off(path, places) <= FITTED_MM + 1e-9
    # Under a parabola lie two thirds of its box: 50 by 20.
    assert piece.outline.area == pytest.approx(5000 + 2 / 3 * 50 * 20, abs=0.5)
    assert piece.openings[0].path.area == pytest.approx(math.pi * 200, abs=0.5)


def test_a_note_says_how_many_arcs_stand_for_each_curve() -> None:
    resolved = resolve(parse_design(FILE, "petal.toml"))
    piece = resolved.pieces[0]
    counts = [
        len(piece.outline.segments) - 3,
        len(piece.openings[0].path.segments),
        len(piece.slits[0].path.segments),
    ]
    assert fitted(resolved) == [
        f'the outline of piece "card" has {counts[0]} arcs in place of a curve,'
        " nowhere more than 0.01 mm from it",
        f"opening 1 has {counts[1]} arcs in place of an ellipse, nowhere more than 0.01 mm from it",
        f"slit 1 has {counts[2]} arcs in place of a curve, nowhere more than 0.01 mm from it",
    ]
    assert [note.place.line for note in resolved.notes if note.rule == "curve-fitted"] == [
        13,
        16,
        19,
    ]


def test_what_is_written_reads_back() -> None:
    design = parse_design(FILE, "petal.toml")
    text = write_design(design)
    assert "{ curve_to = [20, 12], control = [[12, 14], [18, 6]] }" in text
    assert 'ellipse = [50, "reach / 2 + 5", "reach / 2", "1 cm"]' in text
    assert parse_design(text, "petal.toml") == design


def piece(**parts: object) -> PieceDraft:
    outline = RectangleDraft(width=100, height=100)
    return PieceDraft(**{"name": "card", "outline": outline, **parts})  # type: ignore[arg-type]


def resolved_piece(**parts: object) -> Resolved:
    return resolve(Design(name="Petal", pieces=[piece(**parts)]))


def test_a_straight_curve_is_one_line_and_needs_no_note() -> None:
    slit = SlitDraft(points=[(10, 10), CurveDraft(curve_to=(40, 25), control=[(20, 15), (30, 20)])])
    resolved = resolved_piece(slits=[slit])
    (segment,) = resolved.pieces[0].slits[0].path.segments
    assert segment.is_line
    assert segment.start.exact
    assert segment.end.exact
    assert fitted(resolved) == []


def test_an_ellipse_of_one_radius_is_a_circle_and_needs_no_note() -> None:
    resolved = resolved_piece(openings=[OpeningDraft(shape=EllipseDraft(at=(50, 50), rx=9, ry=9))])
    assert [vertex.bulge for vertex in resolved.pieces[0].openings[0].path.vertices] == [1.0, 1.0]
    assert fitted(resolved) == []


def test_a_shape_may_close_with_a_curve() -> None:
    """A drop from its tip up, over a cubic, and back to it along a curve that is straight."""
    drop = PathDraft(
        points=[
            (50, 10),
            (60, 40),
            CurveDraft(curve_to=(40, 40), control=[(65, 60), (35, 60)]),
            CurveDraft(curve_to=(50, 10), control=[(45, 25)]),
        ]
    )
    resolved = resolved_piece(openings=[OpeningDraft(shape=drop)])
    path = resolved.pieces[0].openings[0].path
    assert path.closed
    assert path.start.floats() == (50.0, 10.0)
    assert len(fitted(resolved)) == 1
    assert path.segments[-1].is_line
    # A triangle of 20 by 30, and over it the area under the cubic, by trapezia.
    steps = 20000
    x = [
        60 * (1 - t) ** 3 + 195 * t * (1 - t) ** 2 + 105 * t * t * (1 - t) + 40 * t**3
        for t in (i / steps for i in range(steps + 1))
    ]
    height = [60 * t * (1 - t) for t in (i / steps for i in range(steps + 1))]
    over = sum((height[i] + height[i + 1]) / 2 * (x[i] - x[i + 1]) for i in range(steps))
    assert path.area == pytest.approx(300 + over, abs=0.5)


def test_a_fold_along_a_curve_keeps_one_sense_a_written_segment() -> None:
    """As with arcs: the arcs that stand for a curve are its segment's, scored and not folded."""
    curve = CurveDraft(curve_to=(60, 50), control=[(40, 70)])
    fold = FoldDraft(
        points=[(0, 50), (20, 50), curve, (100, 50)], sense=["valley", "mountain", "valley"]
    )
    found = resolved_piece(folds=[fold]).pieces[0].folds[0]
    middle = len(found.path.segments) - 2
    assert middle > 1
    assert found.senses == ("valley", *["mountain"] * middle, "valley")


def test_a_key_that_is_no_key_is_told() -> None:
    text = HEAD + (
        "outline = { rectangle = [100, 100] }\n[[piece.slit]]\n"
        "points = [[1, 2], { curve_to = [3, 4], control = [[2, 2]], controls = [] }]\n"
    )
    with pytest.raises(DesignError) as caught:
        parse_design(text, "petal.toml")
    (problem,) = caught.value.problems
    assert problem.rule == "unknown-key"
    assert "controls" in problem.message


def test_the_wrong_count_of_control_places_is_refused_in_python_too() -> None:
    for control in ([], [(1, 2)] * 3):
        with pytest.raises(DesignError, match="one or two control places"):
            CurveDraft(curve_to=(3, 4), control=control)


def test_an_ellipse_thinner_than_a_line_encloses_no_area() -> None:
    with pytest.raises(DesignError, match="no area"):
        resolved_piece(openings=[OpeningDraft(shape=EllipseDraft(at=(50, 50), rx=9, ry=0.0005))])
