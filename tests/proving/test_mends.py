"""What to move so that a piece closes: each mend is made by hand here and proved again."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Piece, Resolved
from foldwright.folding import Verdict
from foldwright.proving import Proof, prove

DesignOf = Callable[[str], Resolved]


def step_card(walk: str = "[30, 35, 30, 35]", gutter: object = 105, top: int = 175) -> str:
    return f"""
        [[piece]]
        name = "base"
        outline = {{ rectangle = [148, 210] }}
        [[piece.slit]]
        points = [[50, 45], [50, {top}]]
        [[piece.band]]
        name = "steps"
        from = [50, {top}]
        to = [148, {top}]
        walk = {walk}
        sense = "alternate"
        first = "valley"
        [[piece.fold]]
        name = "gutter"
        sense = "valley"
        points = [[0, "{gutter}"], [50, "{gutter}"]]
        """


def proof_of(text: str, design_of: DesignOf) -> Proof:
    return prove(design_of(text), {})


def places(proof: Proof) -> dict[str, Fraction]:
    return {
        mend.moves[0].line: Fraction(mend.moves[0].to_mm)
        for mend in proof.mends
        if len(mend.moves) == 1
    }


def test_any_one_line_of_a_loop_moves_by_half_the_gap(design_of: DesignOf) -> None:
    """The closed form: a loop of parallel folds that misses by g is closed by g / 2 on any line."""
    proof = proof_of(step_card("[30, 37, 28, 35]"), design_of)
    assert (proof.verdict, proof.gap_mm) == (Verdict.BUCKLES, 4.0)
    # The places are 175, 145, 108, 80, 45 and 105; every second one moves up.
    assert places(proof) == {
        "steps 1": 177,
        "steps 2": 143,
        "steps 3": 110,
        "steps 4": 78,
        "steps 5": 47,
        "gutter": 103,
    }
    assert all(mend.gap_after_mm == 0.0 for mend in proof.mends)
    assert {mend.moves[0].line: mend.slits for mend in proof.mends if mend.slits} == {
        "steps 1": ("slit 1",),
        "steps 5": ("slit 1",),
    }


@pytest.mark.parametrize(
    ("walk", "gutter"),
    [
        ("[30, 35, 32, 33]", 105),
        ("[28, 35, 32, 35]", 105),
        ("[30, 37, 28, 35]", 103),
        ("[30, 37, 26, 37]", 101),
    ],
)
def test_a_mended_card_needs_no_mend(walk: str, gutter: int, design_of: DesignOf) -> None:
    proof = proof_of(step_card(walk, gutter), design_of)
    top = [175, *(175 - sum(eval_walk(walk)[: i + 1]) for i in range(4))]
    alternating = top[0] - top[1] + top[2] - top[3] + top[4]
    assert (proof.verdict is Verdict.CLOSES) is (alternating == gutter)
    assert (proof.mends == ()) is (alternating == gutter)


def eval_walk(walk: str) -> list[int]:
    return [int(part) for part in walk.strip("[]").split(",")]


@settings(max_examples=25)
@given(
    off=st.fractions(min_value=-5, max_value=5, max_denominator=16).filter(lambda d: d != 0),
    which=st.sampled_from(["steps 2", "steps 3", "steps 4", "gutter"]),
)
def test_each_mend_made_in_the_design_closes_it(off: Fraction, which: str) -> None:
    from foldwright.design import parse_design, resolve

    def card(tops: dict[str, Fraction]) -> Resolved:
        folds = "".join(
            f'[[piece.fold]]\nname = "{name}"\n'
            f'sense = "{"mountain" if name in ("steps 2", "steps 4") else "valley"}"\n'
            f"points = [[{0 if name == 'gutter' else 50}, {written(y)}], "
            f"[{50 if name == 'gutter' else 148}, {written(y)}]]\n"
            for name, y in tops.items()
        )
        slit = f"[[50, {written(tops['steps 5'])}], [50, {written(tops['steps 1'])}]]"
        return resolve(
            parse_design(
                'format = 1\nname = "card"\nunits = "mm"\n[[piece]]\nname = "base"\n'
                f"outline = {{ rectangle = [148, 210] }}\n[[piece.slit]]\npoints = {slit}\n{folds}"
            )
        )

    def written(y: Fraction) -> str:
        return f'"{y.numerator} / {y.denominator}"'

    tops = {
        "steps 1": Fraction(175),
        "steps 2": Fraction(145),
        "steps 3": Fraction(110),
        "steps 4": Fraction(80),
        "steps 5": Fraction(45),
        "gutter": Fraction(105),
    }
    tops[which] += off
    proof = prove(card(tops), {})
    assert proof.gap_mm == pytest.approx(float(2 * abs(off)), abs=1e-12)
    assert proof.mends
    for mend in proof.mends:
        (move,) = mend.moves
        assert move.from_mm == tops[move.line]
        mended = prove(card({**tops, move.line: Fraction(move.to_mm)}), {})
        assert mended.verdict is Verdict.CLOSES
        assert mended.gap_mm == 0.0
    # The line that was moved away is among them, back in its old place.
    assert places(proof)[which] == tops[which] - off


def test_the_new_place_is_told_on_the_coarsest_ruler_it_lies_on(design_of: DesignOf) -> None:
    def ruler(text: str, line: str = "gutter") -> str | None:
        proof = proof_of(text, design_of)
        return next(mend.moves[0].on_ruler for mend in proof.mends if mend.moves[0].line == line)

    assert ruler(step_card(gutter="107")) == "1 mm"
    # The closing place of the gutter is 175 - 145 + c - 80 + 45 = c - 5.
    assert ruler(step_card('[30, "145 mm - 4 1/8 in", "4 1/8 in - 80 mm", 35]')) is None
    whole = step_card('[30, "35 mm - 1/16 in", "30 mm + 1/16 in", 35]')
    assert ruler(whole, "steps 3") == "1 mm"
    inch = """
        [[piece]]
        name = "base"
        outline = { rectangle = ["6 in", "8 in"] }
        [[piece.slit]]
        points = [["2 in", "2 in"], ["2 in", "6 in"]]
        [[piece.band]]
        name = "steps"
        from = ["2 in", "6 in"]
        to = ["6 in", "6 in"]
        walk = ["2 in", "2 in"]
        sense = "alternate"
        first = "valley"
        [[piece.fold]]
        name = "gutter"
        sense = "valley"
        points = [[0, "3 7/8 in"], ["2 in", "3 7/8 in"]]
        """
    assert ruler(inch) == "1/8 in"
    assert ruler(inch.replace("3 7/8 in", "4 1/8 in"), "steps 2") == "1/8 in"
    sixteenth = inch.replace('walk = ["2 in", "2 in"]', 'walk = ["1 15/16 in", "2 1/16 in"]')
    # 6 - 4 1/16 + 2 = 3 15/16.
    assert ruler(sixteenth) == "1/16 in"


def test_a_line_that_would_jump_over_another_is_no_mend(design_of: DesignOf) -> None:
    # The step of 3 mm cannot take up half of a gap of 8 mm.
    proof = proof_of(step_card("[3, 70, 57, 0.5]"), design_of)
    assert proof.verdict is not Verdict.CLOSES
    for mend in proof.mends:
        (move,) = mend.moves
        tops = [Fraction(175), Fraction(172), Fraction(102), Fraction(45), Fraction("44.5")]
        if move.line.startswith("steps"):
            tops[int(move.line.split()[1]) - 1] = Fraction(move.to_mm)
        assert all(high > low for high, low in pairwise(tops))


CENTRE = """
    [[piece]]
    name = "base"
    outline = {{ rectangle = [100, 100] }}
    [[piece.slit]]
    points = [[30, 40], [30, 60]]
    [[piece.slit]]
    points = [[70, 40], [70, 60]]
    [[piece.band]]
    name = "step"
    from = [30, 60]
    to = [70, 60]
    walk = [{tread}, {riser}]
    sense = "alternate"
    first = "valley"
    [[piece.fold]]
    name = "left gutter"
    sense = "valley"
    points = [[0, {left}], [30, {left}]]
    [[piece.fold]]
    name = "right gutter"
    sense = "valley"
    points = [[70, {right}], [100, {right}]]
    """


def test_two_loops_that_share_a_line_are_closed_by_that_line(design_of: DesignOf) -> None:
    proof = proof_of(CENTRE.format(tread=12, riser=8, left=50, right=50), design_of)
    assert places(proof)["step 2"] == 50
    # The gutters belong to one loop each, so neither alone is a mend.
    assert not {"left gutter", "right gutter"} & set(places(proof))


def test_a_mend_of_one_loop_never_opens_another(design_of: DesignOf) -> None:
    proof = proof_of(CENTRE.format(tread=10, riser=10, left=52, right=50), design_of)
    assert places(proof) == {"left gutter": 50}


def test_where_no_single_line_does_the_least_two_are_told(design_of: DesignOf) -> None:
    proof = proof_of(CENTRE.format(tread=10, riser=10, left=52, right=49), design_of)
    (mend,) = proof.mends
    assert mend.gap_after_mm == 0.0
    assert {move.line: move.to_mm for move in mend.moves} == {
        "left gutter": 50,
        "right gutter": 50,
    }
    told = [one for one in proof.findings if one.rule in ("gapes", "buckles")]
    assert len(told) == 2
    for one in told:
        assert "left gutter" in one.mend
        assert "right gutter" in one.mend
        assert "no single line closes it" in one.mend


def test_a_vertex_is_mended_by_turning_one_fold_by_half_the_angle_error(
    design_of: DesignOf,
) -> None:
    """Kawasaki's theorem: sectors of 100, 80, 90 and 90 degrees miss by 20, so a fold turns 10."""
    import math

    x = 50 + 50 * math.tan(math.radians(10))
    proof = proof_of(
        f"""
        [[piece]]
        name = "sheet"
        outline = {{ rectangle = [100, 100] }}
        [[piece.fold]]
        name = "level"
        sense = "valley"
        points = [[0, 50], [100, 50]]
        [[piece.fold]]
        name = "down"
        sense = "valley"
        points = [[50, 0], [50, 50]]
        [[piece.fold]]
        name = "up"
        sense = "mountain"
        points = [[50, 50], [{x:.12f}, 100]]
        """,
        design_of,
    )
    assert [one.rule for one in proof.findings if one.severity == "stop"] == ["kawasaki"]
    turns = {mend.moves[0].line: mend.moves[0].turn_deg for mend in proof.mends}
    assert set(turns) == {"up", "down", "level#1", "level#2"}
    assert [abs(turn) for turn in turns.values()] == pytest.approx([10.0] * 4, abs=1e-9)
    assert turns["up"] > 0  # back upright, anticlockwise
    for mend in proof.mends:
        assert mend.gap_after_mm <= 1e-3


def test_a_turned_loop_has_no_mend(design_of: DesignOf) -> None:
    proof = proof_of(step_card("[30, 35, 65]"), design_of)
    assert (proof.verdict, proof.mends) == (Verdict.TURNED, ())
    (stop,) = [one for one in proof.findings if one.severity == "stop"]
    assert stop.rule == "turned"
    assert "5 half turns" in stop.message


def test_lines_keep_to_what_they_end_on(design_of: DesignOf) -> None:
    """On a tapered card a moved fold is cut to the slanting edge."""
    from foldwright.proving.relaying import Line, relaid

    piece: Piece = design_of(
        """
        [[piece]]
        name = "base"
        outline = { polygon = [[0, 0], [100, 0], [80, 100], [20, 100]] }
        [[piece.fold]]
        name = "level"
        sense = "valley"
        points = [[10, 50], [90, 50]]
        [[piece.fold]]
        name = "post"
        sense = "mountain"
        points = [[50, 50], [50, 100]]
        """
    ).pieces[0]
    start, end = piece.folds[0].path.start, piece.folds[0].path.end
    from foldwright.geometry import Vector

    up = Vector(Fraction(0), Fraction(10))
    moved = relaid(piece, 0, Line(start + up, end + up))
    assert moved is not None
    assert [vertex.at.floats() for vertex in moved.folds[0].path.vertices] == [(12, 60), (88, 60)]
    assert moved.folds[1].path.start.floats() == (50, 60)
    assert moved.folds[0].path.start.exact


STRAP = """
    [[piece]]
    name = "base"
    outline = {{ rectangle = [100, 100] }}
    [[piece.fold]]
    name = "gutter"
    sense = "valley"
    points = [[0, 50], [100, 50]]
    [[piece.panel]]
    name = "floor"
    at = [50, 10]
    [[piece.panel]]
    name = "wall"
    at = [50, 90]
    [[piece]]
    name = "strap"
    outline = {{ rectangle = [20, 60] }}
    [[piece.fold]]
    name = "lower foot"
    sense = "valley"
    points = [[0, 10], [20, 10]]
    [[piece.fold]]
    name = "ridge"
    sense = "mountain"
    points = [[0, {ridge}], [20, {ridge}]]
    [[piece.fold]]
    name = "upper foot"
    sense = "valley"
    points = [[0, 50], [20, 50]]
    [[piece.panel]]
    name = "lower"
    at = [10, 5]
    [[piece.panel]]
    name = "upper"
    at = [10, 55]
    [[joint]]
    glue = {{ panel = "strap/lower", face = "back", line = [[0, 10], [20, 10]] }}
    to = {{ panel = "base/floor", face = "front", line = [[40, 30], [60, 30]] }}
    [[joint]]
    glue = {{ panel = "strap/upper", face = "back", line = [[0, 50], [20, 50]] }}
    to = {{ panel = "base/wall", face = "front", line = [[40, {wall}], [60, {wall}]] }}
    """


def test_a_loop_over_joints_is_mended_on_either_piece(design_of: DesignOf) -> None:
    """Floor 20 and wall 20: the strap of 20 and 20 closes; glued at a wall of 22 it misses by 2."""
    assert proof_of(STRAP.format(ridge=30, wall=70), design_of).verdict is Verdict.CLOSES
    proof = proof_of(STRAP.format(ridge=30, wall=72), design_of)
    assert (proof.verdict, proof.gap_mm) == (Verdict.GAPES, 2.0)
    moves = {(mend.piece, mend.moves[0].line): mend.moves[0].to_mm for mend in proof.mends}
    # Wall 21 and floor 21 with the gutter at 51, or a riser longer by one.
    assert moves[("base", "gutter")] == 51
    assert ("strap", "ridge") in moves
    ridge = moves[("strap", "ridge")]
    assert proof_of(STRAP.format(ridge=ridge, wall=72), design_of).verdict is Verdict.CLOSES
    (finding,) = [one for one in proof.findings if one.severity == "stop"]
    assert 'move fold "gutter" from 50 mm to 51 mm, of "base"' in finding.mend


def test_loops_of_one_name_in_two_pieces_keep_their_own_mends(design_of: DesignOf) -> None:
    two = step_card(gutter="107") + step_card("[30, 37, 28, 35]").replace('"base"', '"other"')
    proof = proof_of(two, design_of)
    told = {one.piece: one.mend for one in proof.findings if one.rule == "buckles"}
    assert told["base"].startswith('move fold "steps 2" from 145 mm to 143 mm')
    assert told["other"].startswith('move fold "steps 2" from 145 mm to 143 mm')
    assert {mend.piece for mend in proof.mends if mend.loop_piece == "other"} == {"other"}


def test_the_sentence_names_the_ends_of_the_way_whatever_the_order_of_the_file(
    design_of: DesignOf,
) -> None:
    card = step_card(gutter="107")
    folds = [
        f'[[piece.fold]]\nname = "s{i}"\nsense = "valley"\npoints = [[50, {y}], [148, {y}]]\n'
        for i, y in ((1, 175), (5, 45), (3, 110), (2, 145), (4, 80))
    ]
    start, end = card.index("[[piece.band]]"), card.index("[[piece.fold]]")
    shuffled = card[:start] + "\n".join(folds) + card[end:]
    (finding,) = [one for one in proof_of(shuffled, design_of).findings if one.rule == "buckles"]
    assert 'from fold "s1" to fold "s5" it reaches 10 mm' in finding.message


def test_an_inch_design_is_told_in_inches(design_of: DesignOf) -> None:
    from dataclasses import replace

    proof = prove(replace(design_of(step_card(gutter="105 mm + 1/8 in")), units="in"), {})
    (finding,) = [one for one in proof.findings if one.rule == "buckles"]
    assert "buckles by 1/4 in when closed" in finding.message
    assert " mm" not in finding.message.replace("when closed", "").split(" at ")[0]
    assert " in to " in finding.mend


def test_a_fold_that_follows_is_told(design_of: DesignOf) -> None:
    proof = proof_of(
        step_card(gutter="107").replace(
            "[[piece.fold]]",
            '[[piece.fold]]\n        name = "flute"\n        sense = "valley"\n        angle = 0\n'
            "        points = [[100, 175], [100, 210]]\n        [[piece.fold]]",
            1,
        ),
        design_of,
    )
    assert proof.verdict is Verdict.BUCKLES
    followed = {mend.moves[0].line: mend.folds for mend in proof.mends}
    assert followed["steps 1"] == ("flute",)
    assert followed["gutter"] == ()


def test_a_slit_never_shrinks_to_nothing(design_of: DesignOf) -> None:
    proof = proof_of(
        """
        [[piece]]
        name = "p"
        outline = { rectangle = [100, 100] }
        [[piece.fold]]
        name = "l"
        sense = "valley"
        points = [[0, 50], [40, 50]]
        [[piece.fold]]
        name = "r"
        sense = "valley"
        points = [[40, 60], [100, 62]]
        [[piece.slit]]
        points = [[40, 50], [40, 60]]
        """,
        design_of,
    )
    assert proof.verdict is Verdict.GAPES
    assert proof.mends == ()


def test_a_turn_is_told_by_where_the_fold_then_runs(design_of: DesignOf) -> None:
    proof = proof_of(
        """
        [[piece]]
        name = "sheet"
        outline = { rectangle = [100, 100] }
        [[piece.fold]]
        name = "level"
        sense = "valley"
        points = [[0, 50], [100, 50]]
        [[piece.fold]]
        name = "down"
        sense = "valley"
        points = [[50, 0], [50, 50]]
        [[piece.fold]]
        name = "up"
        sense = "mountain"
        points = [[50, 50], [60, 100]]
        """,
        design_of,
    )
    (finding,) = [one for one in proof.findings if one.severity == "stop"]
    # A whole fold turns before one that would have to bend.
    assert finding.mend == (
        'turn fold "down" by 11.310 degrees anticlockwise, '
        "so that it runs from (60, 0) mm to (50, 50) mm"
    )
    ends = {mend.moves[0].line: mend.moves[0].ends for mend in proof.mends}
    assert [at.floats() for at in ends["up"]] == [(50, 50), (50, 100)]
    assert [at.floats() for at in ends["level#1"]] == [(50, 50), (0, 60)]
    for mend in proof.mends:
        (move,) = mend.moves
        # Both places are measured along one normal, and no ruler lies along a turn.
        assert abs(float(move.to_mm) - float(move.from_mm)) < 30
        assert move.on_ruler is None


def test_a_card_turned_and_written_in_decimals_has_the_same_mends(design_of: DesignOf) -> None:
    """Decimals are exact numbers and only as parallel as their last digit."""
    import math

    def turned(x: float, y: float) -> str:
        cos, sin = math.cos(0.5), math.sin(0.5)
        return f"[{x * cos - y * sin + 200:.12f}, {x * sin + y * cos:.12f}]"

    lines = [("gutter", 0, 107, 50, "valley")]
    lines += [
        (f"steps {i}", 50, y, 148, "mountain" if i % 2 == 0 else "valley")
        for i, y in enumerate((175, 145, 110, 80, 45), start=1)
    ]
    folds = "".join(
        f'[[piece.fold]]\nname = "{name}"\nsense = "{sense}"\n'
        f"points = [{turned(x, y)}, {turned(end, y)}]\n"
        for name, x, y, end, sense in lines
    )
    corners = ", ".join(turned(x, y) for x, y in ((0, 0), (148, 0), (148, 210), (0, 210)))
    proof = proof_of(
        f'[[piece]]\nname = "base"\noutline = {{ polygon = [{corners}] }}\n'
        f"[[piece.slit]]\npoints = [{turned(50, 45)}, {turned(50, 175)}]\n{folds}",
        design_of,
    )
    assert proof.verdict is Verdict.BUCKLES
    assert proof.gap_mm == pytest.approx(4.0, abs=1e-9)
    assert {mend.moves[0].line for mend in proof.mends} == {name for name, *_ in lines}
    assert len(proof.mends) == 6
    for mend in proof.mends:
        (move,) = mend.moves
        assert abs(float(move.to_mm) - float(move.from_mm)) == pytest.approx(2.0, abs=1e-9)
