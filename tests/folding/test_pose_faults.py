"""Poses that a search may get wrong: each case here once gave a wrong number, or could."""

from __future__ import annotations

import math

import numpy as np
import pytest

from foldwright.folding.closure import residual
from foldwright.folding.linkage import linkage_of
from foldwright.folding.poses import Outcome
from tests.folding.folded_samples import V, assembled, v_fold, vertex
from tests.folding.posing import posed


def test_half_a_turn_left_over_is_no_closed_loop() -> None:
    """One crease shut and the others flat: the paper is cut by no slit, so that cannot be."""
    linkage = linkage_of(assembled(vertex((90, 90, 90), (V, V, V, V))))
    left = residual(linkage, np.radians([180.0, 0.0, 0.0, 0.0]))
    assert float(np.abs(left).max()) * linkage.size == pytest.approx(
        2.0 * float(linkage.rounds[0].reach[0])
    )


@pytest.mark.parametrize("right_al", [40.0, 44.0, 46.0, 47.0, 48.0, 50.0, 55.0])
def test_a_v_fold_of_unequal_glue_angles_stands_on_the_open_card(right_al: float) -> None:
    """Both wings are at 60 degrees to the ridge, and their feet at 45 and at another angle.

    With the card open flat the three lines at the apex are the corners of a spherical
    triangle of sides 60, 60 and the sum of both angles, so that the law of cosines
    gives the ridge.
    """
    base, wing = math.radians(45.0 + right_al), math.radians(60.0)
    between = math.acos((math.cos(base) - math.cos(wing) ** 2) / math.sin(wing) ** 2)
    pose = posed(v_fold(45.0, 60.0, right_al=right_al).assembly, {"gutter": 0.0})
    assert pose.outcome is Outcome.REACHED
    assert pose.turned("ridge") == pytest.approx(180.0 - math.degrees(between), abs=1e-7)
