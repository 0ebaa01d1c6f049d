"""File names: by order of making, piece and face, safe on every file system."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.drawing import Layer, Side
from foldwright.writers.names import file_name, in_file_name
from tests.writers.drawings import card


@pytest.mark.parametrize(
    ("number", "count", "side", "layer", "proven", "name"),
    [
        (1, 1, Side.FRONT, None, True, "01-base-front.svg"),
        (1, 1, Side.BACK, None, True, "01-base-back.svg"),
        (12, 12, Side.FRONT, Layer.SCORE, True, "12-base-front-score.svg"),
        (7, 120, Side.FRONT, None, True, "007-base-front.svg"),
        (1, 1, Side.FRONT, None, False, "01-base-front-unproven.svg"),
        (1, 1, Side.FRONT, Layer.CUT, False, "01-base-front-cut-unproven.svg"),
    ],
)
def test_a_name_tells_order_piece_face_and_layer(
    number: int, count: int, side: Side, layer: Layer | None, proven: bool, name: str
) -> None:
    drawing = replace(card(), proven=proven)
    assert file_name(drawing, number, count, side, layer, ".svg") == name


@pytest.mark.parametrize(
    ("piece", "name"),
    [
        ("base", "base"),
        ("Left Page", "Left-Page"),
        ("front  floor / 2", "front-floor-2"),
        ("../../etc/passwd", "etc-passwd"),
        ("a\\b:c*d?e", "a-b-c-d-e"),
        ("-draft-", "draft"),
        ("Möwe, süß", "Mowe-suss"),
        ("crème brûlée", "creme-brulee"),
        ("ærø", "aero"),
        ("гавань", "гавань"),
        ("港の階段", "港の階段"),
        ("हिन्दी", "हिन्दी"),
        ("...", "piece"),
        ("", "piece"),
        ("a\x00b\nc", "a-b-c"),
        ("\ud800", "piece"),
        ("x" * 300, "x" * 120),
        ("é" * 300, "e" * 120),
        ("港" * 100, "港" * 40),
    ],
)
def test_a_piece_keeps_its_letters_and_digits(piece: str, name: str) -> None:
    assert in_file_name(piece) == name


@given(st.text(max_size=80))
def test_any_name_gives_one_safe_part_of_a_file_name(piece: str) -> None:
    name = in_file_name(piece)
    assert name
    assert len(name.encode()) <= 120
    assert not set(name) & set('/\\:*?"<>|. \x00')
    assert name.isprintable()
    assert not name.startswith("-")
    assert not name.endswith("-")
    assert in_file_name(name) == name
