"""The pattern four-flap-envelope, against closed forms, usual allowances and the dressing.

By hand, with the pocket w by h, flaps s, l, u and walls d (0 without): the blank is
w + 2 (s + d) wide and h + l + u + 2 d high; the folds lie s + d and l + d from its left and lower
edge, and w and h further; a flap of depth e is e tan(taper) narrower at each side of its end.
Folded in each flap lies within the pocket, so that is the closed size.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.dressing.four_flap import FourFlap
from foldwright.geometry.moments import moments
from foldwright.measures import Unit
from foldwright.stacking.order import PlyOrder

from .shipped import closed_mm, proof, resolved, rules_of

NAME = "four-flap-envelope"


def test_the_blank_and_its_folds() -> None:
    # 148 + 6 = 154, 105 + 6 = 111; flaps 20, 2/3 of 111 = 74 and 111 + 15 - 74 = 52.
    (piece,) = resolved(NAME).pieces
    assert piece.outline.box() == pytest.approx((0, 0, 194, 237))
    ends = {
        fold.name: sorted(vertex.at.floats() for vertex in fold.path.vertices)
        for fold in piece.folds
    }
    assert ends["left"] == [(20, 75.5), (20, 183.5)]
    assert ends["right"] == [(174, 75.5), (174, 183.5)]
    assert ends["lower"] == [(21.5, 74), (172.5, 74)]
    assert ends["upper"] == [(21.5, 185), (172.5, 185)]
    lean = 74 * math.tan(math.radians(5))
    lowest = sorted(x for x, y in (v.at.floats() for v in piece.outline.vertices) if y == 0)
    assert lowest == pytest.approx([21.5 + lean, 172.5 - lean])


def test_the_usual_allowances() -> None:
    """A pocket 6 mm or 1/4 in larger than the card, side flaps of 15 to 25 mm, and so on.

    Common practice, no source: the lower flap 2/3 to 3/4 of the height, the upper one 1/3 to 1/2,
    10 mm or more on the lower one; corners relieved by 1 to 2 mm, sides leaning 5 to 15 degrees.
    """
    for units in Unit:
        found = {
            name: float(value)
            for name, value in resolved(NAME, units).measures.items()
            if isinstance(value, int | float) or hasattr(value, "numerator")
        }
        assert found["width"] - found["card_width"] == pytest.approx(6, abs=0.4)
        assert 15 <= found["side_flap"] <= 25
        assert 2 / 3 <= found["lower_flap"] / found["height"] <= 3 / 4
        assert 1 / 3 <= found["upper_flap"] / found["height"] <= 1 / 2
        assert found["lower_flap"] + found["upper_flap"] >= found["height"] + 10
        assert 1 <= found["relief"] <= 2
        assert all(5 <= found[name] <= 15 for name in ("taper", "side_taper"))


@settings(max_examples=30)
@given(st.integers(70, 300), st.integers(70, 300), st.sampled_from([0, 4, 12]))
def test_the_dressing_cuts_the_same_blank(first: int, second: int, depth: int) -> None:
    """What is cut for a card in its envelope and this pattern are one envelope."""
    width, height = max(first, second), min(first, second)
    blank = FourFlap(long_mm=width + 6, short_mm=height + 6, depth_mm=depth)
    (piece,) = resolved(
        NAME,
        card_width=str(width),
        card_height=str(height),
        creases="2" if depth else "1",
        depth=str(depth or 5),
        side_flap=str(blank.side_flap_mm),
        lower_flap=str(blank.lower_flap_mm),
        upper_flap=str(blank.upper_flap_mm),
    ).pieces
    other = blank.piece("envelope")
    for here, there in ((piece.outline, other.outline), *zip(
        (fold.path for fold in piece.folds), (fold.path for fold in other.folds), strict=True
    )):  # fmt: skip
        places = [vertex.at.floats() for vertex in there.vertices]
        assert len(here.vertices) == len(places)
        for vertex, place in zip(here.vertices, places, strict=True):
            assert vertex.at.floats() == pytest.approx(place, abs=1e-9)
    assert [fold.name for fold in piece.folds] == [fold.name for fold in other.folds]
    assert [fold.angle for fold in piece.folds] == [fold.angle for fold in other.folds]
    assert moments(piece.outline).area == pytest.approx(moments(other.outline).area)


@pytest.mark.parametrize("creases", ["1", "2"])
def test_the_closed_size_is_the_pocket(creases: str) -> None:
    assert closed_mm(proof(NAME, creases=creases)) == pytest.approx((154, 111))
    # 5 1/2 by 4 1/4 and 1/8 on each side: 5 3/4 by 4 1/2.
    assert closed_mm(proof(NAME, Unit.IN, creases=creases)) == pytest.approx((146.05, 114.3))


def test_walls_stand_as_high_as_it_is_deep() -> None:
    found = proof(NAME, creases="2", depth="8")
    (told,) = [one for one in found.findings if one.rule == "closed-not-flat"]
    assert told.measure_mm == pytest.approx(8)
    (piece,) = found.pieces
    assert {panel.name for panel in piece.division.panels} == {
        "pocket",
        *(f"{side} {part}" for side in ("lower", "right", "upper", "left")
          for part in ("wall", "flap")),
    }  # fmt: skip
    (pose,) = [one for one in found.poses if one.name == "flap up"]
    assert pose.folded.reached
    at_zero = [
        fold.name
        for n, fold in enumerate(piece.division.piece.folds)
        if pose.folded.turned["envelope", n] == 0
    ]
    assert at_zero == ["upper outer"]


def test_limits() -> None:
    # 10 mm of the upper flap lie on the lower one: 111 + 10 - 74.
    assert ("below-least", "upper_flap") in rules_of(NAME, upper_flap="46.9")
    resolved(NAME, upper_flap="47")
    assert ("above-most", "side_flap") in rules_of(NAME, side_flap="46.3")
    assert ("above-most", "card_height") in rules_of(NAME, card_height="444.1")
    assert ("above-most", "creases") in rules_of(NAME, creases="3")
    assert ("below-least", "taper") in rules_of(NAME, taper="2.9")


@pytest.mark.parametrize(
    ("units", "width", "height"),
    # A third of A4, and of a sheet of 12 3/4 by 11 in.
    [(Unit.MM, "99", "210"), (Unit.IN, "4 1/4", "11")],
)
def test_a_tall_card_goes_in_at_a_short_side(units: Unit, width: str, height: str) -> None:
    found = proof(NAME, units, card_width=width, card_height=height)
    assert found.proven
    assert closed_mm(found)[1] > 2 * closed_mm(found)[0]
    # At 10 degrees a flap of 180 mm would come to a point.
    tall = {"card_width": "60", "card_height": "180", "lower_flap": "180"}
    # (66 / 2 - 1.5 - 5) / 180 = tan 8.38 degrees.
    assert ("above-most", "taper") in rules_of(NAME, Unit.MM, taper="8.4", **tall)
    assert proof(NAME, Unit.MM, taper="8.3", **tall).proven


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
