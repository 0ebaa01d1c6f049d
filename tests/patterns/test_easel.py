"""The pattern easel: the front of a folded card bends and stands a picture up.

By hand, with the front h high, its second fold at h / 2 and the stop s from the hinge: floor,
inner half and outer half are a triangle of sides s, h / 2, h / 2.  Its angles at the table are
alike and their cosine is (s / 2) / (h / 2) = s / h, which is how far the picture leans from the
table.  The hinge is then turned by 180 degrees less that angle, the second fold by twice it.
The upper edge of a picture h high lies at s - h cos(lean) = 0 from the hinge: right above it, at
h sin(lean).  The published example is tests/published/folding.toml, [easel].

Shut, the hinge is turned by 180 degrees and the second fold is flat: base, picture and stop lie
within the floor, so the card is as high as the floor, and there are four plies at the stop.
"""

from __future__ import annotations

import math
import tomllib
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.measures import Unit

from .posed import fold_angles, on_the_table, pose_of
from .shipped import closed_mm, proof, resolved, rules_of

PUBLISHED = Path(__file__).parents[1] / "published" / "folding.toml"
EXAMPLE = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["easel"]

NAME = "easel"


class TestOnTheSheet:
    @pytest.mark.parametrize(
        ("units", "factor", "size", "folds"),
        [
            (Unit.MM, 1, (105, 148), (148, 222)),
            (
                Unit.IN,
                Fraction("25.4"),
                (Fraction(17, 4), Fraction(11, 2)),
                (Fraction(11, 2), Fraction(33, 4)),
            ),
        ],
    )
    def test_the_worked_example(
        self,
        units: Unit,
        factor: Fraction | int,
        size: tuple[Fraction, Fraction],
        folds: tuple[Fraction, Fraction],
    ) -> None:
        base, picture, stop = resolved(NAME, units).pieces
        width, height = size
        corner = base.outline.vertices[2].at
        assert (corner.x, corner.y) == (width * factor, 2 * height * factor)
        assert [fold.path.start.y for fold in base.folds] == [place * factor for place in folds]
        assert [fold.senses for fold in base.folds] == [("valley",), ("valley",)]
        corner = picture.outline.vertices[2].at
        assert (corner.x, corner.y) == (width * factor, height * factor)
        assert stop.outline.vertices[2].at.x == width * factor - 10

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof(NAME)) == (105, 148)
        assert closed_mm(proof(NAME, Unit.IN)) == pytest.approx((4.25 * 25.4, 5.5 * 25.4))
        assert closed_mm(proof(NAME, picture_width="80", picture_height="100")) == (105, 148)

    def test_shut_it_is_four_plies_at_the_stop(self) -> None:
        found = proof(NAME)
        card = found.profiles["card"]
        assert card is not None
        assert found.closed is not None
        assert found.closed.thickness_mm == pytest.approx(4 * float(card.caliper.value))


class TestHowItStands:
    def test_the_published_example(self) -> None:
        found = proof(NAME, width="75", height=str(EXAMPLE["h"]), stop=str(EXAMPLE["s"]))
        angles = fold_angles(found, "standing")
        assert 180 - angles["hinge"] == pytest.approx(EXAMPLE["lean"], abs=0.05)
        assert angles["middle"] / 2 == pytest.approx(EXAMPLE["lean"], abs=0.05)

    @given(st.integers(80, 420), st.integers(0, 16))
    @settings(max_examples=15, deadline=None)
    def test_the_lean_follows_from_the_stop(self, height: int, sixteenths: int) -> None:
        stop = height * (Fraction(2, 5) + Fraction(2, 5) * Fraction(sixteenths, 16))
        found = proof(
            NAME, height=str(height), stop=str(stop), strip="10", picture_height=str(height)
        )
        lean = math.acos(stop / height)
        angles = fold_angles(found, "standing")
        assert angles["hinge"] == pytest.approx(180 - math.degrees(lean))
        assert angles["middle"] == pytest.approx(2 * math.degrees(lean))
        # The floor lies as it is drawn, with the hinge at its upper edge.
        lower = on_the_table(found, "standing", "face", 50, 0)
        upper = on_the_table(found, "standing", "face", 50, height)
        assert lower[1:] == pytest.approx((height - float(stop), 0), abs=1e-6)
        assert upper[1:] == pytest.approx((height, height * math.sin(lean)), abs=1e-6)

    def test_the_stop_alone_holds_it(self) -> None:
        found = pose_of(proof(NAME), "standing")
        assert found.freedom is not None
        assert found.freedom.count == 0
        assert found.standing is not None
        assert found.standing.asked.stands

    def test_the_strip_begins_where_the_foot_stands(self) -> None:
        found = proof(NAME)
        foot = on_the_table(found, "standing", "outer half", 0, 296)
        near = on_the_table(found, "standing", "strip", 0, 10)
        far = on_the_table(found, "standing", "strip", 0, 0)
        assert foot == pytest.approx((0, 148 - 105, 0), abs=1e-9)
        assert near == pytest.approx((5, 148 - 105, 0), abs=1e-9)
        assert far == pytest.approx((5, 148 - 105 - 10, 0), abs=1e-9)


class TestLimits:
    def test_the_stop_is_neither_too_near_nor_too_far(self) -> None:
        # 0.4 and 0.8 of 150 mm.
        assert rules_of(NAME, height="150", stop="59.9") == {("below-least", "stop")}
        assert rules_of(NAME, height="150", stop="120.1") == {("above-most", "stop")}

    def test_the_strip_fits_on_the_floor(self) -> None:
        assert rules_of(NAME, strip="38.1") == {("above-most", "strip")}

    def test_the_picture_does_not_stick_out(self) -> None:
        assert rules_of(NAME, picture_width="106") == {("above-most", "picture_width")}
        assert rules_of(NAME, picture_height="149") == {("above-most", "picture_height")}
        assert rules_of(NAME, picture_height="78") == {("below-least", "picture_height")}
