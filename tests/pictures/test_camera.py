"""Perspective: closed forms of where places come to on the page."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.pictures.camera import RAISED_DEG, Camera, Floats, camera_for

CUBE = np.array([(x, y, z) for x in (0.0, 100.0) for y in (0.0, 100.0) for z in (0.0, 100.0)])

angles = st.floats(0.0, 360.0)
units = st.floats(-1.0, 1.0)


def spot(camera: Camera, *at: float) -> Floats:
    spots, _ = camera.page(np.array([at]))
    found: Floats = spots[0]
    return found


def test_a_known_place() -> None:
    camera = Camera(
        eye=(0.0, -400.0, 0.0),
        right=(1.0, 0.0, 0.0),
        up=(0.0, 0.0, 1.0),
        towards=(0.0, -1.0, 0.0),
        scale=200.0,
        middle=(50.0, 60.0),
    )
    # Half as large at 400 mm, a quarter as large at 800.
    assert spot(camera, 10.0, 0.0, 20.0) == pytest.approx([55.0, 70.0])
    assert spot(camera, 10.0, 400.0, 20.0) == pytest.approx([52.5, 65.0])
    _, near = camera.page(np.array([(3.0, 100.0, 9.0)]))
    assert near == pytest.approx([1.0 / 500.0])


@pytest.mark.parametrize(
    ("side", "right"),
    [
        (270.0, (1.0, 0.0, 0.0)),
        (0.0, (0.0, 1.0, 0.0)),
        (90.0, (-1.0, 0.0, 0.0)),
        (180.0, (0.0, -1.0, 0.0)),
    ],
)
def test_the_viewer_stands_on_the_side_named(side: float, right: tuple[float, ...]) -> None:
    camera = camera_for(CUBE, side, (100.0, 100.0))
    assert camera.right == pytest.approx(right, abs=1e-12)
    away = np.array(camera.eye) - CUBE.mean(axis=0)
    turn = math.radians(side)
    flat = math.hypot(away[0], away[1])
    assert away[:2] / flat == pytest.approx([math.cos(turn), math.sin(turn)], abs=1e-12)
    assert math.degrees(math.atan2(away[2], flat)) == pytest.approx(RAISED_DEG)


@given(angles, st.floats(10.0, 300.0), st.floats(10.0, 300.0))
def test_the_drawing_fills_its_room(side: float, wide: float, tall: float) -> None:
    camera = camera_for(CUBE, side, (wide, tall))
    spots, near = camera.page(CUBE)
    assert (near > 0.0).all()
    low, high = spots.min(axis=0), spots.max(axis=0)
    assert low == pytest.approx([0.0, 0.0], abs=1e-9)
    assert (high <= np.array([wide, tall]) + 1e-9).all()
    assert (np.abs(high - np.array([wide, tall])) < 1e-9).any()


@given(angles, units, units, units)
def test_parallel_lines_vanish_in_one_place(side: float, x: float, y: float, z: float) -> None:
    """The vanishing point of a direction d is that of the place eye + t d, whatever t."""
    camera = camera_for(CUBE, side, (100.0, 100.0))
    way = np.array((x, y, z))
    ahead = -float(way @ np.array(camera.towards))
    if ahead < 0.1:
        return
    due = np.array(camera.middle) + camera.scale / ahead * np.array(
        (way @ np.array(camera.right), way @ np.array(camera.up))
    )
    for start in CUBE:
        (far,), _ = camera.page(start[None] + 1e9 * way)
        assert far == pytest.approx(due, abs=0.05)


@given(angles)
def test_perspective_is_gentle_and_upright_lines_stand(side: float) -> None:
    camera = camera_for(CUBE, side, (100.0, 100.0))
    _, near = camera.page(CUBE)
    assert near.max() / near.min() < 1.5
    for x, y in ((0.0, 0.0), (100.0, 100.0)):
        foot, top = spot(camera, x, y, 0.0), spot(camera, x, y, 100.0)
        assert top[1] > foot[1]
        assert abs(top[0] - foot[0]) < 0.12 * (top[1] - foot[1])


@given(angles, units, units, units)
def test_a_ray_goes_back_to_its_place(side: float, x: float, y: float, z: float) -> None:
    camera = camera_for(CUBE, side, (100.0, 100.0))
    at = CUBE.mean(axis=0) + 50.0 * np.array((x, y, z))
    spots, near = camera.page(at[None])
    (ray,) = camera.rays(spots)
    assert np.array(camera.eye) + ray / near[0] == pytest.approx(at, abs=1e-9)


@given(angles, st.floats(0.0, 1.0))
def test_nearness_is_affine_along_a_line_of_the_page(side: float, share: float) -> None:
    camera = camera_for(CUBE, side, (100.0, 100.0))
    ends = CUBE[[0, 7]]
    spots, near = camera.page(ends)
    places = (ends[0] + (ends[1] - ends[0]) * share)[None]
    (at,), (found,) = camera.page(places)
    along = float(np.abs(at - spots[0]).sum() / np.abs(spots[1] - spots[0]).sum())
    assert found == pytest.approx(near[0] + (near[1] - near[0]) * along)


def test_one_place_and_a_flat_line_have_a_camera() -> None:
    for places in ([(1.0, 2.0, 3.0)], [(0.0, 0.0, 0.0), (10.0, 0.0, 0.0)]):
        camera = camera_for(np.array(places), 270.0, (100.0, 50.0))
        spots, _ = camera.page(np.array(places))
        assert np.isfinite(spots).all()
