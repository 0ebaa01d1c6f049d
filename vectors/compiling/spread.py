"""This module spreads places evenly round or along a path, clear of stretches that are taken."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort

# How many starting places are tried for the even spread.
STARTS = 24


def spread(
    total: float, taken: list[tuple[float, float]], count: int, apart: float
) -> list[float] | None:
    """`count` distances along a closed path of length `total`, as evenly spread as may be.

    None lies inside a `taken` stretch (pairs of distances, which may run over
    either end), and any two are at least `apart`.  Returns None where that many
    do not fit in.  Deterministic: of equally even ones, the first found.
    """
    return spread_over(total, free_stretches(total, taken), count, apart)


def spread_over(
    total: float, free: list[tuple[float, float]], count: int, apart: float
) -> list[float] | None:
    """The same, with the stretches that are free, in order, in place of those taken."""
    # A stretch holds no more places than so many lengths of `apart`, and one.
    if sum(int((high - low + 1e-6) / apart) + 1 for low, high in free) < count:
        return None
    best: tuple[float, float] | None = None
    chosen: list[float] | None = None
    for start in range(STARTS):
        found: list[float] = []
        worst = squares = 0.0
        for index in range(count):
            ideal = (start / STARTS + index) * total / count
            place = _nearest_free(total, free, found, ideal, apart)
            if place is None:
                break
            away = _round_distance(total, place, ideal)
            worst, squares = max(worst, away), squares + away * away
            if best is not None and round(worst, 6) > best[0]:
                break
            insort(found, place)
        else:
            # Rounded, so that rounding never picks between equally good ones.
            cost = (round(worst, 6), round(squares, 6))
            if best is None or cost < best:
                best, chosen = cost, found
            if cost == (0.0, 0.0):
                # Nothing is more even, and of equally even ones the first counts.
                break
    return chosen


def spread_open(
    total: float, free: list[tuple[float, float]], count: int, apart: float
) -> list[float] | None:
    """`count` distances along an open path of length `total`, as evenly spread as may be.

    Like the others, but each stands as near as may be to the middle of its share of
    the path, and the two ends are no neighbours.
    """
    placed: list[float] = []
    # Ends so far from each other round a circle never come into each other's way.
    far = 3.0 * total + apart
    for index in range(count):
        place = _nearest_free(far, free, placed, (index + 0.5) * total / count, apart)
        if place is None:
            return None
        insort(placed, place)
    return placed


def free_stretches(total: float, taken: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """What is left of 0 to `total` beside the `taken` stretches, in order."""
    pieces: list[tuple[float, float]] = []
    for low, high in taken:
        if high - low >= total:
            return []
        turn = low // total * total
        low, high = low - turn, high - turn
        pieces.append((low, min(high, total)))
        if high > total:
            pieces.append((0.0, high - total))
    free: list[tuple[float, float]] = []
    reached = 0.0
    for low, high in sorted(pieces):
        if low > reached:
            free.append((reached, low))
        reached = max(reached, high)
    if reached < total:
        free.append((reached, total))
    return free


def _round_distance(total: float, first: float, second: float) -> float:
    way = (first - second) % total
    return min(way, total - way)


def _nearest_free(
    total: float,
    free: list[tuple[float, float]],
    placed: list[float],
    ideal: float,
    apart: float,
) -> float | None:
    """The free place nearest to `ideal` that keeps `apart` from all places already found."""
    if not free:
        return None
    ideal %= total
    at = bisect_left(free, (ideal, total))
    if any(low <= ideal <= high for low, high in free[max(0, at - 1) : at + 1]) and _clear(
        total, ideal, placed, apart
    ):
        return ideal
    best: tuple[float, float] | None = None
    # Outwards from the ideal, one stretch to either side at a time.
    for step in range((len(free) + 1) // 2 + 1):
        nearer = False
        for index in {(at - 1 - step) % len(free), (at + step) % len(free)}:
            low, high = free[index]
            if best is not None and _outside(total, low, high, ideal) > best[0]:
                continue
            nearer = True
            for place in _candidates(total, low, high, ideal, placed, apart):
                if _clear(total, place, placed, apart):
                    key = (_round_distance(total, place, ideal), place)
                    best = key if best is None else min(best, key)
        if best is not None and not nearer:
            break
    return None if best is None else best[1]


def _clear(total: float, place: float, placed: list[float], apart: float) -> bool:
    """Whether a place keeps `apart` from all others, which are in order, round the path."""
    if not placed:
        return True
    after = bisect_left(placed, place) % len(placed)
    return all(
        _round_distance(total, place, placed[index]) >= apart - 1e-9 for index in (after - 1, after)
    )


def _outside(total: float, low: float, high: float, ideal: float) -> float:
    """How far a stretch is from a place, round the path."""
    if low <= ideal <= high:
        return 0.0
    return min(_round_distance(total, low, ideal), _round_distance(total, high, ideal))


def _candidates(
    total: float, low: float, high: float, ideal: float, placed: list[float], apart: float
) -> list[float]:
    """Places of a stretch worth a look: its ends, the ideal, those just clear of others."""
    places = [low, high, ideal]
    for way in (-apart, apart):
        near = _between(total, low - way - 1e-6, high - way + 1e-6, placed)
        places += [(other + way) % total for other in near]
    return [place for place in places if low <= place <= high]


def _between(total: float, low: float, high: float, placed: list[float]) -> list[float]:
    """Those of the ordered places that lie from `low` to `high`, round the path."""
    if high - low >= total:
        return placed
    turn = low // total * total
    low, high = low - turn, high - turn
    found = placed[bisect_left(placed, low) : bisect_right(placed, high)]
    return found + placed[: bisect_right(placed, high - total)] if high > total else found
