"""This module tests the placement map: what lies where, and how it is written."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

from foldwright.cli import main
from foldwright.dressing.mats import mats_of
from foldwright.geometry.offset_check import flattened
from foldwright.pictures import pens, svg_of
from foldwright.pictures.model import Area, Line, Picture, Words
from foldwright.pictures.placement_page import placement_picture
from tests.dressing.matted import BOOK, DESIGNS, STAGE, mat, pose, proved, shipped

PIER = str(DESIGNS / "pier-house.toml")


def page(text: str) -> Picture:
    proof = proved(text)
    return placement_picture(proof, mats_of(proof))


def letters(picture: Picture) -> list[str]:
    return [
        one.text
        for one in picture.parts
        if isinstance(one, Words) and one.bold and len(one.text) == 1
    ]


def mats_on(picture: Picture) -> list[shapely.Polygon]:
    """The mats on the page, those of the legend left out."""
    return [
        shapely.Polygon(flattened(one.path))
        for one in picture.parts
        if isinstance(one, Line) and one.pen is pens.GLUED_ON and one.path.box()[3] > 30
    ]


def test_every_mat_is_drawn_with_its_letter_on_it_and_an_arrow() -> None:
    proof = shipped("pier-house")
    picture = placement_picture(proof, mats_of(proof))
    assert letters(picture) == ["A", "B", "C", "B", "C", "B", "A", "D"]
    found = mats_on(picture)
    spots = [
        shapely.Point(one.at.floats())
        for one in picture.parts
        if isinstance(one, Words) and one.bold and len(one.text) == 1
    ]
    assert len(found) == len(spots) == 8
    assert all(shape.contains(spot) for shape, spot in zip(found, spots, strict=True))
    # At half size A is 22 by 49.5 mm.
    left, bottom, right, top = found[0].bounds
    assert (right - left, top - bottom) == pytest.approx((22, 49.5))
    heads = [one for one in picture.parts if isinstance(one, Area) and one.fill == pens.INK]
    # One of them is that of the legend; each points up.
    assert len(heads) == 9
    for head in heads:
        tip, *base = (vertex.at.floats()[1] for vertex in head.paths[0].vertices)
        assert tip > max(base)


def test_the_hatching_runs_as_the_print_does_and_keeps_off_the_letters() -> None:
    for up, level in ((90, False), (0, True)):
        picture = page(BOOK + mat(margin=4, up=up))
        lines = [
            one.path
            for one in picture.parts
            if isinstance(one, Line) and one.pen is pens.PRINT and one.path.box()[3] > 30
        ]
        assert lines
        for path in lines:
            (x0, y0), (x1, y1) = path.start.floats(), path.end.floats()
            assert (abs(y1 - y0) < 1e-6) is level and (abs(x1 - x0) < 1e-6) is not level
    bare = page(BOOK + mat(margin=4))
    assert not any(isinstance(one, Line) and one.pen is pens.PRINT for one in bare.parts)
    assert not any(isinstance(one, Area) for one in bare.parts)


def test_the_back_is_drawn_as_it_is_seen_from_there() -> None:
    # The fold is 20 mm from the left edge: from behind its narrow panel lies to the right.
    narrow = BOOK.replace("[60, 0], [60, 80]", "[20, 0], [20, 80]")
    (small,) = mats_on(page(narrow + mat(margin=4, face="back", panels=1).replace("= 1", '= ["panel 1"]')))  # noqa: E501  # fmt: skip
    picture = page(narrow + mat(margin=4) + mat(margin=4, face="back"))
    front, wide, back, _ = mats_on(picture)
    assert front.centroid.x < wide.centroid.x
    assert back.bounds[2] > wide.bounds[0] and back.centroid.x > front.centroid.x
    assert small.area == pytest.approx(back.area)
    senses = [
        one.pen.name
        for one in picture.parts
        if isinstance(one, Line) and one.pen in (pens.VALLEY, pens.MOUNTAIN)
    ]
    # One on each drawing, and one of each in the legend.
    assert senses == ["valley fold", "mountain fold", "valley fold", "mountain fold"]


def test_a_panel_that_is_folded_over_has_its_arrow_upside_down() -> None:
    text = STAGE + mat(face="back", up=90) + pose(180, "gutter", on='["card/panel 1"]')
    heads = [one for one in page(text).parts if isinstance(one, Area)]
    down = []
    for head in heads[:2]:
        tip, *base = (vertex.at.floats()[1] for vertex in head.paths[0].vertices)
        down.append(tip < min(base))
    assert down == [False, True]


def test_the_map_is_written_the_same_every_time_and_says_what_it_is(tmp_path: Path) -> None:
    file = tmp_path / "map.svg"
    assert main(["prove", PIER, "--picture", str(file), "--placement"]) == 0
    proof = shipped("pier-house")
    assert file.read_bytes() == svg_of(placement_picture(proof, mats_of(proof)))
    assert "Pier house: where the mats go" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "rule"),
    [
        (["--placement"], "placement-without-picture"),
        (["--placement", "--pose", "flat", "--picture", "x.svg"], "placement-alone"),
        (["--placement", "--envelope", "--picture", "x.svg"], "placement-alone"),
    ],
)
def test_options_that_do_not_go_together_are_told(
    arguments: list[str], rule: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    given = [str(tmp_path / "x.svg") if one == "x.svg" else one for one in arguments]
    assert main(["prove", PIER, *given]) == 2
    assert f"({rule})" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_card_without_mats_has_no_map(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    steps = str(DESIGNS / "harbour-steps.toml")
    file = tmp_path / "map.svg"
    assert main(["prove", steps, "--picture", str(file), "--placement"]) == 2
    assert "(placement-not-drawn)" in capsys.readouterr().err
    assert not file.exists()
    with pytest.raises(ValueError, match="no placement map"):
        page(BOOK)
