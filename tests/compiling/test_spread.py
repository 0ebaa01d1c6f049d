"""Tests of compiling.spread: places round a closed path, even and clear of what is taken."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.compiling.spread import free_stretches, spread


def round_distance(total: float, a: float, b: float) -> float:
    return min((a - b) % total, (b - a) % total)


def test_free_stretches_are_what_is_not_taken() -> None:
    assert free_stretches(10.0, []) == [(0.0, 10.0)]
    assert free_stretches(10.0, [(2.0, 4.0), (3.0, 5.0)]) == [(0.0, 2.0), (5.0, 10.0)]
    # One that runs over the start is taken at both ends.
    assert free_stretches(10.0, [(-1.0, 1.0)]) == [(1.0, 9.0)]
    assert free_stretches(10.0, [(9.0, 12.0)]) == [(2.0, 9.0)]
    assert free_stretches(10.0, [(3.0, 13.0)]) == []
    assert free_stretches(10.0, [(0.0, 5.0), (5.0, 10.0)]) == []


def test_with_nothing_taken_the_spread_is_even() -> None:
    assert spread(100.0, [], 4, 10.0) == [0.0, 25.0, 50.0, 75.0]


def test_a_taken_place_turns_the_whole_spread() -> None:
    places = spread(100.0, [(-2.0, 2.0), (48.0, 52.0)], 2, 10.0)
    assert places is not None
    assert places[1] - places[0] == pytest.approx(50.0)


def test_one_free_stretch_takes_them_all() -> None:
    places = spread(100.0, [(20.0, 100.0)], 3, 5.0)
    assert places is not None
    assert all(0.0 <= place <= 20.0 for place in places)
    assert all(b - a >= 5.0 - 1e-9 for a, b in pairwise(places))


def test_none_where_there_is_no_room() -> None:
    assert spread(100.0, [(0.0, 100.0)], 1, 1.0) is None
    assert spread(100.0, [(4.0, 100.0)], 3, 5.0) is None
    assert spread(10.0, [], 3, 5.0) is None


def test_many_places_are_compared_with_their_neighbours_only(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Counted, not timed: 2,000 places between 4,000 taken stretches."""
    from foldwright.compiling import spread as module

    looks = 0
    plain = module._round_distance

    def counting(total: float, first: float, second: float) -> float:
        nonlocal looks
        looks += 1
        return plain(total, first, second)

    monkeypatch.setattr(module, "_round_distance", counting)
    taken = [(5.0 * i + 1.0, 5.0 * i + 4.0) for i in range(4000)]
    places = spread(20_000.0, taken, 2000, 3.0)
    assert places is not None and len(places) == 2000
    assert looks < 24 * 2000 * 40


@given(
    st.floats(20.0, 900.0),
    st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.5, 6.0)), max_size=12),
    st.integers(1, 9),
)
def test_places_are_free_apart_and_as_many_as_asked(
    total: float, blocks: list[tuple[float, float]], count: int
) -> None:
    taken = [(at * total - half, at * total + half) for at, half in blocks]
    places = spread(total, taken, count, 2.0)
    if places is None:
        return
    assert len(places) == count
    assert places == sorted(places)
    assert places == spread(total, taken, count, 2.0)
    for index, place in enumerate(places):
        assert 0.0 <= place <= total
        for at, half in blocks:
            assert round_distance(total, place, at * total) >= half - 1e-6
        for other in places[:index]:
            assert round_distance(total, place, other) >= 2.0 - 1e-6


@given(st.floats(100.0, 900.0), st.integers(2, 8))
def test_four_corners_never_hinder_an_even_spread(total: float, count: int) -> None:
    corners = [(share * total - 3.0, share * total + 3.0) for share in (0.0, 0.2, 0.5, 0.7)]
    places = spread(total, corners, count, 2.0)
    assert places is not None
    gaps = [b - a for a, b in zip(places, [*places[1:], places[0] + total], strict=True)]
    assert max(gaps) - min(gaps) <= 12.0 + 1e-6
