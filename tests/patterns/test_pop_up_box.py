"""The pattern pop-up-box: a box cut across the gutter.

By hand, with gutter g, height h and depth d: the slits run from g - d to g + h, the folds between
them lie at g + h (valley), g + h - d (mountain) and g - d (valley), so the top is d deep and the
front h high.  With the page turned by f, the wall points to (cos f, sin f) in the plane across
the gutter, up being sin f, and the floor to (-1, 0).  The mountain, a depth and a height from it
on either way round, is the corner h (cos f, sin f) + d (-1, 0) of a parallelogram; this is the
published relation of a strip that is glued at h and d from the gutter (F30 in
tests/published/folding.toml).  Shut, it is h + d from the gutter, which with 2 mm more must fit
in the shorter page.

Folds turn alike: all of them by f.  Of a box no panel is folded over another but at its own folds,
so shut there are four plies at it, top and front between the pages, and no length is taken up.
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import PoseDraft, load_pattern
from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.profiles import Tool
from foldwright.proving import Proof, prove_design

from .posed import fold_angles, on_the_table
from .shipped import closed_mm, proof, resolved, rules_of, started

PUBLISHED = Path(__file__).parents[1] / "published" / "folding.toml"
FACTS = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))
STRIP = next(one["value"] for one in FACTS["fact"] if one["id"] == "F30")

NAME = "pop-up-box"


def turned_by(degrees: int, **overrides: str) -> Proof:
    """The card with its gutter turned so far."""
    pose = PoseDraft(
        name="standing", hold={"card/left gutter": f"{degrees} deg"}, on=["card/floor"]
    )
    return prove_design(replace(started(NAME), poses=(pose,)), overrides=overrides)


def ridge(found: Proof, pose: str) -> tuple[float, float]:
    """How far the mountain is in front of the gutter, and above it."""
    measures = found.resolved.measures
    edge = measures["gutter_y"] + measures["box_height"] - measures["box_depth"]
    _, y, z = on_the_table(found, pose, "top of the box", measures["box_left"], edge)
    return float(measures["gutter_y"]) - y, z


class TestOnTheSheet:
    @pytest.mark.parametrize(
        ("units", "factor", "places", "slits"),
        [
            (Unit.MM, 1, (150, 120, 75, 105), (44, 104, 75, 150)),
            (
                Unit.IN,
                Fraction("25.4"),
                (6, Fraction(19, 4), 3, Fraction(17, 4)),
                (Fraction(13, 8), Fraction(31, 8), 3, 6),
            ),
        ],
    )
    def test_the_worked_example(
        self,
        units: Unit,
        factor: Fraction | int,
        places: tuple[Fraction, ...],
        slits: tuple[Fraction, ...],
    ) -> None:
        (piece,) = resolved(NAME, units).pieces
        folds = {fold.name: fold for fold in piece.folds}
        names = ("box 1", "box 2", "box 3", "left gutter")
        assert [folds[name].path.start.y / factor for name in names] == list(places)
        senses = [str(*folds[name].senses) for name in names]
        assert senses == ["valley", "mountain", "valley", "valley"]
        left, right, low, high = slits
        assert [
            {(at.x / factor, at.y / factor) for at in (cut.path.start, cut.path.end)}
            for cut in piece.slits
        ] == [{(left, low), (left, high)}, {(right, low), (right, high)}]
        # No gutter between the slits.
        assert folds["left gutter"].path.end.x == left * factor
        assert folds["right gutter"].path.start.x == right * factor
        assert len(folds) == 5

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof(NAME)) == (148, 105)
        assert closed_mm(proof(NAME, Unit.IN)) == pytest.approx((5.5 * 25.4, 4.25 * 25.4))
        assert closed_mm(proof(NAME, gutter_y="120")) == (148, 120)

    def test_a_square_box_has_its_mountain_in_line_with_the_gutter(self) -> None:
        found = proof(NAME, box_height="40", box_depth="40")
        (piece,) = found.resolved.pieces
        folds = {fold.name: fold for fold in piece.folds}
        assert folds["box 2"].path.start.y == folds["left gutter"].path.start.y
        assert found.verdict is Verdict.CLOSES
        assert ridge(found, "standing") == pytest.approx((40, 40))


class TestHowItCloses:
    @given(st.fractions(12, 50, max_denominator=16), st.fractions(12, 50, max_denominator=16))
    @settings(max_examples=20, deadline=None)
    def test_any_box_closes_exactly(self, height: Fraction, depth: Fraction) -> None:
        found = proof(NAME, box_height=str(height), box_depth=str(depth))
        assert found.verdict is Verdict.CLOSES
        assert found.gap_mm == 0
        (piece,) = found.pieces
        assert [loop.exact for loop in piece.closings] == [True, True]

    def test_only_a_parallelogram_closes(self) -> None:
        # A mountain moved by 1 mm makes the top longer and the front shorter by as much, so
        # the band misses its end by twice that.
        (card,) = load_pattern(NAME).parts({}).pieces
        (band,) = card.bands
        moved = replace(band, walk=["box_depth + 1 mm", "box_height - 1 mm"])
        design = replace(started(NAME), pattern=None, pieces=(replace(card, bands=(moved,)),))
        found = prove_design(design)
        assert found.verdict is not Verdict.CLOSES
        assert found.gap_mm == 2

    def test_the_published_strip(self) -> None:
        found = proof(NAME, box_height=str(STRIP["a"]), box_depth=str(STRIP["b"]))
        assert ridge(found, "standing") == pytest.approx(STRIP["ridge_at_90"])
        assert ridge(found, "flat") == pytest.approx(STRIP["ridge_at_180"])
        # The closed card lies on its wall, so its floor points the other way.
        out, up = ridge(found, "closed")
        assert (-out, up) == pytest.approx(STRIP["ridge_at_0"], abs=1e-9)

    @pytest.mark.parametrize("turned", [20, 60, 90, 130, 170])
    def test_at_any_angle(self, turned: int) -> None:
        found = turned_by(turned)
        f = math.radians(turned)
        assert ridge(found, "standing") == pytest.approx((30 - 45 * math.cos(f), 45 * math.sin(f)))
        assert list(fold_angles(found, "standing").values()) == pytest.approx([turned] * 5)

    def test_shut_it_is_four_plies_and_takes_up_no_length(self) -> None:
        found = prove_design(started(NAME), tool=Tool.KNIFE)
        assert found.closed_stack is not None
        caliper = found.profiles["card"]
        assert caliper is not None
        assert found.closed is not None
        assert found.closed.thickness_mm == pytest.approx(4 * float(caliper.caliper.value))
        assert not any(one.rule.startswith("thickness") for one in found.findings)
        (piece,) = found.resolved.pieces
        assert found.compiled_piece(piece) == piece


class TestLimits:
    def test_nothing_shows_when_it_is_shut(self) -> None:
        # Height and depth fill the shorter page but for 2 mm.
        assert not proof(NAME, box_height="61", box_depth="42").mends
        assert rules_of(NAME, box_height="61", box_depth="42.1") == {("above-most", "box_depth")}
        assert rules_of(NAME, gutter_y="135", box_height="44") == {("above-most", "box_depth")}

    def test_limits(self) -> None:
        assert rules_of(NAME, box_depth="11.9") == {("below-least", "box_depth")}
        assert rules_of(NAME, box_height="11.9") == {("below-least", "box_height")}
        assert rules_of(NAME, box_left="9") == {("below-least", "box_left")}
        assert rules_of(NAME, box_left="79") == {("above-most", "box_left")}
