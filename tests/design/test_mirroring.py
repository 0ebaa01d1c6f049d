"""Mirrored editions: what is mirrored, what stays, and that the folded card is the mirror image."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import parse_design, read_design, resolve, write_design
from foldwright.design.mirroring import mirrored, mirrored_edition
from foldwright.design.pieces import Resolved
from foldwright.folding import Verdict
from foldwright.geometry import Point, circle, line, point, polygon
from foldwright.lettering import set_text
from foldwright.panels import divide
from foldwright.proving import Proof, prove_design
from foldwright.proving.prove import prove

DESIGNS = Path(__file__).parents[1] / "designs"
HARBOUR = DESIGNS / "harbour-steps.toml"
SHEET = (point(0, 0), point(148, 0), point(148, 210), point(0, 210))
EVERYTHING = DESIGNS / "everything.toml"


def exact(resolved: Resolved) -> list[Point]:
    """Every place of a resolved design."""
    paths = [
        path
        for piece in resolved.pieces
        for path in (
            piece.outline,
            *(one.path for part in (piece.openings, piece.slits, piece.folds) for one in part),
            *piece.hide_bridges,
        )
    ]
    return [vertex.at for path in paths for vertex in path.vertices]


def test_a_step_card_mirrored() -> None:
    (piece,) = mirrored(resolve(read_design(HARBOUR))).pieces
    (slit,) = piece.slits
    # 50 mm from the left edge of a sheet of 148 mm: 98 mm from it in the mirror.
    assert slit.path.vertices[0].at == point(98, 45)
    assert slit.path.vertices[1].at == point(98, 175)
    folds = {fold.name: fold for fold in piece.folds}
    assert (folds["gutter"].path.start, folds["gutter"].path.end) == (
        point(148, 105),
        point(98, 105),
    )
    assert (folds["steps 2"].path.start, folds["steps 2"].path.end) == (
        point(98, 145),
        point(0, 145),
    )
    assert [str(folds[f"steps {n}"].senses[0]) for n in range(1, 6)] == [
        "valley",
        "mountain",
    ] * 2 + ["valley"]
    assert piece.outline.area > 0.0
    assert piece.panel_names[0].at == point(5, 5)
    assert piece.outline.box() == (0.0, 0.0, 148.0, 210.0)


@pytest.mark.parametrize(
    "name",
    [
        "everything",
        "harbour-steps",
        "easel",
        "glued-box",
        "parallel-box",
        "square-twist",
        "strut",
    ],
)
def test_mirrored_twice_is_the_design_again(name: str) -> None:
    resolved = resolve(read_design(DESIGNS / f"{name}.toml"))
    once = mirrored(resolved)
    assert once.mirrored
    assert once != resolved
    assert mirrored(once) == resolved


def test_what_is_no_fraction_comes_back_but_for_the_last_digit() -> None:
    resolved = resolve(read_design(DESIGNS / "v-fold-popup.toml"))
    assert not all(at.exact for at in exact(resolved))
    again = mirrored(mirrored(resolved))
    for one, other in zip(exact(again), exact(resolved), strict=True):
        assert one.floats() == pytest.approx(other.floats(), abs=1e-12)


@settings(deadline=None)
@given(
    x=st.fractions(-50, 50, max_denominator=64),
    radius=st.fractions(Fraction(1, 8), 40, max_denominator=64),
    view=st.fractions(-720, 720, max_denominator=8),
    grain=st.fractions(-360, 360, max_denominator=8),
)
def test_any_numbers_come_back(
    x: Fraction, radius: Fraction, view: Fraction, grain: Fraction
) -> None:
    base = resolve(read_design(HARBOUR))
    piece = replace(base.pieces[0], outline=circle(Point(x, Fraction(3)), radius), grain=grain)
    resolved = replace(
        base, pieces=(piece,), poses=tuple(replace(pose, view=view) for pose in base.poses)
    )
    assert mirrored(mirrored(resolved)) == resolved
    # The box stays where it is.
    assert mirrored(resolved).pieces[0].outline.box() == pytest.approx(
        piece.outline.box(), abs=1e-6
    )


def test_fractions_stay_fractions() -> None:
    resolved = resolve(read_design(HARBOUR), overrides={"width": "443/3 mm", "strip": "width / 7"})
    assert all(at.exact for at in exact(resolved))
    assert all(at.exact for at in exact(mirrored(resolved)))


def test_an_arc_that_reaches_beyond_its_ends_is_mirrored_in_the_middle_of_its_box() -> None:
    base = resolve(read_design(EVERYTHING))
    label = next(piece for piece in mirrored(base).pieces if piece.name == "label")
    before = next(piece for piece in base.pieces if piece.name == "label")
    assert label.outline.box() == pytest.approx(before.outline.box(), abs=1e-9)
    assert [opening.path.area > 0.0 for opening in label.openings] == [True, True]


def test_letters_are_not_mirrored_but_their_box_is() -> None:
    base = resolve(read_design(EVERYTHING))
    before = next(mark for mark in base.pieces[0].marks if mark.text is not None)
    after = next(mark for mark in mirrored(base).pieces[0].marks if mark.text is not None)
    assert before.text is not None
    assert before.at is not None
    assert before.height is not None
    assert after.at is not None
    assert (after.text, after.height, after.at.y) == (before.text, before.height, before.at.y)
    width = set_text(before.text, at=before.at, height=before.height).width
    # As far from the right edge of the sheet, 120 mm wide, as it was from the left one.
    assert 120 - (after.at.x + width) == before.at.x


def test_print_and_faces_stay_and_the_viewer_changes_sides() -> None:
    base = resolve(read_design(EVERYTHING))
    after = mirrored(base)
    assert after.mats == base.mats
    assert [one.glue.face for one in after.joints] == [one.glue.face for one in base.joints]
    assert after.joints[0].to.start.x == 120 - base.joints[0].to.start.x
    assert after.extras[0].at == Point(Fraction(8), base.extras[0].at.y)  # type: ignore[union-attr]
    assert (after.limits, after.envelope, after.measures) == (
        base.limits,
        base.envelope,
        base.measures,
    )
    harbour = resolve(read_design(HARBOUR))
    # Seen from the front and a little from the left, at 240 degrees; then from the right.
    assert (harbour.poses[0].view, mirrored(harbour).poses[0].view) == (240, 300)
    assert after.poses[0].view == 270


def test_panels_without_a_name_keep_their_numbers() -> None:
    resolved = resolve(read_design(DESIGNS / "square-twist.toml"))
    before = divide(resolved.pieces[0])
    after = divide(mirrored(resolved).pieces[0])
    right = before.piece.outline.box()[2]
    middles = {
        panel.name: ((panel.box[0] + panel.box[2]) / 2.0, (panel.box[1] + panel.box[3]) / 2.0)
        for panel in after.panels
    }
    assert len(before.panels) > 2
    for panel in before.panels:
        x, y = (panel.box[0] + panel.box[2]) / 2.0, (panel.box[1] + panel.box[3]) / 2.0
        assert middles[panel.name] == pytest.approx((right - x, y), abs=1e-9)


def test_the_panels_of_many_lines_keep_their_numbers_too() -> None:
    base = resolve(read_design(HARBOUR))
    fold, half = base.pieces[0].folds[0], Fraction(1, 2)
    folds = tuple(
        replace(fold, name=f"f {n}", path=line(point(half * n, 0), point(half * n, 210)))
        for n in range(2, 296)
    )
    folds += tuple(
        replace(fold, name=f"g {n}", path=line(point(0, n), point(1, n))) for n in range(1, 209)
    )
    piece = replace(base.pieces[0], outline=polygon(*SHEET), slits=(), folds=folds)
    piece = replace(piece, panel_names=())
    before = divide(piece)
    (other,) = mirrored(replace(base, pieces=(piece,))).pieces
    after = divide(other)
    assert len(before.panels) == len(after.panels) == 294 + 209
    for one, there in zip(before.panels, after.panels, strict=True):
        assert one.name == there.name
        left, bottom, right, top = one.box
        assert there.box == pytest.approx((148 - right, bottom, 148 - left, top), abs=1e-9)


def both(design: Path, **options: str) -> tuple[Proof, Proof]:
    read = read_design(design)
    before = prove_design(read, materials=["card-200"], overrides=options)
    after = prove_design(mirrored_edition(read), materials=["card-200"], overrides=options)
    return before, after


@pytest.mark.parametrize("name", ["harbour-steps", "glued-box", "parallel-box", "everything"])
def test_the_folded_card_is_the_mirror_image(name: str) -> None:
    before, after = both(DESIGNS / f"{name}.toml")
    assert (after.verdict, after.gap_mm) == (before.verdict, before.gap_mm)
    assert before.closed is not None
    assert after.closed is not None
    assert after.closed.width_mm == pytest.approx(before.closed.width_mm, abs=1e-6)
    assert after.closed.height_mm == pytest.approx(before.closed.height_mm, abs=1e-6)
    joints = before.resolved.joints
    glued = {end.piece for joint in joints for end in (joint.glue, joint.to)}
    compared = 0
    for one, other in zip(before.poses, after.poses, strict=True):
        assert one.name == other.name
        assert one.folded.reached == other.folded.reached
        if not one.folded.reached:
            continue
        shifts: dict[str, list[tuple[float, float, float]]] = {}
        for key, motion in one.placed.items():
            # What is not glued lies beside it, from left to right in either edition.
            apart = one.name == "flat" or key[0] not in glued
            body = shifts.setdefault(key[0] if apart else "", [])
            piece = before.assembly.divisions[key[0]].piece
            left, _, right, _ = piece.outline.box()
            ring = before.assembly.divisions[key[0]].panels[key[1]].ring
            for vertex in ring.vertices:
                x, y, z = motion.apply(vertex.at)
                there = Point(left + right - vertex.at.x, vertex.at.y)
                p, q, r = other.placed[key].apply(there)
                body.append((float(x + p), float(y - q), float(z - r)))
        # One shift takes every corner of a body to the mirror image of where it was.
        for first, *others in shifts.values():
            assert all(shift == pytest.approx(first, abs=1e-5) for shift in others)
        compared += 1
    assert compared >= 3


def test_a_card_that_closes_exactly_still_does() -> None:
    before, after = both(HARBOUR, width="443/3 mm")
    assert (before.verdict, after.verdict) == (Verdict.CLOSES, Verdict.CLOSES)
    assert [one.exact for piece in after.pieces for one in piece.closings] == [True]
    open_before, open_after = both(HARBOUR, spine_y="107")
    assert open_after.gap_mm == open_before.gap_mm > 0.0


def test_only_the_mirror_image_is_left_handed() -> None:
    resolved = resolve(read_design(HARBOUR))
    proof = prove(mirrored(resolved), {"card": None}, whole=False)
    assert proof.resolved.mirrored
    assert not prove(resolved, {"card": None}, whole=False).resolved.mirrored


def test_the_keys_of_a_file() -> None:
    text = HARBOUR.read_text(encoding="utf-8")
    plain = parse_design(text)
    left = parse_design(text.replace('units   = "mm"', 'units   = "mm"\nmirrored = true', 1))
    assert left.mirrored
    assert exact(resolve(left)) == exact(mirrored(resolve(plain))) != exact(resolve(plain))
    # An edition takes what the design says, or says it itself.
    assert resolve(left, variant="inch").mirrored
    right = parse_design(
        write_design(left).replace("[variant.inch]", "[variant.inch]\nmirrored = false")
    )
    assert right.variants["inch"].mirrored is False
    assert not resolve(right, variant="inch").mirrored
    assert parse_design(write_design(right)) == right
    turned = mirrored_edition(right)
    assert (turned.mirrored, turned.variants["inch"].mirrored) == (False, True)
    assert mirrored_edition(turned) == right


WORDS = """
format = 1
name = "row"
units = "mm"
mirrored = true
[[piece]]
name = "row"
outline = { rectangle = [120, 60] }
"""


def lettered(*texts: tuple[str, int, int]) -> str:
    marks = (
        f'[[piece.mark]]\ntext = "{text}"\nat = [{x}, {y}]\nheight = 4\n' for text, x, y in texts
    )
    return WORDS + "".join(marks)


def test_a_sentence_that_is_mirrored_is_told_as_it_now_reads() -> None:
    row = lettered(("COME", 10, 30), ("TO", 50, 30), ("US", 90, 30), ("below", 10, 10))
    (note,) = resolve(parse_design(row, "row.toml")).notes
    assert (note.rule, note.severity, note.place.line) == ("texts-turned-round", "note", 9)
    assert note.message == (
        'mirrored, the texts on a line of "row" read "US", "TO", "COME" from left to right'
    )


@pytest.mark.parametrize(
    "row",
    [
        # Not mirrored, on lines of their own, and the same from either side.
        lettered(("COME", 10, 30), ("TO", 50, 30)).replace("mirrored = true", ""),
        lettered(("COME", 10, 30), ("TO", 10, 20), ("US", 50, 10)),
        lettered(("HO", 10, 30), ("TO", 50, 30), ("HO", 90, 30)),
    ],
)
def test_texts_that_read_as_before_are_not_told(row: str) -> None:
    assert resolve(parse_design(row, "row.toml")).notes == ()
