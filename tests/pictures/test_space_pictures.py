"""Pictures of poses: goldens, what must hold of every one, plies, hatching, marks, names."""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path as FilePath

import numpy as np
import pytest

from foldwright.design.pieces import Face
from foldwright.pictures import Line, Pen, Picture, Words, pens, svg_of
from foldwright.pictures.boxes import box_of_part
from foldwright.pictures.camera import camera_for
from foldwright.pictures.clipping import crossing_stretches, within_rings
from foldwright.pictures.facets import facets_of, places_of
from foldwright.pictures.plies import plies_of
from foldwright.pictures.scene import Apart, Glued, Scene
from foldwright.pictures.space import draw
from foldwright.pictures.space_page import space_picture, view_text
from tests.pictures.cards import HEAD
from tests.pictures.plain import hold_plain
from tests.pictures.scenes import (
    SCENES,
    accordion,
    crossing,
    fold,
    half_fold,
    harbour,
    scene,
    sheet,
    shifted,
    strap,
    tent,
    turned,
)

GOLDEN = FilePath(__file__).parents[1] / "golden" / "poses"

KEPT = ("tent-from-behind", "book", "box", "crossing", "strap", "harbour-behind", "harbour-closed")


@pytest.fixture
def update(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-goldens"))


def drawn(picture: Picture, *wanted: Pen) -> list[Line]:
    return [part for part in picture.parts if isinstance(part, Line) and part.pen in wanted]


def length_of(picture: Picture, pen: Pen) -> float:
    return sum(line.path.length for line in drawn(picture, pen))


def words_of(picture: Picture) -> list[str]:
    texts = [part.text for part in picture.parts if isinstance(part, Words)]
    return [text.replace("\N{NO-BREAK SPACE}", " ") for text in texts]


def lines_of(found: Scene) -> list[Line]:
    """The lines of a drawing without its legend."""
    return [part for part in draw(found, (150.0, 120.0)).parts if isinstance(part, Line)]


def pens_of(found: Scene) -> set[Pen]:
    return {line.pen for line in lines_of(found)}


@pytest.mark.parametrize("name", SCENES)
def test_what_holds_of_every_picture(name: str) -> None:
    data = hold_plain(space_picture(SCENES[name]))
    assert svg_of(space_picture(SCENES[name])) == data


@pytest.mark.parametrize("name", KEPT)
def test_kept_pictures(name: str, update: bool) -> None:
    data = svg_of(space_picture(SCENES[name]))
    file = GOLDEN / f"{name}.svg"
    if update:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    assert file.read_bytes() == data, (
        "look at the new picture, then bring it up to date with "
        "pytest tests/pictures --update-goldens"
    )


def test_each_line_is_drawn_once() -> None:
    """Flat paper: the rim, each fold, the slit, though two panels share most of them."""
    found = lines_of(harbour(0.0))
    counts = Counter(line.pen for line in found)
    # The slit lies between panels that are cut at the same places on both sides or not.
    assert counts[pens.VALLEY_IN_SPACE] + counts[pens.MOUNTAIN_IN_SPACE] == 6
    assert counts[pens.CREASE] == 0
    seen = [
        frozenset(
            (round(float(at.x), 2), round(float(at.y), 2)) for at in (segment.start, segment.end)
        )
        for line in found
        for segment in line.path.segments
    ]
    assert len(seen) == len(set(seen))


def test_turned_folds_are_creases() -> None:
    assert pens.CREASE in pens_of(harbour(90.0))
    assert len([line for line in lines_of(harbour(90.0)) if line.pen is pens.CREASE]) == 6


@pytest.mark.parametrize(
    ("view", "sense", "pen"),
    [
        # An open book seen from inside and from outside, its spine upright.
        (270.0, "valley", pens.VALLEY_IN_SPACE),
        (90.0, "valley", pens.MOUNTAIN_IN_SPACE),
        (270.0, "mountain", pens.MOUNTAIN_IN_SPACE),
        (90.0, "mountain", pens.VALLEY_IN_SPACE),
    ],
)
def test_a_fold_from_behind_has_the_other_sense(view: float, sense: str, pen: Pen) -> None:
    used = pens_of(half_fold(40.0, view, sense))
    assert used & {pens.VALLEY_IN_SPACE, pens.MOUNTAIN_IN_SPACE} == {pen}


def test_a_fold_that_turns_away_is_a_ridge() -> None:
    """One page shows its front, the other its back: the fold is convex to the viewer."""
    for sense in ("valley", "mountain"):
        for view in (300.0, 120.0):
            assert pens.VALLEY_IN_SPACE not in pens_of(half_fold(150.0, view, sense))


def test_a_fold_turned_against_its_sense_is_drawn_as_it_is() -> None:
    used = pens_of(half_fold(-40.0, 270.0, "valley"))
    assert pens.MOUNTAIN_IN_SPACE in used
    assert pens.VALLEY_IN_SPACE not in used


def test_only_the_back_is_hatched() -> None:
    assert pens.BACK not in pens_of(tent())
    assert pens.BACK not in pens_of(half_fold(40.0, 270.0))
    assert pens.BACK in pens_of(half_fold(40.0, 90.0))
    assert "back of the paper" not in words_of(space_picture(tent()))
    assert "back of the paper" in words_of(space_picture(half_fold(40.0, 90.0)))


def test_hatching_runs_at_45_degrees_in_the_paper() -> None:
    """A sheet turned over on the table: its hatching runs at 45 degrees on it."""
    text = HEAD.format(name="Over", units="mm") + sheet("card", 100, 100)
    over = shifted(100.0) @ turned(180.0, (0.0, 0.0), (0.0, 1.0))
    found = scene(text, first={"card": over}, view=250.0)
    drawing = draw(found, (150.0, 120.0))
    camera, (facet,) = drawing.view.camera, drawing.view.facets
    lines = [part for part in drawing.parts if isinstance(part, Line) and part.pen is pens.BACK]
    assert len(lines) > 40
    rows = np.array(facet.motion.rows)
    for line in lines:
        spots = np.array([line.path.start.floats(), line.path.end.floats()])
        rays = camera.rays(spots)
        depth = -camera.eye[2] / rays[:, 2]
        flat = (np.array(camera.eye) + rays * depth[:, None] - facet.motion.shift) @ rows
        way = flat[1] - flat[0]
        if math.hypot(way[0], way[1]) > 5.0:
            assert way[0] == pytest.approx(way[1], abs=0.01 * abs(way[0]) + 0.01)
        assert ((flat[:, :2] > -0.05) & (flat[:, :2] < 100.05)).all()


def test_hatching_does_not_run_together() -> None:
    """Whatever the slant, lines of one panel keep apart on the page."""
    text = HEAD.format(name="Slant", units="mm") + sheet("card", 100, 100)
    for slant in (95.0, 110.0, 125.0, 140.0, 150.0, 152.0):
        leaning = turned(slant + 60.0, (0.0, 0.0), (1.0, 0.0))
        found = scene(text, first={"card": shifted(z=90.0) @ leaning}, view=270.0)
        lines = [line for line in lines_of(found) if line.pen is pens.BACK]
        for one, other in pairwise(lines):
            # The distance of the next line's middle.
            start, way = one.path.start, one.path.end - one.path.start
            middle = other.path.start.between(other.path.end, 0.5)
            apart = abs(float((middle - start).cross(way))) / float(way.length)
            assert apart > 0.6


# Which ply lies above.


def seen_plies(found: Scene) -> dict[int, int]:
    camera = camera_for(places_of(found.panels, found.placed), found.view_deg, (100.0, 100.0))
    facets = facets_of(found.panels, found.placed, camera)
    plies = plies_of(facets, found.creases, found.glued)
    return {facet.key[1]: ply for facet, ply in zip(facets, plies, strict=True)}


def test_a_shut_fold_shows_its_outside() -> None:
    for view in (300.0, 120.0):
        for sense, face in (("valley", Face.BACK), ("mountain", Face.FRONT)):
            found = half_fold(180.0, view, sense)
            camera = camera_for(places_of(found.panels, found.placed), view, (100.0, 100.0))
            facets = facets_of(found.panels, found.placed, camera)
            plies = plies_of(facets, found.creases, ())
            upper = max(zip(plies, facets, strict=True), key=lambda one: one[0])[1]
            assert upper.face is face, (view, sense)


def test_an_accordion_lies_in_order() -> None:
    plies = seen_plies(accordion(180.0))
    order = sorted(plies, key=plies.__getitem__)
    assert order in ([0, 1, 2, 3, 4, 5], [5, 4, 3, 2, 1, 0])
    behind = seen_plies(accordion(180.0, view=110.0))
    assert sorted(behind, key=behind.__getitem__) == order[::-1]


def test_a_glued_foot_lies_on_the_face_that_it_is_glued_to() -> None:
    found = strap()
    for view, above in ((300.0, True), (120.0, False)):
        side = replace(found, view_deg=view)
        camera = camera_for(places_of(side.panels, side.placed), view, (100.0, 100.0))
        facets = facets_of(side.panels, side.placed, camera)
        plies = dict(
            zip(
                (facet.key for facet in facets),
                plies_of(facets, side.creases, side.glued),
                strict=True,
            )
        )
        upright = next(
            one
            for one in side.glued
            if one.label == "joint 2" or "upper" in one.glued[0] or one.to[1] == 1
        )
        assert (plies[upright.glued] > plies[upright.to]) == above


def test_plies_that_go_round_in_a_circle_have_an_order_all_the_same() -> None:
    found = accordion(180.0)
    back = Glued(label="back", glued=("strip", 0), to=("strip", 5), face=Face.FRONT)
    for face in (Face.FRONT, Face.BACK):
        plies = seen_plies(replace(found, glued=(replace(back, face=face),)))
        assert sorted(plies.values()) == list(range(6))


def test_flat_neighbours_are_one_ply() -> None:
    plies = seen_plies(harbour(0.0))
    assert len(set(plies.values())) == 1


# Clashes and gaps.


def test_where_two_panels_pass_through_each_other() -> None:
    found = crossing()
    camera = camera_for(places_of(found.panels, found.placed), 290.0, (100.0, 100.0))
    wall, ramp = facets_of(found.panels, found.placed, camera)
    (stretch,) = crossing_stretches(wall, ramp)
    # The ramp is 80 mm wide, from x = 20 on; at y = 60 it is 60 tan 30 high.
    height = 60.0 * math.tan(math.radians(30.0))
    ends = sorted(stretch, key=lambda at: float(at[0]))
    assert ends[0] == pytest.approx([20.0, 60.0, height])
    assert ends[1] == pytest.approx([100.0, 60.0, height])
    (other,) = crossing_stretches(ramp, wall)
    assert sorted(other, key=lambda at: float(at[0]))[0] == pytest.approx(ends[0])
    assert crossing_stretches(wall, wall) == []


def test_a_clash_is_marked() -> None:
    found = crossing()
    picture = space_picture(found)
    camera = draw(found, (150.0, 120.0)).view.camera
    (from_, to), _ = camera.page(np.array([(20.0, 60.0, 34.641), (100.0, 60.0, 34.641)]))
    heavy, sample = sorted(drawn(picture, pens.CLASH), key=lambda line: -line.path.length)
    assert heavy.path.length == pytest.approx(math.dist(from_, to), abs=0.01)
    assert sample.path.length == 10.0
    assert len(drawn(picture, pens.RING_OF_CLASH)) == 2
    assert "clash: ramp/panel 1 and wall/panel 1" in words_of(picture)
    assert "clash" in words_of(picture)
    plain = space_picture(replace(found, passing=()))
    assert drawn(plain, pens.CLASH, pens.RING_OF_CLASH) == []
    assert not any("clash" in text for text in words_of(plain))


GAPS = (
    Apart(label="gutter", one=(0.0, 105.0, 0.0), other=(0.0, 117.0, 6.0), mm=13.416),
    Apart(label="steps 2", one=(50.0, 75.0, 35.0), other=(50.0, 75.0, 35.5), mm=0.5),
)


def test_a_gap_is_marked_with_its_length() -> None:
    picture = space_picture(replace(harbour(90.0, 235.0), apart=GAPS))
    assert "gap: 13.42 mm at gutter" in words_of(picture)
    assert "gap: 0.5 mm at steps 2" in words_of(picture)
    # Each in the drawing and in the legend: a line, and a ring with a cross.
    assert len(drawn(picture, pens.APART)) == 2
    assert len(drawn(picture, pens.RINGED_GAP)) == 6
    assert not any("gap" in text for text in words_of(space_picture(harbour(90.0, 235.0))))


def test_a_gap_is_told_in_the_units_of_the_design() -> None:
    inches = replace(harbour(90.0), apart=GAPS[:1], units=type(harbour(90.0).units)("in"))
    (text,) = [text for text in words_of(space_picture(inches)) if text.startswith("gap:")]
    assert re.fullmatch(r"gap: [\d./ ]+ in at gutter", text)


def test_folds_that_come_apart_are_drawn_on_both_panels() -> None:
    found = harbour(90.0, 235.0)
    placed = dict(found.placed)
    placed["base", 2] = shifted(y=8.0) @ placed["base", 2]
    whole = [line for line in lines_of(found) if line.pen is pens.CREASE]
    parted = [line for line in lines_of(replace(found, placed=placed)) if line.pen is pens.CREASE]
    assert len(parted) > len(whole)


def test_more_marks_than_a_picture_bears_are_counted() -> None:
    many = tuple(replace(GAPS[0], label=f"fold {i}", mm=float(i)) for i in range(1, 10))
    picture = space_picture(replace(harbour(90.0), apart=many))
    assert "3 more places are wrong and not marked here." in words_of(picture)
    # The widest are marked.
    assert "gap: 9 mm at fold 9" in words_of(picture)
    assert "gap: 3 mm at fold 3" not in words_of(picture)


# Names and words.


def test_names_stand_on_their_panels() -> None:
    found = harbour(90.0, 225.0)
    drawing = draw(found, (150.0, 120.0))
    picture = space_picture(found)
    for text in ("panel 1", "panel 5", "front floor"):
        assert text in words_of(picture)
    assert drawing.view.facets
    # Each name's box lies within what is seen of its panel: no line runs through it.
    names = [part for part in picture.parts if isinstance(part, Words) and "panel" in part.text]
    strokes = [line for line in drawn(picture, pens.PAPER_EDGE, pens.CREASE) if line.path.length]
    for name in names:
        left, bottom, right, top = box_of_part(name)
        ring = np.array([(left, bottom), (right, bottom), (right, top), (left, top)])
        for line in strokes:
            for segment in line.path.segments:
                start, end = (np.array(at.floats()) for at in (segment.start, segment.end))
                assert within_rings([ring], start, end) == [], name.text


def test_a_given_name_without_room_stands_in_the_margin() -> None:
    picture = space_picture(strap())
    assert {"upper foot", "lower foot"} <= set(words_of(picture))
    # A name that the design does not give is left out where it has no room.
    assert "strap/panel 1" not in words_of(picture)


def test_a_panel_that_is_not_seen_has_no_name() -> None:
    assert "panel 2" not in words_of(space_picture(tent()))
    assert "panel 1" not in words_of(space_picture(half_fold(180.0)))


def test_the_words_about_a_pose() -> None:
    found = replace(harbour(90.0), words=("half way to closed", "Nothing in it moves."))
    picture = space_picture(found)
    assert "Harbour steps" in words_of(picture)
    assert "Pose standing, half way to closed" in words_of(picture)
    assert "Nothing in it moves." in words_of(picture)
    assert "Seen from the front, 28 degrees above the table." in words_of(picture)
    assert picture.title == "Harbour steps, pose standing: seen from the front"
    assert picture.about == (
        "Pose standing, half way to closed. Nothing in it moves. "
        "A picture to look at, not a file for a cutter."
    )


@pytest.mark.parametrize(
    ("view", "text"),
    [
        (270.0, "from the front"),
        (-90.0, "from the front"),
        (0.0, "from the right"),
        (360.0, "from the right"),
        (90.0, "from behind"),
        (180.0, "from the left"),
        (315.0, "from the front right (315 degrees)"),
        (240.5, "from the front left (240.5 degrees)"),
        (30.0, "from the back right (30 degrees)"),
        (340.0, "from the right (340 degrees)"),
    ],
)
def test_sides_in_words(view: float, text: str) -> None:
    assert view_text(view) == text


def test_a_pose_without_places_is_told_in_words() -> None:
    found = replace(harbour(90.0), placed={}, words=("not reached",))
    picture = space_picture(found)
    assert "Pose standing, not reached" in words_of(picture)
    assert drawn(picture, pens.PAPER_EDGE) == []


def test_scores_are_drawn_where_the_paper_is_seen() -> None:
    text = HEAD.format(name="Fan", units="mm") + sheet(
        "card",
        120,
        80,
        fold("fan", "mountain", (0, 40), (120, 40)) + "still = true\n",
    )
    found = scene(text)
    assert found.scores
    picture = space_picture(found)
    (scored, _) = sorted(drawn(picture, pens.SCORED_IN_SPACE), key=lambda line: -line.path.length)
    camera = draw(found, (150.0, 120.0)).view.camera
    (from_, to), _ = camera.page(np.array([(0.0, 40.0, 0.0), (120.0, 40.0, 0.0)]))
    assert scored.path.length == pytest.approx(math.dist(from_, to), abs=0.01)
    assert "scored, not folded" in words_of(picture)


def test_the_table_lies_below_everything() -> None:
    """Of the table's rectangle nothing is seen under a card that covers it."""
    low = lines_of(harbour(0.0))
    (table,) = [line.path for line in low if line.pen is pens.TABLE]
    assert table.closed
    edge = max((line.path for line in low if line.pen is pens.PAPER_EDGE), key=lambda p: p.length)
    left, bottom, right, top = table.box()
    inner = edge.box()
    assert left < inner[0] and bottom < inner[1] and inner[2] < right and inner[3] < top


def test_a_line_and_a_ring() -> None:
    ring = [np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])]
    hole = np.array([(4.0, 4.0), (4.0, 6.0), (6.0, 6.0), (6.0, 4.0)])
    start, end = np.array((-10.0, 5.0)), np.array((30.0, 5.0))
    assert within_rings(ring, start, end) == [(0.25, 0.5)]
    assert within_rings([*ring, hole], start, end) == [
        (0.25, pytest.approx(0.35)),
        (pytest.approx(0.4), 0.5),
    ]
    up = np.array((0.0, 20.0))
    assert within_rings(ring, start + up, end + up) == []


@pytest.mark.parametrize(("peeks", "named"), [(0.5, False), (4.0, True)])
def test_a_panel_that_hardly_shows_is_not_pointed_at(peeks: float, named: bool) -> None:
    """A post that peeks out from behind a wall by so many mm, at a scale of about 1 : 1."""
    post = '[[piece.panel]]\nname = "post"\nat = [5, 5]\n'
    text = (
        HEAD.format(name="Post", units="mm") + sheet("wall", 100, 80) + sheet("back", 10, 70, post)
    )
    upright = turned(90.0, (0, 0), (1, 0))
    found = scene(
        text, first={"wall": upright, "back": shifted(90.0 + peeks, 1.0) @ upright}, view=270.0
    )
    assert ("post" in words_of(space_picture(found))) == named
