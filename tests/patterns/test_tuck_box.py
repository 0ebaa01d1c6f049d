"""The pattern tuck-box: a ring of four walls, lids with tongues, dust flaps.

By hand, with flap f, width w, depth d and ease e: the edges lie at f, f + w, f + w + d and
f + 2 w + d, and the piece ends at f + 2 w + 2 d - e.  The second side, d - e wide, is glued
e beyond the flap's fold, so that round the ring w + d stand against w + (d - e) + e: it closes
in every pose.  Flat, with the first and the third edge shut, it is w + d wide, and as high as
the walls h, two lids of d - e and two tongues.  Set up, its walls are a rectangle of w by d;
a lid of d - e ends e short of the front, and its tongue hangs behind it.

A second side 0.5 mm narrower than the first, shoulders relieved by 1 to 2 mm and a dust flap
of at most the depth and half the width are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from foldwright.design import load_pattern, parse_design
from foldwright.folding import Verdict
from foldwright.geometry import Point
from foldwright.measures import Unit
from foldwright.patterns import starter
from foldwright.problems import Severity
from foldwright.proving import Proof, prove_design

from .posed import order_of, pose_of
from .shipped import closed_mm, proof, resolved, rules_of

# Of the metric edition as it is: the walls' lower and upper end, above the tongue and the lid.
LOW, HIGH = 15 + 29.5, 15 + 29.5 + 90

# The dust flaps of either end.
ENDS, ONES = ("top", "bottom"), ("first", "second")


def set_up(found: Proof) -> Callable[[str, float, float], tuple[float, float, float]]:
    """Where a place of a panel is when the box is set up."""
    (pose,) = [one for one in found.poses if one.name == "set up"]
    assert pose.folded.reached
    assert not pose.clashes
    number = {panel.name: panel.index for panel in found.pieces[0].division.panels}
    return lambda panel, x, y: pose.placed["box", number[panel]].apply(Point(x, y))


class TestTuckBox:
    @pytest.mark.parametrize(
        ("units", "factor", "edges", "end", "closed"),
        [
            (Unit.MM, 1.0, (12, 72, 102, 162), 191.5, (90, 179)),
            # Lids of 1 1/4 - 1/16 in; 3 1/2 + 2 (1 3/16 + 5/8) = 7 1/8 in.
            (Unit.IN, 25.4, (0.5, 3, 4.25, 6.75), 7.9375, (3.75, 7.125)),
        ],
    )
    def test_the_worked_numbers(
        self,
        units: Unit,
        factor: float,
        edges: tuple[float, ...],
        end: float,
        closed: tuple[float, float],
    ) -> None:
        found = proof("tuck-box", units)
        (piece,) = found.resolved.pieces
        at = {fold.name: fold.path.vertices[0].at.floats()[0] for fold in piece.folds}
        assert [at[f"{name} edge"] for name in ("seam", "first", "second", "third")] == (
            pytest.approx([edge * factor for edge in edges])
        )
        right = max(vertex.at.floats()[0] for vertex in piece.outline.vertices)
        assert right == pytest.approx(end * factor)
        assert found.verdict is Verdict.CLOSES
        assert found.gap_mm == 0.0
        assert closed_mm(found) == pytest.approx([side * factor for side in closed])

    def test_flat_it_is_three_plies_where_it_is_glued(self) -> None:
        # The flap beside the front, the second side on it, the back over both: 0.23 mm each.
        found = proof("tuck-box").closed
        assert found is not None
        assert found.thickness_mm == pytest.approx(3 * 0.23)

    def test_set_up_its_walls_are_a_rectangle(self) -> None:
        at = set_up(proof("tuck-box"))
        for y in (LOW, HIGH):
            corners = [at("front", 12, y), at("front", 72, y), at("back", 102, y)]
            last = at("back", 162, y)
            assert math.dist(corners[0], last) == pytest.approx(30)
            assert math.dist(corners[0], corners[2]) == pytest.approx(math.hypot(60, 30))
            assert math.dist(corners[1], last) == pytest.approx(math.hypot(60, 30))

    def test_the_second_side_ends_short_of_the_front(self) -> None:
        at = set_up(proof("tuck-box"))
        # Its free edge lies on the glue flap, half a millimetre off the flap's fold.
        assert math.dist(at("second side", 191.5, 60), at("front", 12, 60)) == pytest.approx(0.5)
        assert math.dist(at("second side", 191.5, 60), at("glue flap", 11.5, 60)) < 1e-6

    @pytest.mark.parametrize(
        ("end", "way", "y"), [("top", 1, HIGH), ("bottom", -1, LOW)], ids=["top", "bottom"]
    )
    def test_tongues_hang_behind_the_front(self, end: str, way: int, y: float) -> None:
        at = set_up(proof("tuck-box"))
        # The middle of the front is at x = 42, that of the back at x = 132.
        hinge, tip = y + way * 29.5, y + way * 44.5
        assert math.dist(at(f"{end} lid", 132, hinge), at("front", 42, y)) == pytest.approx(0.5)
        assert math.dist(at(f"{end} tongue", 132, tip), at("front", 42, y - way * 15)) == (
            pytest.approx(0.5)
        )

    def test_dust_flaps_lie_beneath_the_lids_and_do_not_meet(self) -> None:
        at = set_up(proof("tuck-box"))
        tips = (
            at("first top dust flap", 74, HIGH + 13.5),
            at("second top dust flap", 189, HIGH + 13.5),
        )
        # 60 mm between the sides, less 13.5 mm from either; 92 degrees are 2 beneath the lid.
        across = 60 - 2 * 13.5 * math.cos(math.radians(2))
        assert math.dist(tips[0], tips[1]) >= across - 1e-6
        foot, head = at("first side", 80, LOW), at("first side", 80, HIGH)
        up = [(b - a) / 90 for a, b in zip(foot, head, strict=True)]
        beneath = sum(u * (a - b) for u, a, b in zip(up, head, tips[0], strict=True))
        assert beneath == pytest.approx(13.5 * math.sin(math.radians(2)))

    def test_what_is_said_of_the_way_is_a_note(self) -> None:
        # Stiff paper cannot slip a tongue in without turning it past its fold, in whatever
        # order; nothing else is said against the box.
        found = proof("tuck-box")
        said = [(one.rule, one.severity) for one in found.findings]
        assert sorted(said) == [
            ("clash-on-the-way", Severity.NOTE),
            ("held-by-the-crease-alone", Severity.NOTE),
        ]
        assert pose_of(found, "set up").order is None

    def test_without_its_tongues_it_is_told_to_turn_dust_flaps_in_before_the_lids(self) -> None:
        # The tongues stay straight and stick out over the front; the walls are one loop.
        holds = {
            **dict.fromkeys(("seam edge", "first edge", "second edge", "third edge"), 90),
            **dict.fromkeys(("top lid", "bottom lid"), 90),
            **dict.fromkeys(("top tongue", "bottom tongue"), 0),
            **dict.fromkeys((f"{one} {end} dust flap" for one in ONES for end in ENDS), 92),
        }
        held = ", ".join(f'"{fold}" = {degrees}' for fold, degrees in holds.items())
        asked = f'\n[[pose]]\nname = "lidded"\nhold = {{ {held} }}\n'
        text = starter(load_pattern("tuck-box"), "card", Unit.MM) + asked
        found = prove_design(parse_design(text, "card.toml"))
        order = order_of(found, "lidded")
        assert order is not None
        assert order[0] == "seam edge + first edge + second edge + third edge"
        assert len(order) == 7
        for end in ENDS:
            for one in ONES:
                assert order.index(f"{one} {end} dust flap") < order.index(f"{end} lid")
        (told,) = [one for one in found.findings if one.rule == "fold-in-this-order"]
        assert (
            'order: "seam edge", "first edge", "second edge" and "third edge" together, then "'
            in (told.message)
        )

    def test_limits(self) -> None:
        # 30 - 0.5 - 2 mm for the glue flap, 30 - 0.5 - 3 - 1 mm for a dust flap.
        resolved("tuck-box", flap="27.5", dust="25.5")
        assert rules_of("tuck-box", flap="27.6") == {("above-most", "flap")}
        assert rules_of("tuck-box", dust="25.6") == {("above-most", "dust")}
        # Two dust flaps meet in the middle of a box of 40 mm from 20 mm on.
        assert ("above-most", "dust") in rules_of("tuck-box", width="40", dust="19.1")
        assert rules_of("tuck-box", tongue="30.1") == {("above-most", "tongue")}
        assert rules_of("tuck-box", relief="0.9") == {("below-least", "relief")}
        # With an ease of 1 mm a tongue hangs 1 mm behind the front.
        assert rules_of("tuck-box", ease="1", relief="1.4") == {("below-least", "relief")}

    @pytest.mark.parametrize("units", list(Unit))
    def test_dust_flaps_end_behind_the_tongue(self, units: Unit) -> None:
        measures = resolved("tuck-box", units).measures
        found = proof("tuck-box", units)
        (pose,) = [one for one in found.poses if one.name == "set up"]
        number = {panel.name: panel.index for panel in found.pieces[0].division.panels}

        def behind_front(panel: str) -> float:
            """How far behind the front the place of a panel that is nearest to it lies."""
            (piece,) = found.pieces
            ring = piece.division.panels[number[panel]].ring
            motion = pose.placed["box", number[panel]]
            front = pose.placed["box", number["front"]]
            places = [motion.apply(vertex.at) for vertex in ring.vertices]
            (x, y, z), normal = front.shift, [row[2] for row in front.rows]
            return min(
                sum(n * (a - b) for n, a, b in zip(normal, at, (x, y, z), strict=True))
                for at in places
            )

        ease, relief = float(measures["ease"]), float(measures["relief"])
        assert behind_front("top tongue") == pytest.approx(ease, abs=1e-6)
        assert behind_front("first top dust flap") == pytest.approx(relief, abs=1e-6)
        assert relief >= ease + 0.5
        assert ("above-most", "depth") in rules_of("tuck-box", depth="61")


DECK = {"width": "63", "depth": "18", "height": "88"}


class TestDeck:
    """A box for a deck of cards, 63 by 88 by 18 mm; its size *common practice, no source*.

    By hand: dust flaps of 9/20 of 18 mm, 8.1 mm; flat it is 63 + 18 mm wide, and
    88 + 2 (17.5 + 15) mm high.
    """

    def test_it_closes_and_stands(self) -> None:
        found = proof("tuck-box", Unit.MM, **DECK)
        assert found.verdict is Verdict.CLOSES
        assert closed_mm(found) == pytest.approx([81, 153])
        assert pose_of(found, "set up").folded.reached
        assert not pose_of(found, "set up").clashes
        assert not [one for one in found.findings if one.severity is not Severity.NOTE]

    def test_dust_flaps_follow_the_depth(self) -> None:
        assert float(resolved("tuck-box", Unit.MM, **DECK).measures["dust"]) == pytest.approx(8.1)
        # A square box as well: they do not meet in the middle.
        square = resolved("tuck-box", width="30").measures["dust"]
        assert float(square) == pytest.approx(13.5)

    def test_in_inches(self) -> None:
        found = proof("tuck-box", Unit.IN, width="2 1/2", depth="3/4", height="3 1/2")
        assert found.verdict is Verdict.CLOSES
        assert not [one for one in found.findings if one.severity is not Severity.NOTE]

    def test_the_shallowest_leaves_room_for_all(self) -> None:
        resolved("tuck-box", depth="15")
        assert rules_of("tuck-box", depth="14.9") == {("below-least", "depth")}
        # (15 - 10) / 3 mm of ease, and of relief half a millimetre more.
        most = {"depth": "15", "flap": "10", "ease": "5/3", "relief": "5/3 + 0.5"}
        # 9/20 of 15 mm, of the 8 mm that these leave.
        assert float(resolved("tuck-box", Unit.MM, **most).measures["dust"]) == pytest.approx(6.75)
        resolved("tuck-box", Unit.MM, **most, dust="7.99")
        assert ("above-most", "ease") in rules_of("tuck-box", Unit.MM, **{**most, "ease": "1.7"})
