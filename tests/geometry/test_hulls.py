"""Convex hulls in the plane and in space, against bodies known by hand and against scipy."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.geometry.hull import convex_hull, margin_in
from foldwright.geometry.hull_faces import Floats, HullFace, hull_faces

GRID = st.tuples(st.integers(-6, 6), st.integers(-6, 6), st.integers(-6, 6))


def test_a_hull_in_the_plane() -> None:
    square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]
    inside = [(2.0, 0.0), (4.0, 1.0), (1.0, 3.0), (4.0, 4.0)]
    assert convex_hull(inside + square) == tuple(square)
    assert convex_hull([(1.0, 1.0), (3.0, 3.0), (2.0, 2.0)]) == ((1.0, 1.0), (3.0, 3.0))
    assert convex_hull([(1.0, 1.0), (1.0, 1.0)]) == ((1.0, 1.0),)
    assert convex_hull([]) == ()
    # A corner a hair out of a side is none.
    assert convex_hull([*square, (2.0, -1e-9)], 1e-6) == tuple(square)
    assert len(convex_hull([*square, (2.0, -1e-5)], 1e-6)) == 5


@given(st.lists(st.tuples(st.integers(0, 3), *[st.floats(-1e-13, 1e-13)] * 2), min_size=8))
def test_rounding_neither_adds_nor_loses_a_corner(near: list[tuple[int, float, float]]) -> None:
    square = ((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0))
    noisy = [(square[i][0] + dx, square[i][1] + dy) for i, dx, dy in near]
    hull = convex_hull((*square, *noisy), 1e-9)
    assert len(hull) == 4
    for corner in square:
        assert min(math.dist(corner, one) for one in hull) < 1e-12


def test_margins() -> None:
    square = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))
    inside = margin_in(square, (3.0, 2.0))
    assert (inside.mm, inside.edge) == (1.0, ((4.0, 0.0), (4.0, 4.0)))
    assert margin_in(square, (7.0, 8.0)).mm == -5.0
    assert margin_in(square, (4.0, 2.0)).mm == 0.0
    assert math.copysign(1.0, margin_in(square, (4.0, 2.0)).mm) == 1.0
    line = ((0.0, 0.0), (4.0, 0.0))
    assert margin_in(line, (1.0, 2.0)).mm == -2.0
    assert margin_in(line, (1.0, 0.0)).mm == 0.0
    assert margin_in(((1.0, 1.0),), (4.0, 5.0)).mm == -5.0
    with pytest.raises(ValueError, match="nothing"):
        margin_in((), (0.0, 0.0))


def planes(faces: tuple[HullFace, ...], places: Floats) -> set[tuple[float, ...]]:
    found = set()
    for face in faces:
        height = float(face.normal @ places[face.corners[0]])
        found.add(tuple(round(part, 6) + 0.0 for part in (*face.normal, height)))
    return found


def test_a_cube_has_six_faces_of_four_corners_each() -> None:
    corners = np.array([*product((0.0, 10.0), repeat=3), (5.0, 5.0, 5.0), (5.0, 5.0, 10.0)])
    faces = hull_faces(corners)
    assert sorted(len(face.corners) for face in faces) == [4] * 6
    expected = {
        (*(sign * part for part in axis), 10.0 * (sign > 0))
        for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
        for sign in (1.0, -1.0)
    }
    assert planes(faces, corners) == {tuple(part + 0.0 for part in one) for one in expected}


def test_corners_run_round_a_face_as_seen_from_outside() -> None:
    corners = np.array([*product((0.0, 10.0), (0.0, 20.0), (0.0, 5.0))])
    for face in hull_faces(corners):
        ring = corners[list(face.corners)]
        turn = sum(np.cross(a, b) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True))
        assert turn @ face.normal > 0


def test_flat_places_have_two_faces_and_places_on_a_line_none() -> None:
    flat = np.array([(0.0, 0, 7), (10, 0, 7), (10, 5, 7), (0, 5, 7), (3, 3, 7)])
    up, down = hull_faces(flat)
    assert {len(up.corners), len(down.corners)} == {4}
    assert up.normal @ down.normal == pytest.approx(-1)
    assert hull_faces(np.array([(0.0, 0, 0), (1, 1, 1), (3, 3, 3)])) == ()
    assert hull_faces(np.array([(0.0, 0, 0)] * 4)) == ()
    assert hull_faces(np.empty((0, 3))) == ()


def test_the_platonic_bodies() -> None:
    golden = (1 + math.sqrt(5)) / 2
    octahedron = [(s * (i == 0), s * (i == 1), s * (i == 2)) for i in range(3) for s in (1.0, -1)]
    signs = [(1.0, -1.0)] * 3
    rounds = [(a, b, c) for a, b in product((1.0, -1.0), repeat=2) for c in (0.0,)]
    icosahedron = [
        turned
        for a, b, _ in rounds
        for turned in ((0.0, a, b * golden), (a, b * golden, 0.0), (b * golden, 0.0, a))
    ]
    dodecahedron = [*product(*signs)] + [
        turned
        for a, b, _ in rounds
        for turned in (
            (0.0, a / golden, b * golden),
            (a / golden, b * golden, 0.0),
            (b * golden, 0.0, a / golden),
        )
    ]
    for corners, count, each in ((octahedron, 8, 3), (icosahedron, 20, 3), (dodecahedron, 12, 5)):
        faces = hull_faces(30 * np.array(corners, dtype=float))
        assert [len(face.corners) for face in faces] == [each] * count


@settings(deadline=None, max_examples=150)
@given(st.lists(GRID, min_size=4, max_size=30), st.floats(0, 7), st.floats(0, 7))
def test_the_planes_are_those_of_scipy(
    grid: list[tuple[int, int, int]], about_z: float, about_x: float
) -> None:
    spatial = pytest.importorskip("scipy.spatial")
    c, s = math.cos(about_z), math.sin(about_z)
    e, f = math.cos(about_x), math.sin(about_x)
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.array(
        [[1, 0, 0], [0, e, -f], [0, f, e]]
    )
    places = 10.0 * np.array(grid, dtype=float) @ turn.T
    faces = hull_faces(places)
    if np.linalg.matrix_rank(places - places[0], tol=1e-6) < 3:
        assert len(faces) in (0, 2)
        return
    found = np.array([(*face.normal, -face.normal @ places[face.corners[0]]) for face in faces])
    known = spatial.ConvexHull(places, qhull_options="Qt").equations
    # Every plane of the one is a plane of the other; triangles of one face share theirs.
    gaps = np.abs(found[:, None] - known[None]).max(axis=2)
    assert gaps.min(axis=1).max() < 1e-6
    assert gaps.min(axis=0).max() < 1e-6
    same = np.abs(found[:, None] - found[None]).max(axis=2) < 1e-6
    assert same.sum() == len(found)


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 2**32 - 1), st.integers(4, 300))
def test_clouds_of_places_agree_with_scipy(seed: int, count: int) -> None:
    spatial = pytest.importorskip("scipy.spatial")
    places = np.random.default_rng(seed).normal(size=(count, 3)) * 50.0
    known = spatial.ConvexHull(places)
    faces = hull_faces(places)
    assert len(faces) == len(known.simplices)
    assert {corner for face in faces for corner in face.corners} == set(known.vertices.tolist())
