"""What a card asks of the hand, against a worked example and counts by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import Design, parse_design, read_design
from foldwright.design.mirroring import mirrored_edition
from foldwright.design.pieces import Piece
from foldwright.dressing.fewer_cuts import fewer_cuts
from foldwright.dressing.hand_load import Edge, HandLoad, hand_load
from foldwright.dressing.mats import mat_pieces
from foldwright.profiles.model import Tool
from foldwright.proving import Proof, prove_design

DESIGNS = Path(__file__).parents[1] / "designs"

SIDE_STEPS = 'format = 1\nname = "S"\nunits = "mm"\npattern = "side-steps"\n'


def load_of(design: Design, **options: str) -> HandLoad:
    return hand_load(prove_design(design, overrides=options))


def card(lines: str, *, outline: str = "rectangle = [100, 100]", copies: int = 1) -> HandLoad:
    design = parse_design(
        f"""\
format = 1
name = "Card"
units = "mm"
[[piece]]
name = "base"
copies = {copies}
outline = {{ {outline} }}
{lines}
"""
    )
    return load_of(design)


def fold(points: str, sense: str = "valley") -> str:
    return f'[[piece.fold]]\nsense = "{sense}"\npoints = {points}\n'


def test_the_worked_example_of_a_step_card() -> None:
    # A base of 148 x 210 mm with two steps, set out by hand on paper: settings for a batch are
    # 35, 65, 100, 105, 130 and 165 from the top, and 50 for the slit: 7 in all.  The paper is
    # turned a quarter turn between the slit and the scores.
    load = load_of(parse_design(SIDE_STEPS))
    assert [(one.edge, one.at_mm) for one in load.fence] == [
        (Edge.TOP, (35.0, 65.0, 100.0, 105.0, 130.0, 165.0)),
        (Edge.LEFT, (50.0,)),
    ]
    assert load.settings == 7
    assert (load.slits, load.creases, load.turns, load.freehand) == (1, 6, 1, 0)
    # Its outline is 2 (148 + 210) = 716 mm round, and the slit 130 mm long.
    assert load.cut_mm == pytest.approx(716.0 + 130.0, abs=1e-9)
    assert (load.small, load.foam, load.mats_cut_mm) == (0, 0, 0.0)


def test_lines_in_one_line_are_scored_in_one_go() -> None:
    parted = fold("[[0, 40], [30, 40]]") + fold("[[70, 40], [100, 40]]", "mountain")
    assert (card(parted).creases, card(parted).settings) == (1, 1)
    assert card(fold("[[0, 40], [50, 40], [100, 40]]")).creases == 1
    assert card(parted + fold("[[0, 40.5], [100, 40.5]]")).creases == 2
    slant = fold("[[0, 0], [40, 40]]") + fold("[[100, 100], [60, 60]]")
    assert (card(slant).creases, card(slant).freehand, card(slant).settings) == (1, 1, 0)


@settings(deadline=None, max_examples=60)
@given(
    angle=st.floats(-math.pi, math.pi),
    offset=st.floats(-100, 100),
    shares=st.tuples(st.floats(-40, -1), st.floats(1, 40)),
)
def test_any_line_is_one_line_however_it_is_cut_up(
    angle: float, offset: float, shares: tuple[float, float]
) -> None:
    from foldwright.drawing import Side
    from foldwright.dressing.hand_load import _line
    from foldwright.geometry import Point
    from foldwright.geometry.paths import Segment

    def at(along: float, across: float) -> Point:
        return Point(
            200 + along * math.cos(angle) - across * math.sin(angle),
            200 + along * math.sin(angle) + across * math.cos(angle),
        )

    whole = _line(Segment(at(-50, offset), at(50, offset)), Side.FRONT)
    back = _line(Segment(at(50, offset), at(-50, offset)), Side.FRONT)
    beside = _line(Segment(at(-50, offset + 0.01), at(50, offset + 0.01)), Side.FRONT)
    assert back.way == whole.way
    assert abs(back.offset - whole.offset) <= 1
    assert beside != whole
    low, high = shares
    part = _line(Segment(at(low, offset), at(high, offset)), Side.FRONT)
    # Rounding of double precision may pass a border between two cells, and only that.
    assert abs(part.way - whole.way) <= 1
    assert abs(part.offset - whole.offset) <= 1


def test_turns() -> None:
    level, upright = fold("[[0, 40], [100, 40]]"), fold("[[40, 0], [40, 40]]")
    assert card(level).turns == 0
    assert card(level + fold("[[0, 60], [100, 60]]", "mountain")).turns == 0
    assert card(level + upright).turns == 1
    assert card(level + upright + fold("[[60, 0], [80, 40]]")).turns == 2


def test_the_other_face_is_a_turn_where_the_paper_needs_it() -> None:
    design = read_design(DESIGNS / "harbour-steps.toml")
    faces = {}
    for material in ("card-200", "kraft-300"):
        proof = prove_design(design, materials=[material], tool=Tool.KNIFE)
        profile = proof.profiles["card"]
        assert profile is not None
        score = profile.tools[Tool.KNIFE].score
        assert score is not None
        faces[str(score.valleys_from)] = hand_load(proof)
    assert set(faces) == {"front", "back"}
    # Valleys from the back, mountains and the slit from the front: a third way to lay it.
    assert (faces["front"].turns, faces["back"].turns) == (1, 2)
    assert faces["front"].creases == faces["back"].creases


def test_paper_without_a_straight_edge_is_worked_freehand() -> None:
    load = card(fold("[[50, 0], [50, 100]]"), outline="circle = [50, 50, 50]")
    assert (load.settings, load.freehand, load.creases) == (0, 1, 1)
    assert load.cut_mm == pytest.approx(100 * math.pi, rel=1e-9)
    # Round at the top only: level lines are set from below.
    arch = "path = [[0, 0], [100, 0], [100, 60], { arc_to = [0, 60], through = [50, 90] }]"
    load = card(fold("[[0, 20], [100, 20]]"), outline=arch)
    assert [(one.edge, one.at_mm) for one in load.fence] == [(Edge.BOTTOM, (20.0,))]


def test_arcs_are_scored_freehand() -> None:
    bow = '[[piece.fold]]\nsense = ["valley", "valley"]\npoints = [[0, 20], '
    bow += "{ arc_to = [50, 20], through = [25, 30] }, { arc_to = [100, 20], through = [75, 10] }]"
    assert (card(bow).creases, card(bow).freehand, card(bow).settings) == (1, 1, 0)


def test_copies_are_made_each_and_set_once() -> None:
    one, three = card(fold("[[0, 40], [100, 40]]")), card(fold("[[0, 40], [100, 40]]"), copies=3)
    assert three.cut_mm == pytest.approx(3 * one.cut_mm)
    assert (three.creases, three.settings) == (3, 1)
    assert card("", outline="rectangle = [19, 100]", copies=3).small == 3
    assert card("", outline="rectangle = [20, 100]").small == 0


def test_mats_and_extras() -> None:
    proof = prove_design(read_design(DESIGNS / "everything.toml"), materials=["card-200"])
    mats, _ = mat_pieces(proof)
    bare, whole = hand_load(proof), hand_load(proof, mats)
    assert mats
    rings = math.fsum(
        (m.piece.outline.length + math.fsum(o.path.length for o in m.piece.openings)) * m.count
        for m in mats
    )
    assert whole.mats_cut_mm == pytest.approx(rings)
    assert whole.cut_mm == pytest.approx(bare.cut_mm + rings)
    # A bead and a ribbon.
    assert whole.foam == 2
    narrow = replace(mats[0], piece=card_strip(), count=4)
    assert hand_load(proof, [narrow]).small == bare.small + 4


def card_strip() -> Piece:
    design = parse_design(
        'format = 1\nname = "C"\nunits = "mm"\n[[piece]]\nname = "a"\n'
        "outline = { rectangle = [12, 90] }\n"
    )
    return prove_design(design).resolved.pieces[0]


def test_the_mirror_image_is_set_from_the_other_edge() -> None:
    design = parse_design(SIDE_STEPS)
    right, left = load_of(design), load_of(mirrored_edition(design))
    assert [one.at_mm for one in left.fence] == [one.at_mm for one in right.fence]
    assert [one.edge for one in left.fence] == [Edge.TOP, Edge.RIGHT]
    assert (left.creases, left.turns, left.slits) == (right.creases, right.turns, right.slits)


def fewer(design: Design, **options: str) -> list[tuple[str, int, int, int, int]]:
    def weighed(overrides: Mapping[str, str]) -> tuple[Proof, HandLoad]:
        proof = prove_design(design, overrides=overrides)
        return proof, hand_load(proof)

    proof, load = weighed(options)
    found = fewer_cuts(design, proof, load, options, weighed)
    return [(f.measure, f.before, f.after, f.load.creases, f.load.settings) for f in found]


def test_one_step_fewer() -> None:
    design = parse_design(SIDE_STEPS)
    # 2 n + 1 folds of the steps and the gutter.
    assert fewer(design) == [("steps", 2, 1, 4, 5)]
    assert fewer(design, steps="3", tread="15", riser="20") == [("steps", 3, 2, 6, 7)]
    assert fewer(design, steps="1") == []


def test_a_card_that_counts_nothing_has_nothing_to_leave_out() -> None:
    assert fewer(read_design(DESIGNS / "harbour-steps.toml")) == []
    # A count that only shapes a mass makes no cut, so nothing is said of it.
    assert fewer(read_design(DESIGNS / "everything.toml")) == []


def test_what_no_longer_closes_is_not_offered() -> None:
    text = (DESIGNS / "harbour-steps.toml").read_text("utf-8")
    text = text.replace('{ is = "gutter_y", about', '{ is = "gutter_y * rows / 2", about')
    design = parse_design(text.replace("[measures]\n", "[measures]\nrows = { number = 2 }\n", 1))
    assert prove_design(design).proven
    assert not prove_design(design, overrides={"rows": "1"}).proven
    assert fewer(design) == []
