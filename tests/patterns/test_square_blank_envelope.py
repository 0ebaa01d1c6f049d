"""The pattern square-blank-envelope, against closed forms, a published table and the dressing.

By hand, with the pocket w by h and the corner a, all lengths from the middle of the pocket: the
square is |x| + |y| <= S / sqrt 2 with S = (w + h) / sqrt 2 + a.  On the line of a side of the
pocket, x = w / 2, it reaches |y| = (h / 2) + a / sqrt 2; the flap beyond it is cut to |y| = h / 2,
so it keeps that width for a / sqrt 2 and narrows at 45 degrees to a tip h / 2 + a / sqrt 2 away.
A flap of depth d is trimmed where it is still 2 (h / 2 + a / sqrt 2 - d) wide.  Folded in it lies
within w by h, so that is the closed size.
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.dressing.square_blank import SquareBlank
from foldwright.geometry.moments import moments
from foldwright.measures import Unit
from foldwright.stacking.order import PlyOrder

from .shipped import closed_mm, proof, resolved, rules_of

NAME = "square-blank-envelope"
FILE = Path(__file__).parents[1] / "published" / "envelopes.toml"
PUBLISHED: dict[str, Any] = tomllib.loads(FILE.read_text(encoding="utf-8"))
# Without a corner there is nothing for a notch to be cut from: the pattern has one always.
CASES = [case for case in PUBLISHED["square_blanks"]["cases"] if case["allowance"]]


def drawn(units: Unit, **values: str) -> dict[str, Any]:
    """What a person would measure on the blank: in mm, from its middle."""
    (piece,) = resolved(NAME, units, **values).pieces
    ends = {
        fold.name: [vertex.at.floats() for vertex in fold.path.vertices] for fold in piece.folds
    }
    left, right = ends["left"][0][0], ends["right"][0][0]
    bottom, top = ends["lower"][0][1], ends["upper"][0][1]
    middle = (left + right) / 2, (bottom + top) / 2
    places = [
        (x - middle[0], y - middle[1])
        for x, y in (vertex.at.floats() for vertex in piece.outline.vertices)
    ]
    return {
        "piece": piece,
        "pocket": (right - left, top - bottom),
        # The edges of the square are the lines on which |x| + |y| is greatest.
        "side": max(abs(x) + abs(y) for x, y in places) * math.sqrt(2),
        "places": places,
        "ends": {
            name: sorted((round(x - middle[0], 9), round(y - middle[1], 9)) for x, y in both)
            for name, both in ends.items()
        },
    }


@pytest.mark.parametrize("case", CASES)
def test_published_cases(case: dict[str, Any]) -> None:
    units = Unit(case["unit"])
    mm = 25.4 if units is Unit.IN else 1.0
    long, short = case["pocket"]
    # As deep as the tips allow but for a millimetre; the table has the tips themselves.
    found = drawn(
        units,
        card_width=f"{long} - 2 * clearance",
        card_height=f"{short} - 2 * clearance",
        corner=str(case["allowance"]),
        side_flap="height / 2 + corner / sqrt(2) - 1 mm",
        flap="min(width / 2 + corner / sqrt(2) - 1 mm, height - 5 mm)",
    )
    # The figures are printed to four decimals.
    close = pytest.approx
    assert [side / mm for side in found["pocket"]] == close([long, short])
    side = found["side"] / mm
    assert side == close(case["side"], abs=6e-5)
    assert [side - length / math.sqrt(2) for length in (long, short)] == close(
        case["scores"], abs=6e-5
    )
    trimmed = max(x for x, _ in found["places"]) / mm - long / 2 + 1 / mm
    assert trimmed == close(case["flaps"][0], abs=6e-5)
    upper = max(y for _, y in found["places"]) / mm - short / 2
    assert upper == close(min(case["flaps"][1] - 1 / mm, short - 5 / mm), abs=6e-5)
    # The notch reaches from the edge of the square down to the corner of the pocket.
    base, depth = case["notch"]
    assert (side - (long + short) / math.sqrt(2)) == close(base, abs=6e-5)
    assert base / 2 == close(depth)


@settings(max_examples=30)
@given(st.integers(50, 250), st.integers(40, 250), st.integers(12, 25))
def test_the_dressing_cuts_the_same_blank(first: int, second: int, corner: int) -> None:
    """What is cut for a card in its envelope and this pattern are one envelope.

    The dressing stands its blank on an edge and leaves its tips sharp where they fit.
    """
    width, height = max(first, second), min(first, second)
    blank = SquareBlank(long_mm=width + 6, short_mm=height + 6, corner_mm=corner)
    found = drawn(Unit.MM, card_width=str(width), card_height=str(height), corner=str(corner))
    assert found["side"] == pytest.approx(blank.side_mm)
    other = blank.piece("envelope")
    middle = blank.side_mm / 2
    turn = math.sqrt(0.5)

    def turned(x: float, y: float) -> tuple[float, float]:
        x, y = x - middle, y - middle
        return round(turn * (x + y), 9), round(turn * (y - x), 9)

    for fold in other.folds:
        assert fold.name is not None
        ends = sorted(turned(*vertex.at.floats()) for vertex in fold.path.vertices)
        for here, there in zip(found["ends"][fold.name], ends, strict=True):
            assert here == pytest.approx(there, abs=3e-9)
    # Half of the width at which a tip is cut off, here and there.
    deep = {
        "side": max(x for x, _ in found["places"]) - (width + 6) / 2,
        "upper": max(y for _, y in found["places"]) - (height + 6) / 2,
    }
    tips = {
        "side": (height + 6) / 2 + corner * turn,
        "upper": (width + 6) / 2 + corner * turn,
    }
    here = sum(2 * (tips[flap] - deep[flap]) ** 2 for flap in tips)
    other_tips = 2 * (tips["side"] - blank.side_flap_mm) ** 2
    other_tips += 2 * (tips["upper"] - blank.upper_flap_mm) ** 2
    assert moments(found["piece"].outline).area + here == pytest.approx(
        moments(other.outline).area + other_tips
    )


def test_the_closed_size_is_the_pocket() -> None:
    assert closed_mm(proof(NAME)) == pytest.approx((154, 111))
    # 5 1/2 by 4 1/4 and 1/8 on each side: 5 3/4 by 4 1/2.
    assert closed_mm(proof(NAME, Unit.IN)) == pytest.approx((146.05, 114.3))


def test_the_pocket_may_be_given_by_itself() -> None:
    assert closed_mm(proof(NAME, width="162", height="114")) == pytest.approx((162, 114))


def test_the_flap_is_up_and_the_others_are_in() -> None:
    found = proof(NAME)
    (pose,) = [one for one in found.poses if one.name == "flap up"]
    (piece,) = found.pieces
    turned = {fold.name: pose.folded.turned["envelope", n]
              for n, fold in enumerate(piece.division.piece.folds)}  # fmt: skip
    assert turned == pytest.approx({"right": 180, "upper": 0, "left": 180, "lower": 180})
    assert pose.folded.reached
    assert {panel.name for panel in piece.division.panels} == {
        "pocket", "right flap", "upper flap", "left flap", "lower flap",
    }  # fmt: skip


def test_limits() -> None:
    assert ("above-most", "card_height") in rules_of(NAME, card_height="149")
    # On a square pocket the flaps overlap by sqrt 2 of the corner less what is trimmed.
    square = {"card_width": "120", "card_height": "120"}
    resolved(NAME, Unit.MM, corner="10", **square)
    assert ("below-least", "corner") in rules_of(NAME, Unit.MM, corner="9.9", **square)
    assert ("above-most", "flap") in rules_of(NAME, flap="106.1")
    assert ("below-least", "flap") in rules_of(NAME, flap="60.4")
    # 111 / 2 + 12 / sqrt 2 - 1 = 62.985.
    assert ("above-most", "side_flap") in rules_of(NAME, side_flap="62.99")
    resolved(NAME, side_flap="62.98")
    assert ("above-most", "notch") in rules_of(NAME, notch="6.1")


def test_the_lower_flap_is_glued_on_the_side_flaps_and_the_upper_one_lies_on_all() -> None:
    found = proof(NAME)
    assert found.closed_stack is not None
    order = found.closed_stack.order
    assert isinstance(order, PlyOrder)
    (piece,) = found.pieces
    key = {panel.name: (piece.name, panel.index) for panel in piece.division.panels}
    for side in ("left flap", "right flap"):
        assert order.is_above(key["lower flap"], key[side])
        assert order.is_above(key["upper flap"], key["lower flap"])
        assert order.is_above(key[side], key["pocket"])
    assert [one.joint.name for one in found.assembly.joints] == ["right seam", "left seam"]
    (pose,) = [one for one in found.poses if one.name == "flap up"]
    assert not pose.clashes_on_way


@pytest.mark.parametrize(
    "values",
    [
        # The side flaps are 76 mm deep each in a pocket of 123 mm.
        {"card_width": "108", "card_height": "108", "clearance": "7.5", "corner": "23"}
        | {"side_flap": "76"},
        # The lower flap is glued to two flaps of 74.5 mm in a pocket of 124 mm.
        {"card_width": "104", "card_height": "104", "corner": "25", "clearance": "10"},
    ],
)
def test_the_lower_flap_is_glued_clear_of_where_the_side_flaps_reach_over_each_other(
    values: dict[str, str],
) -> None:
    found = proof(NAME, Unit.MM, **values)
    assert found.proven
    assert "glued-in-a-ring" not in {one.rule for one in found.findings}
