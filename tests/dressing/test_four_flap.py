"""Four-flap envelopes, against the usual allowances and the proof of the piece."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.dressing.four_flap import FourFlap
from foldwright.proving.model import ClosedStack
from foldwright.stacking.spill import NoCover
from tests.dressing.envelope_designs import proof_of, stops_and_warns

SIDES = st.floats(min_value=70, max_value=300)


@given(SIDES, SIDES)
def test_the_usual_allowances(first: float, second: float) -> None:
    """Side flaps of 15 to 25 mm; the lower flap 2/3 to 3/4 of the height, the upper 1/3 to 1/2.

    The upper flap lies on the lower one by 10 mm or more (all common practice, no source).
    """
    short, long = sorted((first, second))
    found = FourFlap(long_mm=long, short_mm=short)
    assert 15 <= found.side_flap_mm <= 25
    assert 2 / 3 <= found.lower_flap_mm / short <= 3 / 4
    assert 1 / 3 <= found.upper_flap_mm / short <= 1 / 2
    assert found.overlap_mm >= 10
    stepped = FourFlap(long_mm=long, short_mm=short, step_mm=0.5)
    for name in ("side_flap_mm", "lower_flap_mm", "upper_flap_mm"):
        whole = getattr(stepped, name)
        assert whole == pytest.approx(getattr(found, name), abs=1.0)
        assert whole * 2 == round(whole * 2)
    assert stepped.overlap_mm >= 10


@settings(deadline=None)
@given(SIDES, SIDES, st.sampled_from([0.0, 4.0, 12.5]))
def test_the_blank_is_as_large_as_it_says(first: float, second: float, depth: float) -> None:
    short, long = sorted((first, second))
    blank = FourFlap(long_mm=long, short_mm=short, depth_mm=depth)
    left, bottom, right, top = blank.piece("envelope").outline.box()
    assert (left, bottom) == pytest.approx((0, 0), abs=1e-9)
    assert (right, top) == pytest.approx(blank.blank_mm)
    assert (right, top) == pytest.approx(
        (
            long + 2 * (depth + blank.side_flap_mm),
            short + 2 * depth + blank.lower_flap_mm + blank.upper_flap_mm,
        )
    )


@pytest.mark.parametrize("sides", [(162, 114), (150, 150), (229, 114), (90, 60)])
def test_it_folds_to_its_pocket(sides: tuple[float, float]) -> None:
    long, short = sides
    proof = proof_of(FourFlap(long_mm=long, short_mm=short).piece("envelope"))
    assert stops_and_warns(proof) == []
    assert (len(proof.pieces[0].division.panels), proof.verdict) == (5, "closes")
    stack = proof.closed_stack
    assert isinstance(stack, ClosedStack)
    left, bottom, right, top = stack.cover.outline.bounds
    assert (right - left, top - bottom) == pytest.approx((long, short), abs=1e-6)
    assert not isinstance(stack.spilled, NoCover)
    assert stack.spilled.spills == ()
    assert stack.thickness.most_plies == 4


def test_walls_stand_as_high_as_it_is_deep() -> None:
    proof = proof_of(FourFlap(long_mm=162, short_mm=114, depth_mm=8).piece("envelope"))
    assert stops_and_warns(proof) == []
    assert len(proof.pieces[0].division.panels) == 9
    # The pocket and the flaps lie 8 mm apart, so it is no flat stack.
    assert proof.closed_stack is None
    (told,) = [one for one in proof.findings if one.rule == "closed-not-flat"]
    assert told.measure_mm == pytest.approx(8)
    assert proof.closed is not None
    assert (proof.closed.width_mm, proof.closed.height_mm) == pytest.approx((162, 114))
