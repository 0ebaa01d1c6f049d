"""Many pairs of lines meet where each pair alone does."""

from __future__ import annotations

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from foldwright.geometry import Point, Segment
from foldwright.geometry.line_meetings import line_meetings, meet_only_at_an_end
from foldwright.geometry.meetings import Overlap, meetings

TOLERANCE = 1e-3
OFF = st.sampled_from((0.0, 0.0, 0.0, 0.0004, -0.0007, 0.0013, 0.01))
NUMBER = st.tuples(st.integers(0, 6), OFF).map(lambda one: one[0] + one[1])
PLACE = st.tuples(NUMBER, NUMBER)
LINES = st.lists(st.tuples(PLACE, PLACE), min_size=2, max_size=8)
DIAGONAL = ((0.0, 0.0), (6.0, 6.0))


def segment(line: tuple[tuple[float, float], tuple[float, float]]) -> Segment:
    return Segment(Point(*line[0]), Point(*line[1]))


@given(lines=LINES)
@example(lines=[DIAGONAL, DIAGONAL])
@example(lines=[DIAGONAL, (DIAGONAL[1], DIAGONAL[0])])
@example(lines=[DIAGONAL, ((0.0, 0.0), (3.0, 3.0))])
@example(lines=[DIAGONAL, ((3.0, 3.0), (3.0, 3.0))])
def test_lines_split_each_other_where_a_pair_alone_does(
    lines: list[tuple[tuple[float, float], tuple[float, float]]],
) -> None:
    rows = np.array(lines).reshape(-1, 4)
    _, ends = np.unique(rows.reshape(-1, 2), axis=0, return_inverse=True)
    i, j = np.triu_indices(len(lines), k=1)
    only = meet_only_at_an_end(rows, ends.reshape(-1, 2), i, j, TOLERANCE)
    splits, care = line_meetings(rows, i, j, TOLERANCE)
    left = set(care.tolist())
    found = sorted(
        zip(
            splits.line.tolist(),
            splits.share.tolist(),
            splits.x.tolist(),
            splits.y.tolist(),
            strict=True,
        )
    )
    wanted = []
    for number, (a, b) in enumerate(zip(i.tolist(), j.tolist(), strict=True)):
        met = meetings(segment(lines[a]), segment(lines[b]), TOLERANCE)
        if only[number]:
            (one,) = met
            assert not isinstance(one, Overlap)
            assert {one.first, one.second} <= {0.0, 1.0}
        if number in left:
            continue
        for one in met:
            # Lines along each other are always left to the careful code.
            assert not isinstance(one, Overlap)
            for line, share in ((a, one.first), (b, one.second)):
                if 0.0 < share < 1.0:
                    wanted.append((line, share, *one.at.floats()))
    assert found == sorted(wanted)


def test_a_pair_that_crosses_is_not_left_to_the_careful_code() -> None:
    rows = np.array([[0.0, 0.0, 4.0, 4.0], [0.0, 4.0, 4.0, 0.0], [2.0, 2.0, 9.0, 0.0]])
    splits, care = line_meetings(rows, np.array([0, 0]), np.array([1, 2]), TOLERANCE)
    assert care.tolist() == []
    assert sorted(zip(splits.line.tolist(), splits.share.tolist(), strict=True)) == [
        (0, 0.5),
        (0, 0.5),
        (1, 0.5),
    ]
    assert set(zip(splits.x.tolist(), splits.y.tolist(), strict=True)) == {(2.0, 2.0)}
