"""The pattern pillow-box: a flat tube of two panels whose ends are scored along arcs.

By hand: an arc of chord w and sagitta e has the radius (w^2 / 4 + e^2) / (2 e), from the
right triangle of radius, half chord and radius less sagitta.  For 72 mm and a sixth of it,
12 mm, that is (1296 + 144) / 24 = 60 mm.  The tube is flat when the side and the seam are
shut: front on back, w wide, and as long as the sides and both sagittas of the cut arcs.
A sagitta of a sixth to a quarter of the width is common practice, no source.
"""

from __future__ import annotations

import math

import pytest

from foldwright.folding import Verdict
from foldwright.measures import Unit

from .shipped import closed_mm, proof, resolved, rules_of


def arcs(units: Unit = Unit.MM, **overrides: str) -> dict[str, tuple[float, float, float]]:
    """Chord, sagitta and radius of every arc that is scored, from its ends and its bulge."""
    (piece,) = resolved("pillow-box", units, **overrides).pieces
    found = {}
    for fold in piece.folds:
        start, end = fold.path.vertices
        bulge = abs(float(start.bulge))
        if bulge:
            # The bulge is tan(sweep / 4): the sagitta in half chords (DXF convention).
            chord = math.dist(start.at.floats(), end.at.floats())
            sagitta = bulge * chord / 2
            found[fold.name or ""] = (chord, sagitta, chord * (1 + bulge**2) / (4 * bulge))
    return found


class TestPillowBox:
    def test_all_arcs_have_one_radius(self) -> None:
        found = arcs()
        assert set(found) == {
            f"{panel} {end} arc" for panel in ("front", "back") for end in ("lower", "upper")
        }
        for one in found.values():
            assert one == pytest.approx((72, 12, 60))

    def test_the_inch_edition(self) -> None:
        # 3 in and a sixth of it: (9 / 4 + 1 / 4) / 1 = 2 1/2 in.
        for one in arcs(Unit.IN).values():
            assert one == pytest.approx((76.2, 12.7, 63.5))

    def test_scores_bulge_inwards_and_edges_outwards(self) -> None:
        found = proof("pillow-box")
        (piece,) = found.pieces
        boxes = {panel.name: panel.box for panel in piece.division.panels}
        # Two sagittas of 12 mm and sides of 110 mm; the arcs part no panel in two.
        assert boxes["front"] == pytest.approx((12, 0, 84, 134))
        assert boxes["back"] == pytest.approx((84, 0, 156, 134))
        assert set(boxes) == {"glue flap", "front", "back"}
        box = {fold.name: fold.path.box() for fold in found.resolved.pieces[0].folds}
        assert box["front lower arc"] == pytest.approx((12, 12, 84, 24))
        assert box["back upper arc"] == pytest.approx((84, 110, 156, 122))

    def test_closed_it_is_a_flat_tube(self) -> None:
        found = proof("pillow-box")
        assert found.verdict is Verdict.CLOSES
        assert found.gap_mm == 0.0
        assert closed_mm(found) == pytest.approx((72, 134))

    def test_a_note_says_that_arcs_are_not_folded(self) -> None:
        told = [one for one in proof("pillow-box").findings if one.rule == "arc-not-folded"]
        assert len(told) == 4
        assert {one.severity.value for one in told} == {"note"}

    @pytest.mark.parametrize("rise", [9, 12, 18])
    def test_the_glue_flap_lies_on_no_arc(self, rise: int) -> None:
        # Off the corners by the sagitta at the least, which is as far as an arc reaches in.
        (piece,) = proof("pillow-box", rise=f"{rise} mm").pieces
        (flap,) = [one for one in piece.division.panels if one.name == "glue flap"]
        assert flap.box[1] >= 2 * rise - 1e-9
        assert flap.box[3] <= 110 + 1e-9

    def test_limits(self) -> None:
        assert ("below-least", "rise") in rules_of("pillow-box", rise="8.9")
        assert ("above-most", "rise") in rules_of("pillow-box", rise="18.1")
        assert ("below-least", "length") in rules_of("pillow-box", length="71")
        assert rules_of("pillow-box", flap="34.1") == {("above-most", "flap")}
        assert rules_of("pillow-box", taper="11") == {("below-least", "taper")}
