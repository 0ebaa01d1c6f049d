"""How the gap answers to errors of the lines: finite differences, closed forms, whole cards."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.pieces import Resolved
from foldwright.folding import Loop, closing, loops_of
from foldwright.folding.closing import flat_step
from foldwright.folding.isometry import IDENTITY
from foldwright.geometry import Point, Segment, Vector
from foldwright.panels import assemble, divide
from foldwright.proving.sensitivity import (
    LineKey,
    Pair,
    laid_lines,
    lies_flat,
    line_key,
    meeting_places,
    sensitivity,
)
from tests.conftest import resolved_of

STEPS = """
    [[piece]]
    name = "base"
    outline = { rectangle = [148, 210] }
    [[piece.slit]]
    points = [[50, 45], [50, 175]]
    [[piece.band]]
    name = "steps"
    from = [50, 175]
    to = [148, 175]
    walk = [30, 35, 30, 35]
    sense = "alternate"
    first = "valley"
    [[piece.fold]]
    name = "gutter"
    sense = "valley"
    points = [[0, 105], [50, 105]]
    """

# Four folds meet at a vertex; its sectors are 90, 45, 90 and 135 degrees.
VERTEX = """
    [[piece]]
    name = "sheet"
    outline = { rectangle = [100, 100] }
    [[piece.fold]]
    name = "right"
    sense = "valley"
    points = [[50, 50], [100, 50]]
    [[piece.fold]]
    name = "up"
    sense = "valley"
    points = [[50, 50], [50, 100]]
    [[piece.fold]]
    name = "slant"
    sense = "mountain"
    points = [[50, 50], [0, 100]]
    [[piece.fold]]
    name = "down"
    sense = "valley"
    points = [[50, 50], [0, 0]]
    """

# A strip glued to both pages: wall 30 and floor 40, tread 40 and riser 30.
GLUED = """
    [[piece]]
    name = "base"
    outline = { rectangle = [100, 200] }
    [[piece.fold]]
    name = "gutter"
    sense = "valley"
    points = [[0, 100], [100, 100]]
    [[piece.panel]]
    name = "floor"
    at = [50, 50]
    [[piece.panel]]
    name = "wall"
    at = [50, 150]
    [[piece]]
    name = "strip"
    outline = { rectangle = [40, 90] }
    [[piece.band]]
    name = "strip"
    from = [0, 80]
    to = [40, 80]
    walk = [40, 30]
    sense = "alternate"
    first = "valley"
    [[piece.panel]]
    name = "lower foot"
    at = [20, 5]
    [[piece.panel]]
    name = "upper foot"
    at = [20, 85]
    [[joint]]
    name = "first"
    glue = { panel = "strip/lower foot", face = "back", line = [[0, 10], [40, 10]] }
    to = { panel = "base/floor", face = "front", line = [[30, 60], [70, 60]] }
    [[joint]]
    name = "second"
    glue = { panel = "strip/upper foot", face = "back", line = [[0, 80], [40, 80]] }
    to = { panel = "base/wall", face = "front", line = [[30, 130], [70, 130]] }
    """


def loop_of(text: str) -> Loop:
    design = resolved_of(text)
    divisions = {piece.name: divide(piece) for piece in design.pieces}
    for division in divisions.values():
        assert division.problems == ()
    (loop,) = loops_of(assemble(divisions, design.joints))
    return loop


def with_errors(loop: Loop, errors: dict[tuple[LineKey, int], float]) -> Loop:
    """The loop with the ends of its lines moved, each to the left of its line by its error."""
    steps = []
    for index, step in enumerate(loop.steps):
        key = line_key(index, step)
        if step.hinge is not None:
            line = moved(step.hinge.line, errors, key)
            steps.append(replace(step, hinge=replace(step.hinge, line=line)))
            continue
        assert step.joint is not None
        glued = step.joint.joint
        before = moved(step.joint_lines()[0], errors, key)
        end = glued.glue if step.forward else glued.to
        shifted = replace(end, start=before.start, end=before.end)
        changed = replace(glued, glue=shifted) if step.forward else replace(glued, to=shifted)
        steps.append(replace(step, joint=replace(step.joint, joint=changed)))
    return replace(loop, steps=tuple(steps))


def moved(line: Segment, errors: dict[tuple[LineKey, int], float], key: LineKey) -> Segment:
    (x0, y0), (x1, y1) = line.start.floats(), line.end.floats()
    along = Vector(x1 - x0, y1 - y0)
    unit = along / along.length
    first, second, slide = (errors.get((key, end), 0.0) for end in range(3))
    return Segment(
        Point(x0, y0) + unit.left * first + unit * slide,
        Point(x1, y1) + unit.left * second + unit * slide,
    )


def miss(loop: Loop, place: Point) -> Pair:
    here = IDENTITY
    for step in loop.steps:
        here = here @ flat_step(step)
    by = here.apply(place) - place
    return float(by.x), float(by.y)


@pytest.mark.parametrize("text", [STEPS, VERTEX, GLUED], ids=["steps", "vertex", "glued"])
@pytest.mark.parametrize("at", [(0.0, 0.0), (148.0, 30.0), (-20.0, 77.0)])
def test_the_columns_are_finite_differences(text: str, at: Pair) -> None:
    loop = loop_of(text)
    place = Point(*at)
    here = IDENTITY
    for step in loop.steps:
        here = here @ flat_step(step)
    columns = sensitivity(loop, here.apply(place).floats())
    lines = {line_key(index, step) for index, step in enumerate(loop.steps)}
    assert {column.key for column in columns} == lines
    assert len(columns) == sum(2 if key[1] >= 0 else 3 for key in lines)
    step_mm = 1e-5
    for column in columns:
        ahead, behind = (
            miss(with_errors(loop, {(column.key, column.end): by}), place)
            for by in (step_mm, -step_mm)
        )
        slope = tuple((a - b) / (2 * step_mm) for a, b in zip(ahead, behind, strict=True))
        assert column.pull == pytest.approx(slope, abs=1e-6)


@given(
    errors=st.lists(
        st.floats(-0.05, 0.05, allow_nan=False, allow_infinity=False), min_size=12, max_size=12
    )
)
def test_the_gap_of_a_whole_card_is_what_the_columns_say(errors: list[float]) -> None:
    """Small errors of all twelve line ends at once, by the closing of the loop itself."""
    loop = loop_of(STEPS)
    keys = list(dict.fromkeys(line_key(i, step) for i, step in enumerate(loop.steps)))
    given_errors = {
        (key, end): errors[2 * i + end] for i, key in enumerate(keys) for end in range(2)
    }
    gaps = []
    for place in meeting_places(loop):
        x, y = place.miss
        for column in sensitivity(loop, place.at):
            by = given_errors[column.key, column.end]
            x, y = x + by * column.pull[0], y + by * column.pull[1]
        gaps.append(math.hypot(x, y))
    measured = closing(with_errors(loop, given_errors)).gap_mm
    assert measured is not None
    # What is left is of second order: 0.1 mm over a line of 50 mm, squared, over 200 mm.
    assert max(gaps) == pytest.approx(measured, abs=5e-3)


def test_a_line_that_moves_in_parallel_counts_twice() -> None:
    """The closed form: a fold off by e opens the gap by 2 e, every second one the other way."""
    loop = loop_of(STEPS)
    sums: dict[LineKey, list[float]] = {}
    for column in sensitivity(loop, (20.0, 60.0)):
        x, y = sums.setdefault(column.key, [0.0, 0.0])
        sums[column.key] = [x + column.pull[0], y + column.pull[1]]
    assert all(x == pytest.approx(0.0, abs=1e-12) for x, _ in sums.values())
    assert [abs(y) for _, y in sums.values()] == pytest.approx([2.0] * 6)
    by_fold = {key[1]: y for key, (_, y) in sums.items()}
    # steps 1 to 5 alternate, and the gutter answers as the even ones do.
    first = by_fold[0]
    assert [by_fold[i] / first for i in range(6)] == pytest.approx([1, -1, 1, -1, 1, -1])


def test_skew_alone_turns_the_card_by_twice_its_angle() -> None:
    loop = loop_of(STEPS)
    key = next(line_key(i, s) for i, s in enumerate(loop.steps) if s.label == "gutter")
    skewed = closing(with_errors(loop, {(key, 1): 0.5}))
    assert skewed.turn_deg == pytest.approx(2 * math.degrees(math.atan(0.5 / 50)))


def test_lines_of_one_fold_answer_together() -> None:
    """A straight fold that runs through a vertex is one line with two errors, not four."""
    loop = loop_of(
        """
        [[piece]]
        name = "sheet"
        outline = { rectangle = [100, 100] }
        [[piece.fold]]
        name = "level"
        sense = "valley"
        points = [[0, 50], [100, 50]]
        [[piece.fold]]
        name = "up"
        sense = "mountain"
        points = [[50, 50], [50, 100]]
        [[piece.fold]]
        name = "down"
        sense = "valley"
        points = [[50, 50], [50, 0]]
        """
    )
    assert len(loop.steps) == 4
    columns = sensitivity(loop, (0.0, 0.0))
    assert len(columns) == 6
    # A level line that is skew but straight still folds flat with the folds across it
    # only where those stay square to it; a plain shift of it changes nothing.
    level = [column.pull for column in columns if column.key[1] == 0]
    assert [a + b for a, b in zip(*level, strict=True)] == pytest.approx([0.0, 0.0], abs=1e-12)


def test_places_are_the_corners_of_what_is_folded_up() -> None:
    loop = loop_of(STEPS)
    ends = [place.at for place in meeting_places(loop)]
    assert len(ends) == len(set(ends))
    assert all(place.miss == (0.0, 0.0) for place in meeting_places(loop))
    # x runs over the whole card: the gutter starts at 0, the steps end at 148.
    assert {x for x, _ in ends} == {0.0, 148.0} | {x for x, _ in ends if 0.0 < x < 148.0}


def test_what_stands_up_has_no_columns(design_of: Callable[[str], Resolved]) -> None:
    loop = loop_of(
        STEPS.replace(
            "points = [[0, 105], [50, 105]]", "angle = 90\n" + "points = [[0, 105], [50, 105]]"
        )
    )
    assert not lies_flat(loop)
    with pytest.raises(ValueError, match="stands up"):
        laid_lines(loop)
    assert Fraction(90) in {step.hinge.angle for step in loop.steps if step.hinge is not None}
