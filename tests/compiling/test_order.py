"""Tests of compiling.order: marks, scores, cuts; inner before outer; the nearest next."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from foldwright.compiling.order import arrange, nearest_next
from foldwright.compiling.size_bar import add
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How
from foldwright.drawing import Layer, Role, Stroke, Work
from foldwright.geometry import Point, circle, line, point


def stroke(name: str, *places: tuple[float, float], closed: bool = False) -> Stroke:
    path = line(*(Point(*at) for at in places))
    return Stroke(
        path=type(path)(path.vertices, closed),
        layer=Layer.SCORE,
        work=Work.CREASED,
        piece="card",
        source=name,
        role=Role.FOLD,
    )


def slowly(strokes: list[Stroke], here: tuple[float, float]) -> list[Stroke]:
    """The same order by looking at every stroke each time."""
    left = list(strokes)
    found: list[Stroke] = []
    while left:
        keys = []
        for index, one in enumerate(left):
            ends = [one.path.start] if one.path.closed else [one.path.start, one.path.end]
            keys += [(math.dist(here, end.floats()), index, far) for far, end in enumerate(ends)]
        _, index, far = min(keys)
        chosen = left.pop(index)
        found.append(chosen)
        here = (chosen.path.start if far else chosen.path.end).floats()
    return found


def test_work_goes_from_marks_over_scores_to_cuts_and_from_inside_out(build: Any) -> None:
    passed = build.run(build.step_card(), build.way(perforation=(2.0, 1.0)), draw, arrange)
    roles = [s.role for s in passed.drawing.strokes]
    assert roles == [
        Role.MARK, Role.FOLD, Role.FOLD, Role.FOLD, Role.FOLD, Role.FOLD,
        Role.SLIT, Role.SLIT, Role.OPENING, Role.OUTLINE,
    ]  # fmt: skip


def test_what_is_perforated_is_done_before_anything_is_cut_through(build: Any) -> None:
    """Files keep strokes of one work together: the outline must still come last."""
    passed = build.run(build.step_card(), build.way(perforation=(2.0, 1.0)), draw, arrange)
    assert passed.drawing.works(Layer.CUT) == (Work.PERFORATED, Work.THROUGH)
    assert passed.drawing.on(Layer.CUT)[0].source == "coupon"


def test_strokes_given_backwards_come_in_the_order_of_work(build: Any) -> None:
    job = build.job(build.step_card(), build.way(perforation=(2.0, 1.0)))
    drawn = draw(build.blank(job.piece), job).drawing
    backwards = drawn.with_strokes(tuple(reversed(drawn.strokes)))
    roles = [s.role for s in arrange(backwards, job).drawing.strokes]
    assert roles[0] is Role.MARK
    assert roles[-2:] == [Role.OPENING, Role.OUTLINE]


def test_size_bars_follow_the_marks(build: Any) -> None:
    job = build.job(build.step_card(), build.way(), size_bar=True)
    drawing = add(draw(build.blank(job.piece), job).drawing, job).drawing
    marks = arrange(drawing, job).drawing.on(Layer.MARK)
    assert marks[0].role is Role.MARK
    assert {s.role for s in marks[1:]} == {Role.SIZE_BAR}
    assert len(marks) > 3


def cuts(name: str, places: list[tuple[float, float]]) -> list[Stroke]:
    """The cuts of a perforated line along x."""
    return [
        replace(
            stroke(name, (start, y), (start + 2.0, y)),
            layer=Layer.CUT,
            work=Work.PERFORATED,
            role=Role.SLIT,
        )
        for start, y in places
    ]


def test_a_perforated_line_is_worked_from_one_end_to_the_other() -> None:
    """Also where the tool comes from beside its middle: no cut is left over for the way back."""
    tear = cuts("tear", [(1.0 + 3.0 * i, 10.0) for i in range(17)])
    found = nearest_next(tear, (26.0, 0.0))
    starts = [s.path.start.x for s in found]
    assert starts == sorted(starts) or starts == sorted(starts, reverse=True)
    # Where its last cut is nearer, every cut is turned as well.
    found = nearest_next(tear, (45.0, 0.0))
    assert [(s.path.start.x, s.path.end.x) for s in found] == [
        (3.0 + 3.0 * i, 1.0 + 3.0 * i) for i in reversed(range(17))
    ]


def test_cuts_of_two_perforated_lines_are_not_mixed() -> None:
    near = cuts("near", [(3.0 * i, 0.0) for i in range(4)])
    far = cuts("far", [(3.0 * i, 0.5) for i in range(4)])
    found = nearest_next([*far, *near], (0.0, 0.0))
    assert [s.source for s in found] == ["near"] * 4 + ["far"] * 4
    assert [s.path.start.x for s in found] == [0.0, 3.0, 6.0, 9.0, 11.0, 8.0, 5.0, 2.0]


def test_a_torn_line_of_a_card_is_one_run(build: Any) -> None:
    piece = build.piece(slits=(build.slit("coupon", (0, 40), (50, 40), how=How.TEAR),))
    drawing = build.compiled(piece, build.way(perforation=(2.0, 1.0))).drawing
    starts = [s.path.start.x for s in drawing.on(Layer.CUT) if s.source == "coupon"]
    assert len(starts) > 10
    assert starts == sorted(starts)


def test_the_dashes_of_one_fold_are_one_run() -> None:
    """Another fold starts nearer to where its first dash ends than its second one does."""
    dashes = [
        replace(cut, work=Work.HALF_CUT, role=Role.FOLD, layer=Layer.SCORE)
        for cut in [*cuts("a", [(10, 0), (20, 0)]), *cuts("b", [(11.2, 0.1)])]
    ]
    assert [s.source for s in nearest_next(dashes, (0.0, 0.0))] == ["a", "a", "b"]


def test_the_nearest_end_comes_next_and_open_strokes_may_be_reversed() -> None:
    found = nearest_next(
        [
            stroke("far", (0, 30), (10, 30)),
            stroke("near", (10, 1), (0, 1)),
            stroke("middle", (0, 15), (10, 15)),
        ],
        (0.0, 0.0),
    )
    assert [(s.source, s.path.start.floats()) for s in found] == [
        ("near", (0.0, 1.0)),
        ("middle", (10.0, 15.0)),
        ("far", (0.0, 30.0)),
    ]


def test_closed_strokes_are_never_reversed() -> None:
    ring = stroke("ring", (5, 5), (9, 5), (9, 9), closed=True)
    assert nearest_next([ring], (9.0, 9.0)) == [ring]


def test_ties_stay_as_they_came() -> None:
    names = [
        s.source
        for s in nearest_next(
            [stroke("a", (1, 0), (5, 0)), stroke("b", (-1, 0), (-5, 0))], (0.0, 0.0)
        )
    ]
    assert names == ["a", "b"]


@given(
    st.lists(st.tuples(*(st.floats(0.0, 200.0) for _ in range(4))), min_size=1, max_size=90),
    st.sampled_from([1.0, 0.01]),
)
def test_the_grid_gives_the_same_order_as_looking_at_every_stroke(
    places: list[tuple[float, float, float, float]], height: float
) -> None:
    """Also where all strokes crowd along one line."""
    strokes = [
        stroke(str(i), (x0, y0 * height), (x1, y1 * height), closed=i % 5 == 0)
        for i, (x0, y0, x1, y1) in enumerate(places)
    ]
    found = nearest_next(strokes, (0.0, 0.0))
    assert [s.source for s in found] == [s.source for s in slowly(strokes, (0.0, 0.0))]


def test_many_strokes_need_little_more_than_one_look_each(build: Any, monkeypatch: Any) -> None:
    """Counted, not timed: 4,000 strokes on a lattice, and how many ends are compared."""
    from foldwright.compiling import order

    looks = 0
    plain = order._Grid._nearer

    def counting(self: Any, *rest: Any) -> Any:
        nonlocal looks
        looks += 1
        return plain(self, *rest)

    monkeypatch.setattr(order._Grid, "_nearer", counting)
    strokes = [
        stroke(f"{x},{y}", (3.0 * x, 3.0 * y), (3.0 * x + 2.0, 3.0 * y))
        for x in range(80)
        for y in range(50)
    ]
    nearest_next(strokes, (0.0, 0.0))
    assert looks < 400 * len(strokes)


def test_the_tool_starts_at_the_lower_left_of_the_drawing(build: Any) -> None:
    windows = tuple(
        build.opening(f"window {i}", circle(point(x, y), Fraction(4)))
        for i, (x, y) in enumerate(((90, 50), (10, 10), (50, 30)), 1)
    )
    passed = build.run(build.piece(openings=windows), build.way(), draw, arrange)
    names = [s.source for s in passed.drawing.strokes]
    assert names == ["window 2", "window 3", "window 1", "outline"]
