"""Poses against the outside: published relations, closed forms, and rotations multiplied by hand.

Nothing that is expected here comes from the solver.  Each expectation is a closed
form with its source in tests/published/folding.toml, or is reckoned in this file
from rotation matrices of its own; where a form is from memory, a test of its own
closes it with those matrices first.
"""

from __future__ import annotations

import math
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from foldwright.design import read_design, resolve
from foldwright.folding import closed_size
from foldwright.folding.poses import Outcome
from foldwright.geometry import Point
from foldwright.panels import divide
from foldwright.proving import prove_design
from foldwright.proving.model import PoseProof
from tests.folding.folded_samples import (
    M,
    Sample,
    V,
    assembled,
    at,
    easel,
    miura,
    multiplier,
    outlined_by_cells,
    parallel_box,
    square_twist,
    stair,
    strut,
    tube,
    v_fold,
    vertex4,
    vertex4_senses,
    zigzag_grid,
    zigzag_turn,
)
from tests.folding.posing import hinge_keys, posed, posed_design

PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "folding.toml").read_text(encoding="utf-8")
)
FACTS: dict[str, Any] = {fact["id"]: fact.get("value") for fact in PUBLISHED["fact"]}
DESIGNS = Path(__file__).parents[1] / "designs"

EXACT = 1e-9

Array = NDArray[np.float64]


def about(axis: Array, degrees: float) -> Array:
    """The rotation about an axis through the origin, right-handed (Rodrigues)."""
    x, y, z = axis / np.linalg.norm(axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turn = math.radians(degrees)
    return np.asarray(np.eye(3) + math.sin(turn) * cross + (1.0 - math.cos(turn)) * cross @ cross)


def in_plane(degrees: float) -> Array:
    """A unit vector of the flat paper."""
    return np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees)), 0.0])


def left_round_a_vertex(directions: list[float], turns: list[float]) -> float:
    """How far the product of the turns round a vertex is from the identity."""
    product = np.eye(3)
    for direction, turn in zip(directions, turns, strict=True):
        product = product @ about(in_plane(direction), turn)
    return float(np.abs(product - np.eye(3)).max())


def degrees_between(a: Array, b: Array) -> float:
    """The angle between two vectors, exact near 0 and 180 too."""
    return math.degrees(math.atan2(float(np.linalg.norm(np.cross(a, b))), float(a @ b)))


# Vertices of four folds.

# Sectors a1 and a2; sharp, blunt, nearly equal, small, and on both sides of a sum of 180.
SECTORS = [
    (45, 90), (60, 100), (50, 70), (60, 80), (30, 100), (75, 60), (85, 90), (20, 150),
    (100, 60), (110, 100), (95, 130), (65, 64), (52.5, 81.25),
]  # fmt: skip
HELD = [3, 20, 60, 90, 120, 150, 175]


def four(a1: float, a2: float, mode: str, held: float, *, number: int) -> tuple[float, float]:
    """How far the odd and the even creases are turned, the one of a number `held`."""
    ratio = abs(multiplier(a1, a2, mode))
    half = math.tan(math.radians(held / 2.0))
    if number % 2 == 0:
        return 2.0 * math.degrees(math.atan(ratio * half)), held
    return held, 2.0 * math.degrees(math.atan(half / ratio))


def test_the_published_multipliers() -> None:
    """Fact F23, found there by search for roots of the closure equation."""
    for name, found in FACTS["F23"].items():
        a1, a2 = map(float, name[1:].split("_"))
        for mode, value in zip("AB", found, strict=False):
            assert multiplier(a1, a2, mode) == pytest.approx(value, abs=5e-9), name


@pytest.mark.parametrize("held", HELD)
@pytest.mark.parametrize("mode", ["A", "B"])
@pytest.mark.parametrize(("a1", "a2"), SECTORS)
def test_the_relation_at_four_folds_closes_by_plain_rotations(
    a1: float, a2: float, mode: str, held: float
) -> None:
    """Fact F21 is from memory: here it is closed without any of our folding."""
    first, second = four(a1, a2, mode, held, number=1)
    senses = vertex4_senses(a1, a2, mode)
    turns = [
        size if sense is V else -size
        for size, sense in zip((first, second, first, second), senses, strict=True)
    ]
    assert left_round_a_vertex([0.0, a1, a1 + a2, 180.0 + a2], turns) < 1e-14
    # One of the four is of the other sense, as Maekawa's theorem asks.
    assert sorted(senses).count(V) in (1, 3)


@pytest.mark.parametrize("held", HELD)
@pytest.mark.parametrize("mode", ["A", "B"])
@pytest.mark.parametrize(("a1", "a2"), SECTORS)
def test_four_folds_at_a_vertex_turn_as_published(
    a1: float, a2: float, mode: str, held: float
) -> None:
    """Fact F21, both modes, thirteen pairs of sectors, seven angles, whichever crease is held.

    A crease that turns little is held as well as one that turns much: the mode
    is the one in which all four turn in their own senses.
    """
    assembly = assembled(vertex4(a1, a2, mode))
    for number in range(1, 5):
        odd, even = four(a1, a2, mode, held, number=number)
        pose = posed(assembly, {f"crease {number}": held}, steps=6)
        assert pose.outcome is Outcome.REACHED
        assert [pose.turned(f"crease {i}") for i in range(1, 5)] == pytest.approx(
            [odd, even, odd, even], abs=EXACT
        )


def test_a_miura_vertex_turns_as_published() -> None:
    """Fact F22: the table for an acute sector of 60 degrees."""
    assembly = assembled(miura(2, 2, 60.0))
    for zigzag, upright in zip(FACTS["F22"]["r2"], FACTS["F22"]["r1"], strict=True):
        pose = posed(assembly, {"zigzag 1": zigzag})
        assert pose.outcome is Outcome.REACHED
        assert pose.turned("upright 1#1") == pytest.approx(upright, abs=5.1e-7)
        assert pose.turned("upright 1#2") == pytest.approx(pose.turned("upright 1#1"), abs=EXACT)
        # The other way round: the table's columns swap what is held.
        back = posed(assembly, {"upright 1": pose.turned("upright 1#1")})
        if zigzag < 180:
            assert back.turned("zigzag 1#1") == pytest.approx(zigzag, abs=1e-8)
    # The 3-4-5 angle in closed form.
    pose = posed(assembly, {"zigzag 1": 90})
    assert pose.turned("upright 1#1") == pytest.approx(
        2.0 * math.degrees(math.atan(0.5)), abs=EXACT
    )


@pytest.mark.parametrize("upright", [5, 40, 90, 135, 172])
def test_zigzags_of_many_slopes_turn_by_one_formula_each(upright: float) -> None:
    """Fact F22 at all vertices of a map whose zigzags all rise differently.

    All uprights turn alike, so every zigzag's angle is known in closed form.
    """
    rises = [4, 17, 9, 26]
    pose = posed(
        assembled(zigzag_grid([30] * 5, [40, 50, 50, 60, 45], rises)), {"upright 2": upright}
    )
    assert pose.outcome is Outcome.REACHED
    for label, degrees in pose.every.items():
        name = label.partition("#")[0]
        wanted = float(upright)
        if name.startswith("zigzag"):
            wanted = zigzag_turn(upright, 30.0, rises[int(name.split()[1]) - 1])
        assert degrees == pytest.approx(wanted, abs=EXACT), label


@settings(max_examples=40)
@given(
    rises=st.lists(st.integers(1, 28), min_size=1, max_size=6),
    columns=st.integers(2, 6),
    upright=st.floats(1.0, 178.0),
    data=st.data(),
)
def test_maps_of_any_slopes_fold_in_their_own_senses(
    rises: list[int], columns: int, upright: float, data: st.DataObject
) -> None:
    """Fact F22 where some zigzags turn forty times as far as others do at first.

    There are other ways out of the flat paper, with zigzags that stay flat and
    uprights against their senses: it is the design's own that is asked for.
    """
    assembly = assembled(zigzag_grid([30] * columns, [60] * (len(rises) + 1), rises))
    held = data.draw(st.sampled_from(sorted(hinge_keys(assembly))))
    name = held.partition("#")[0]
    rise = rises[int(name.split()[1]) - 1] if name.startswith("zigzag") else 0
    degrees = zigzag_turn(upright, 30.0, rise) if rise else upright
    pose = posed(assembly, {held: degrees}, steps=6)
    assert pose.outcome is Outcome.REACHED
    for label, turned in pose.every.items():
        kind, number = label.partition("#")[0].split()
        wanted = (
            upright if kind == "upright" else zigzag_turn(upright, 30.0, rises[int(number) - 1])
        )
        assert turned == pytest.approx(wanted, abs=1e-8), label


# Map folds as bodies.


@pytest.mark.parametrize(
    ("g", "a", "b"), [(60.0, 30.0, 25.0), (75.0, 20.0, 33.0), (40.0, 24.0, 50.0)]
)
@pytest.mark.parametrize("zigzag", [20, 90, 150])
def test_a_miura_cell_has_its_published_size(g: float, a: float, b: float, zigzag: float) -> None:
    """Height, width, half length and shift of the unit cell (Schenk and Guest 2013)."""
    pose = posed(assembled(miura(4, 4, g, a=a, b=b)), {"zigzag 2": zigzag})
    assert pose.outcome is Outcome.REACHED
    rise = a / math.tan(math.radians(g))

    def corner(i: int, j: int) -> Array:
        # Seen from the panel whose upper right corner it is.
        x, y = i * a, j * b + (rise if i % 2 else 0.0)
        middle = (i - 0.5) * a, (j - 0.5) * b + rise / 2.0
        return pose.point(pose.panel_at(*middle), Point(x, y))

    up, across, turn = b, math.hypot(a, rise), math.radians(zigzag / 2.0)
    sine, cosine, slope = math.sin(turn), math.cos(turn), math.tan(math.radians(g))
    sin_g = math.sin(math.radians(g))
    height = up * sine * sin_g
    width = across * cosine * slope / math.hypot(1.0, cosine * slope)
    length = up * math.sqrt(1.0 - (sine * sin_g) ** 2)
    shift = across / math.hypot(1.0, cosine * slope)
    # One cell from the corner (1, 1): two columns on, two rows on, and the steps between.
    along, ahead = corner(3, 1) - corner(1, 1), corner(1, 3) - corner(1, 1)
    assert np.linalg.norm(along) == pytest.approx(2.0 * width, abs=1e-8)
    assert np.linalg.norm(ahead) == pytest.approx(2.0 * length, abs=1e-8)
    assert along @ ahead == pytest.approx(0.0, abs=1e-7)
    ground = np.cross(along, ahead)
    ground /= np.linalg.norm(ground)
    step = corner(1, 2) - corner(1, 1)
    assert abs(step @ ground) == pytest.approx(height, abs=1e-8)
    sideways = corner(2, 1) - corner(1, 1)
    assert abs(sideways @ (ahead / np.linalg.norm(ahead))) == pytest.approx(shift, abs=1e-8)
    assert sideways @ ground == pytest.approx(0.0, abs=1e-8)


def test_a_zigzag_map_folds_shut_to_its_published_footprint() -> None:
    """Columns of a, rows of b, rise s: (a / cos d + n b sin d) by (b cos d), as published."""
    given = PUBLISHED["zigzag_map"]
    a, b, s = given["a"], given["b"], given["s"]
    tilt = math.atan(s / a)
    cos, sin = math.cos(tilt), math.sin(tilt)

    def place(i: int, j: int) -> tuple[float, float]:
        # Turned so that the zigzag of the lowest panel runs level.
        x, y = i * a, j * b + (s if i % 2 else 0.0)
        return x * cos + y * sin, y * cos - x * sin

    piece = outlined_by_cells(given["columns"], given["rows"], place, name="map")
    pose = posed(assembled(piece), {"zigzag 1": 180})
    assert pose.outcome is Outcome.REACHED
    corners = np.array(
        [
            pose.point(panel.name, vertex.at)
            for panel in divide(piece).panels
            for vertex in panel.ring.vertices
        ]
    )
    # Into the plane of the lowest panel, whose axes are those of the flat paper.
    home = pose.frame(pose.panel_at(*np.mean([place(0, 0), place(1, 1)], axis=0)))
    spread = np.ptp(corners @ home, axis=0)
    wanted = (a / cos + given["rows"] * b * sin, b * cos)
    assert spread[:2] == pytest.approx(wanted, abs=1e-8)
    assert spread[2] == pytest.approx(0.0, abs=1e-8)
    assert wanted == pytest.approx(given["footprint"], abs=0.05)


# V-folds.


def ridge_to_gutter(al: float, be: float, opening: float) -> float:
    """The angle of a V-fold's ridge to the gutter, spherical trigonometry."""
    a, b, psi = math.radians(al), math.radians(be), math.radians(opening / 2.0)
    return math.degrees(
        math.atan2(math.sin(a) * math.cos(psi), math.cos(a))
        + math.acos(math.cos(b) / math.hypot(math.cos(a), math.sin(a) * math.cos(psi)))
    )


def v_turns(al: float, be: float, opening: float) -> tuple[float, float]:
    """How far the creases and the ridge of a V-fold are turned, from vectors in space."""
    psi, rise = math.radians(opening / 2.0), math.radians(ridge_to_gutter(al, be, opening))
    gutter, up = np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])
    ridge = math.cos(rise) * gutter + math.sin(rise) * up
    a = math.radians(al)
    sides = []
    for sign in (-1.0, 1.0):
        page = np.array([sign * math.sin(psi), 0.0, math.cos(psi)])
        sides.append((math.cos(a) * gutter + math.sin(a) * page,
                      math.cos(a) * page - math.sin(a) * gutter))  # fmt: skip
    (glue, foot), (other, _) = sides[1], sides[0]
    # The ridge is as far from both glue lines as the wings say.
    for line, _ in sides:
        assert degrees_between(line, ridge) == pytest.approx(be, abs=1e-12)
    wing = ridge - (ridge @ glue) * glue
    crease = 180.0 - degrees_between(foot, wing)
    across = [line - (line @ ridge) * ridge for line in (glue, other)]
    return crease, 180.0 - degrees_between(*across)


@pytest.mark.parametrize("gutter", [0, 1, 20, 45, 90, 120, 160, 179, 180])
@pytest.mark.parametrize(("al", "be"), [(45, 60), (30, 70), (60, 65), (50, 90), (20, 110)])
def test_a_v_fold_stands_where_spherical_trigonometry_says(
    al: float, be: float, gutter: float
) -> None:
    pose = posed(v_fold(al, be).assembly, {"gutter": gutter})
    assert pose.outcome is Outcome.REACHED
    crease, ridge = v_turns(al, be, 180.0 - gutter)
    assert pose.turned("gutter") == gutter
    found = [pose.turned(name) for name in ("left crease", "right crease", "ridge")]
    # Shut, a hair's breadth of a cosine is a square root of it of an angle.
    shut = 2e-6 if gutter == 180 else EXACT
    assert found == pytest.approx([crease, crease, ridge], abs=shut)


def test_the_published_v_fold_rises_as_published() -> None:
    """Fact F31: 45 degrees open flat, 90 at a right-angled card, 105 shut."""
    fact = FACTS["F31"]
    al, be = fact["al"], fact["be"]
    assert math.degrees(
        math.acos(math.cos(math.radians(be)) / math.cos(math.radians(al)))
    ) == pytest.approx(fact["open180"], abs=EXACT)
    assembly = v_fold(al, be).assembly
    for gutter, wanted in ((0, "open180"), (90, "open90"), (180, "shut")):
        pose = posed(assembly, {"gutter": gutter})
        assert pose.outcome is Outcome.REACHED
        ridge = pose.point("left wing", at(0, 60)) - pose.point("left wing", at(0, 0))
        up = pose.point("left page", at(80, 240)) - pose.point("left page", at(80, 0))
        assert degrees_between(ridge, up) == pytest.approx(fact[wanted], abs=EXACT)
        assert ridge_to_gutter(al, be, 180.0 - gutter) == pytest.approx(fact[wanted], abs=1e-6)
        # It stands on the front of the card, and both wings carry the same ridge.
        assert pose.height_over("left page", ridge) >= -1e-9
        other = pose.point("right wing", at(0, 60)) - pose.point("right wing", at(0, 0))
        assert other == pytest.approx(ridge, abs=1e-8)


# Bands and parallelograms.


def test_a_parallel_fold_carries_its_ridge_where_published() -> None:
    """Fact F30: the ridge at a u1 + b u2, with the worked places at 0, 90 and 180 degrees."""
    fact = FACTS["F30"]
    a, b = fact["a"], fact["b"]
    assembly = parallel_box(a, b).assembly
    for gutter in (0, 30, 90, 137.5, 180):
        pose = posed(assembly, {"gutter": gutter})
        assert pose.outcome is Outcome.REACHED
        # By the parallelogram's rule every fold is turned like the gutter.
        assert list(pose.every.values()) == pytest.approx([gutter] * 4, abs=EXACT)
        middle = a + b + 10
        spine = pose.point("left page", at(middle, 50))
        left = (pose.point("left page", at(middle - a, 50)) - spine) / a
        right = (pose.point("right page", at(middle + b, 50)) - spine) / b
        ridge = pose.point("left part", at(10 + b, 20)) - spine
        assert ridge == pytest.approx(a * left + b * right, abs=1e-9)
        if gutter in (0, 90, 180):
            # In the published frame the page with b lies along x.
            upright = np.cross(np.cross(right, left), right)
            norm = np.linalg.norm(upright)
            height = float(ridge @ upright / norm) if norm > 1e-12 else 0.0
            assert (float(ridge @ right), height) == pytest.approx(
                tuple(fact[f"ridge_at_{180 - gutter}"]), abs=1e-9
            )


def four_bar(a: float, b: float, c: float, d: float, opening: float) -> tuple[float, ...]:
    """Inner angles of a convex ring of bars a, b, c, d at its corners da, ab, bc, cd.

    a and d meet at the angle `opening`.  Law of cosines along the diagonal from
    the far end of a to that of d.
    """
    across = math.sqrt(a * a + d * d - 2.0 * a * d * math.cos(math.radians(opening)))

    def corner(one: float, two: float, facing: float) -> float:
        cosine = (one * one + two * two - facing * facing) / (2.0 * one * two)
        return math.degrees(math.acos(cosine))

    return (
        opening,
        corner(a, across, d) + corner(b, across, c),
        corner(b, c, across),
        corner(d, across, a) + corner(c, across, b),
    )


BARS = [(30, 50, 30, 50), (40, 45, 38, 52), (35, 60, 55, 42)]


@pytest.mark.parametrize("bars", BARS)
@pytest.mark.parametrize("opening", [70, 90, 100, 115])
def test_a_four_bar_step_follows_the_law_of_cosines(
    bars: tuple[int, int, int, int], opening: float
) -> None:
    """A glued step whose parts are no parallelogram: closed at a right angle, moved from there."""
    a, b, c, d = bars

    def turns(at_opening: float) -> list[float]:
        gutter, left, ridge, right = four_bar(a, b, c, d, at_opening)
        # A foot lies on the page away from the gutter: beside the inner angle.
        return [180.0 - gutter, left, 180.0 - ridge, right]

    sample = parallel_box(a, d, b, c, angles=turns(90.0))
    pose = posed(sample.assembly, {"gutter": 180 - opening})
    assert pose.outcome is Outcome.REACHED
    names = ("gutter", "left foot", "ridge", "right foot")
    assert [pose.turned(name) for name in names] == pytest.approx(turns(opening), abs=1e-8)


def test_a_step_in_one_piece_is_a_parallelogram_at_every_opening() -> None:
    """One tread and one riser between a slit and the edge: every fold turns like the gutter."""
    assembly = assembled(stair([30], [45]))
    for gutter in (1, 45, 90, 133.3, 179):
        pose = posed(assembly, {"gutter": gutter})
        assert pose.outcome is Outcome.REACHED
        assert list(pose.every.values()) == pytest.approx([gutter] * 4, abs=EXACT)


def test_a_glued_tube_is_a_parallelogram() -> None:
    """Opposite sides are equal, so neighbouring folds add to two right angles."""
    assembly = tube().assembly
    for held in (0, 10, 60, 90, 125, 180):
        pose = posed(assembly, {"edge 2": held})
        assert pose.outcome is Outcome.REACHED
        wanted = [180 - held, held, 180 - held, held]
        found = [pose.turned(f"edge {k}") for k in range(1, 5)]
        assert found == pytest.approx(wanted, abs=EXACT)


# The square twist.


@pytest.mark.parametrize("phi", [30.0, 45.0, 60.0])
def test_the_four_vertices_of_a_twist_with_like_sides_contradict_each_other(phi: float) -> None:
    """Round the square every side is turned more than the one before it: no side is turned.

    At each corner the sectors are phi (from the side to its pleat), 90, 180 - phi
    and 90, and like sides are mode B, whose multiplier leads from one side to the
    next.  A ring of four that multiplies to anything but 1 cannot close.
    """
    m = abs(multiplier(phi, 90.0, "B"))
    assert vertex4_senses(phi, 90.0, "B") == (M, V, M, M)
    assert m > 1.0
    assert m**4 > 2.0
    # With senses M M V V two corners are of mode A, whose multiplier is the
    # other one's inverse: they make up for the two of mode B.
    assert abs(multiplier(phi, 90.0, "A")) * m == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("held", [20, 60, 90, 120, 160])
@pytest.mark.parametrize("phi", [45.0, 50.0])
def test_a_square_twist_with_four_like_sides_does_not_fold_rigidly(phi: float, held: float) -> None:
    """Published: Hull and Urbanski, Rigid foldability of the augmented square twist."""
    assembly = assembled(square_twist(30, phi))
    pose = posed(assembly, {f"side {k}": held for k in range(1, 5)})
    assert pose.outcome is Outcome.STRAINED
    assert pose.folded.gap_mm > 1.0
    assert pose.folded.worst is not None
    # With one side held the paper finds a way out, in other senses than the design's.
    loose = posed(assembly, {"side 1": held})
    assert loose.outcome is Outcome.STRAINED or min(loose.every.values()) < -1.0


def test_a_square_twist_lies_flat_shut_but_bends_on_the_way() -> None:
    assembly = assembled(square_twist(30))
    pose = posed(assembly, {f"side {k}": 180 for k in range(1, 5)})
    assert pose.outcome is Outcome.REACHED
    assert list(pose.every.values()) == pytest.approx([180.0] * 12, abs=EXACT)
    assert pose.folded.bends is not None


def test_a_square_twist_shrinks_by_twice_its_pleats() -> None:
    """Common practice, no source: the sheet gets smaller by 2 s sin(phi) each way."""
    half = 30
    side = half * math.sqrt(2.0)
    size = closed_size(divide(square_twist(half)))
    assert size == pytest.approx((200 - 2 * side * math.sin(math.radians(45.0)),) * 2, abs=1e-9)


@pytest.mark.parametrize("held", [20, 90, 150])
@pytest.mark.parametrize("senses", [(M, M, V, V), (M, M, M, V)])
def test_a_square_twist_with_other_senses_folds_rigidly(
    senses: tuple[Any, ...], held: float
) -> None:
    """The condition on multipliers (Lang and Howell 2018) holds: two corners of each mode."""
    m = abs(multiplier(45.0, 90.0, "B"))
    sides = [math.tan(math.radians(held / 2.0))]
    for before, after in pairwise(senses):
        sides.append(sides[-1] * (m if before == after else 1.0 / m))
    turned = [2.0 * math.degrees(math.atan(t)) for t in sides]
    assembly = assembled(square_twist(30, senses=senses))
    pose = posed(assembly, {"side 1": turned[0]})
    assert pose.outcome is Outcome.REACHED
    assert [pose.turned(f"side {k}") for k in range(1, 5)] == pytest.approx(turned, abs=1e-8)
    # The fold that goes on from a corner opposite to a side turns like it.
    for k in range(4):
        assert pose.turned(f"pleat {k + 1}") == pytest.approx(turned[k - 1], abs=1e-8)
        assert pose.turned(f"pleat {k + 1}'") == pytest.approx(turned[(k + 1) % 4], abs=1e-8)


def test_a_fold_across_its_square_lets_a_twist_fold_rigidly() -> None:
    """Published: with one crease along a diagonal the square twist folds rigidly."""
    assembly = assembled(square_twist(30, brace=True))
    for held in (30, 90, 140):
        pose = posed(assembly, {"side 1": held})
        assert pose.outcome is Outcome.REACHED, held
        assert abs(pose.turned("brace")) > 1.0


# Cards that stand.


def test_an_easel_leans_as_published() -> None:
    """cos(lean) = s / h; the worked value 44.4 degrees for 75 / 105."""
    fact = PUBLISHED["easel"]
    h, s = fact["h"], fact["s"]
    lean = math.degrees(math.acos(s / h))
    assert lean == pytest.approx(fact["lean"], abs=0.05)
    for pose in (
        posed(easel(h).assembly, {}, touches=(("outer half", (0, 2 * h), (75, 2 * h),
                                               "floor", (0, h - s), (75, h - s)),)),
        posed_design(DESIGNS / "easel.toml", "standing"),
    ):  # fmt: skip
        assert pose.outcome is Outcome.REACHED
        assert pose.turned("hinge") == pytest.approx(180.0 - lean, abs=EXACT)
        assert pose.turned("middle") == pytest.approx(2.0 * lean, abs=EXACT)
        # The picture, glued to the outer half, leans as much and stands on the floor.
        name = "picture" if "picture" in pose.panels else "display/picture"
        foot = pose.point(name, at(30, 0))
        rise = pose.point(name, at(30, h)) - foot
        floor = pose.frame("floor")
        assert rise @ floor[:, 2] == pytest.approx(h * math.sin(math.radians(lean)), abs=1e-8)
        assert foot == pytest.approx(pose.point("floor", at(30, h - s)), abs=1e-8)


def test_a_strut_reaches_the_table_as_published() -> None:
    """The length of the strut is its distance from pivot to foot; largest q when folded away."""
    fact = PUBLISHED["strut"]
    k, lean = float(fact["k"]), math.radians(fact["lean"])
    assert 2.0 * k * math.sin(lean) == pytest.approx(fact["largest_q"], abs=0.05)
    q = 40.0
    leg = math.hypot(k * math.cos(lean), q - k * math.sin(lean))
    swung = math.degrees(math.acos((k * k + leg * leg - q * q) / (2.0 * k * leg)))
    for pose, x in (
        (posed(strut(100, leg).assembly, {"pivot": swung}), 25),
        (posed_design(DESIGNS / "strut.toml", "standing"), 25),
    ):
        assert pose.outcome is Outcome.REACHED
        panel, bottom = pose.frame("picture"), pose.point("picture", at(45, 0))
        foot = pose.point("leg", at(x, 0)) - bottom
        # Seen along the panel's foot: behind it, and on the table when it leans.
        back = -panel[:, 2]
        assert np.linalg.norm(foot) == pytest.approx(q, abs=1e-8)
        assert foot @ panel[:, 0] == pytest.approx(0.0, abs=1e-8)
        assert foot @ back == pytest.approx(q * math.cos(lean), abs=1e-8)
        assert foot @ panel[:, 1] == pytest.approx(q * math.sin(lean), abs=1e-8)


# The designs that ship with the tests.


@pytest.mark.parametrize(
    ("file", "pose", "wanted"),
    [
        ("v-fold-popup", "standing", {"gutter": 90.0}),
        ("parallel-box", "standing", {"bench 1": 90.0, "bench 2": 90.0, "bench 3": 90.0}),
        ("glued-box", "pushed askew", {"edge 1": 120.0, "edge 3": 120.0, "edge 4": 60.0}),
        ("glued-box", "pressed flat", {"edge 1": 180.0, "edge 3": 180.0, "edge 4": 0.0}),
    ],
)
def test_designs_stand_as_their_closed_forms_say(
    file: str, pose: str, wanted: dict[str, float]
) -> None:
    found = posed_design(DESIGNS / f"{file}.toml", pose)
    assert found.outcome is Outcome.REACHED
    for label, degrees in wanted.items():
        assert found.turned(label) == pytest.approx(degrees, abs=EXACT)
    if file == "v-fold-popup":
        crease, ridge = v_turns(45.0, 60.0, 90.0)
        assert found.turned("left crease") == pytest.approx(crease, abs=EXACT)
        assert found.turned("ridge") == pytest.approx(ridge, abs=EXACT)


def poses_of(name: str) -> dict[str, PoseProof]:
    """The poses of a proof of one of the designs, by name."""
    proof = prove_design(read_design(DESIGNS / f"{name}.toml"))
    return {pose.name: pose for pose in proof.poses}


def test_the_poses_that_every_card_has_are_those_of_the_closed_forms() -> None:
    """Fact F31 as the proof of a design tells it: open flat, standing, shut; and fact F30."""
    fact = FACTS["F31"]
    sail = {
        pose.name: pose for pose in prove_design(read_design(DESIGNS / "v-fold-popup.toml")).poses
    }
    for name, wanted in (("open", "open180"), ("standing", "open90"), ("closed", "shut")):
        pose = sail[name]
        assert pose.folded.outcome is Outcome.REACHED
        opening = {"open": 180.0, "standing": 90.0, "closed": 0.0}[name]
        crease, ridge = v_turns(fact["al"], fact["be"], opening)
        found = [pose.folded.turned["sail", index] for index in range(3)]
        assert found == pytest.approx([ridge, crease, crease], abs=1e-8)
        assert ridge_to_gutter(fact["al"], fact["be"], opening) == pytest.approx(
            fact[wanted], abs=EXACT
        )
        assert pose.clashes == ()
    bench = {
        pose.name: pose for pose in prove_design(read_design(DESIGNS / "parallel-box.toml")).poses
    }
    for name, turned in (("open", 0.0), ("standing", 90.0), ("closed", 180.0)):
        assert bench[name].folded.outcome is Outcome.REACHED
        assert list(bench[name].folded.turned.values()) == pytest.approx([turned] * 4, abs=1e-8)


def test_the_proof_of_a_square_twist_says_that_its_paper_bends() -> None:
    """Published: it closes flat and cannot be folded so with rigid panels."""
    proof = prove_design(read_design(DESIGNS / "square-twist.toml"))
    assert proof.verdict == "closes"
    told = {finding.rule for finding in proof.findings}
    assert {"bends-on-the-way", "pose-strained"} <= told


def test_the_design_of_a_square_twist_is_strained_half_way() -> None:
    assert posed_design(DESIGNS / "square-twist.toml", "half twisted").outcome is Outcome.STRAINED


def test_the_designs_close_and_say_what_they_hold() -> None:
    for name in ("v-fold-popup", "parallel-box", "glued-box", "square-twist", "easel", "strut"):
        resolved = resolve(read_design(DESIGNS / f"{name}.toml"))
        assert resolved.poses, name
        assert Sample(pieces=resolved.pieces, joints=resolved.joints).assembly.divisions
