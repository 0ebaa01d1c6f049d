"""DXF files: opened and audited by ezdxf, in mm, one polyline a stroke, nothing mirrored."""

from __future__ import annotations

import io
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf import bbox, colors, units
from ezdxf.math import bulge_center, bulge_radius, bulge_to_arc

from foldwright.drawing import Layer
from foldwright.geometry import circle, line, point
from foldwright.writers import DEFAULT_STYLE, OUR_MARK, WriteOptions, differences
from foldwright.writers.dxf import MM_COMMENT, writer
from foldwright.writers.dxf_template import VERSIONS, frame, main, make
from tests.writers.drawings import LETTER_F, arc, card, cut, drawing, fact, places

R2000 = WriteOptions()
R12 = WriteOptions(dxf_version="R12")
BOTH = pytest.mark.parametrize("options", [R2000, R12], ids=["R2000", "R12"])


def opened(data: bytes) -> Any:
    return ezdxf.read(io.StringIO(data.decode("ascii")))  # type: ignore[attr-defined]


def tags(data: bytes) -> list[tuple[int, str]]:
    lines = data.decode("ascii").splitlines()
    assert len(lines) % 2 == 0
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def points(entity: Any) -> list[tuple[float, float, float]]:
    if entity.dxftype() == "LWPOLYLINE":
        return list(entity.get_points("xyb"))
    return [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]


def comments(data: bytes) -> list[str]:
    return [value for code, value in tags(data) if code == 999]


@BOTH
def test_ezdxf_opens_it_and_its_audit_is_clean(options: WriteOptions) -> None:
    document = opened(writer.write(card(), options))
    audit = document.audit()
    assert audit.errors == []
    assert audit.fixes == []
    assert document.acad_release == options.dxf_version
    released = fact("D04")[document.dxfversion].split("/")
    assert options.dxf_version.removeprefix("R") in {name.removeprefix("R") for name in released}


def test_the_header_says_millimetres_and_metric() -> None:
    """D01, D02, D03, D06: the library's own default would be metres."""
    document = opened(writer.write(card(), R2000))
    assert document.header["$INSUNITS"] == fact("D01")["millimeters"] == units.MM
    assert document.header["$MEASUREMENT"] == fact("D02")["metric"]
    assert document.header["$LUNITS"] == fact("D03")["decimal"]
    assert ezdxf.new("R2000").header["$INSUNITS"] == fact("D06") != fact("D01")["millimeters"]  # type: ignore[attr-defined]


def test_r12_says_millimetres_in_a_comment_since_its_header_cannot() -> None:
    """D05: $INSUNITS came with R2000."""
    data = writer.write(card(), R12)
    assert b"$INSUNITS" not in data
    assert b"$MEASUREMENT" not in data
    assert MM_COMMENT in comments(data)
    variables = {value for code, value in tags(data) if code == 9}
    old = {name for name, since in fact("D05").items() if since == "AC1009"}
    assert {f"${name}" for name in old} <= variables


@BOTH
def test_extents_and_limits_are_the_page(options: WriteOptions) -> None:
    header = opened(writer.write(card(), options)).header
    assert tuple(header["$EXTMIN"])[:2] == (0.0, 0.0)
    assert tuple(header["$EXTMAX"])[:2] == (148.0, 210.0)
    assert header["$LIMMIN"] == (0.0, 0.0)
    assert header["$LIMMAX"] == (148.0, 210.0)
    space = opened(writer.write(card(), R2000)).modelspace()
    assert tuple(space.dxf.extmax)[:2] == tuple(space.dxf.limmax)[:2] == (148.0, 210.0)


@BOTH
def test_drawn_extents_are_those_of_the_strokes(options: WriteOptions) -> None:
    box = bbox.extents(opened(writer.write(card(), options)).modelspace())
    assert box.extmin.x == pytest.approx(0.0, abs=1e-9)
    assert box.extmax.x == pytest.approx(148.0, abs=1e-9)
    assert box.size.y == pytest.approx(210.0, abs=1e-9)


@BOTH
def test_strokes_are_polylines_on_three_layers_in_the_order_of_work(options: WriteOptions) -> None:
    """D12: R12 has no LWPOLYLINE."""
    document = opened(writer.write(card(), options))
    entities = list(document.modelspace())
    assert {entity.dxftype() for entity in entities} == {fact("D12")[options.dxf_version]}
    layers = [entity.dxf.layer for entity in entities]
    assert layers == ["MARK"] + ["SCORE"] * 3 + ["CUT"] * 4
    # Layer 0 is in every DXF, Defpoints in every one that ezdxf makes; no stroke is on them.
    names = {layer.dxf.name for layer in document.layers}
    assert names - {"0", "Defpoints"} == {"MARK", "SCORE", "CUT"}


@BOTH
def test_open_stays_open_and_closed_closed(options: WriteOptions) -> None:
    entities = list(opened(writer.write(card(), options)).modelspace())
    closed = [entity.is_closed for entity in entities]
    assert closed == [stroke.path.closed for stroke in in_order()]
    for entity, stroke in zip(entities, in_order(), strict=True):
        if stroke.path.closed:
            assert points(entity)[0][:2] != points(entity)[-1][:2]


def in_order() -> Iterator[Any]:
    strokes = card().strokes
    # The perforated score comes after the two creased ones.
    yield from (strokes[i] for i in (0, 1, 3, 2, 4, 5, 6, 7))


def test_group_codes_are_those_of_the_reference_and_no_width_is_among_them() -> None:
    """D11: a width (40, 41, 43) would make a ribbon of a line."""
    codes = fact("D11")
    data = writer.write(drawing(cut(LETTER_F)), R2000)
    text = tags(data)
    start = text.index((0, "LWPOLYLINE"))
    entity = text[start : text.index((0, "ENDSEC"), start)]
    counts = Counter(code for code, _ in entity)
    assert counts[codes["x"]] == counts[codes["y"]] == 10
    assert dict(entity)[codes["count"]] == "10"
    assert dict(entity)[codes["flags"]] == "1"
    assert not set(codes["widths"]) & set(counts)
    assert codes["bulge"] not in counts


@BOTH
def test_handles_are_unique_and_below_the_next_free_one(options: WriteOptions) -> None:
    text = tags(writer.write(card(), options))
    seed = int(text[text.index((9, "$HANDSEED")) + 1][1], 16)
    # Group 105 is the handle of a dimension style; in R12 its group 5 is an arrow's name.
    header_end = text.index((0, "ENDSEC"))
    handles = [int(value, 16) for code, value in text[header_end:] if code in (5, 105) and value]
    assert len(handles) == len(set(handles))
    assert max(handles) < seed


@BOTH
def test_nothing_is_mirrored_y_stays_up(options: WriteOptions) -> None:
    """U06: DXF has y up, as drawings have."""
    (entity,) = opened(writer.write(drawing(cut(LETTER_F)), options)).modelspace()
    assert [(x, y) for x, y, _ in points(entity)] == [
        vertex.at.floats() for vertex in LETTER_F.vertices
    ]


@BOTH
def test_bulges_are_those_of_the_reference_library(options: WriteOptions) -> None:
    """D08, D09: +1 from (0,0) to (10,0) is a half circle about (5,0) through (5,-5)."""
    half, quarter = fact("D08")["semicircle"], fact("D08")["quarter"]
    data = writer.write(
        drawing(cut(arc((0.0, 0.0), (10.0, 0.0), half)), cut(arc((0, 0), (10, 0), -quarter))),
        options,
    )
    first, second = (points(entity) for entity in opened(data).modelspace())
    (x0, y0, bulge), (x1, y1, _) = first
    assert tuple(bulge_center((x0, y0), (x1, y1), bulge)) == pytest.approx(fact("D09")["centre"])
    assert bulge_radius((x0, y0), (x1, y1), bulge) == pytest.approx(fact("D09")["radius"])
    centre, _, _, radius = bulge_to_arc((0, 0), (10, 0), second[0][2])
    assert tuple(centre) == pytest.approx((5.0, -5.0))
    assert radius == pytest.approx(math.sqrt(50.0))


@BOTH
def test_the_middle_of_every_arc_is_where_it_was_drawn(options: WriteOptions) -> None:
    for bulge in (0.01, -0.2, fact("D08")["deg60"], 0.99, -1.0):
        drawn = arc((40.0, 100.0), (47.0, 108.0), bulge)
        (entity,) = opened(writer.write(drawing(cut(drawn)), options)).modelspace()
        (x0, y0, seen), (x1, y1, _) = points(entity)
        centre, begin, end, radius = bulge_to_arc((x0, y0), (x1, y1), seen)
        turn = begin + ((end - begin) % math.tau) / 2.0
        middle = (centre.x + radius * math.cos(turn), centre.y + radius * math.sin(turn))
        assert middle == pytest.approx(drawn.segments[0].middle.floats(), abs=1e-6)


def test_no_arc_passes_a_half_turn() -> None:
    ring = drawing(cut(circle(point(50, 50), 20)), cut(arc((10, 100), (20, 100), -900.0)))
    for entity in opened(writer.write(ring, R2000)).modelspace():
        assert all(abs(bulge) <= 1.0 for _, _, bulge in points(entity))
    read = writer.read_back(writer.write(ring, R2000), R2000)
    assert differences(ring, read, largest_sweep=writer.largest_sweep) == ()


@BOTH
def test_comments_carry_mark_title_cautions_and_the_word_unproven(options: WriteOptions) -> None:
    data = writer.write(replace(card(), proven=False), options)
    told = comments(data)
    assert told[0] == OUR_MARK
    assert told[1] == "Harbour steps: base (unproven)"
    assert told[2].startswith("Unproven: ")
    assert told[3:5] == list(card().cautions)
    assert "Layer SCORE in this order: 2 creased, then 1 perforated." in told
    assert not any("nproven" in one for one in comments(writer.write(card(), options)))


def test_a_file_is_ascii_and_its_comments_stay_comments() -> None:
    odd = replace(
        card(),
        title="Fähre \U0001f6a2\n  0\nEOF",
        cautions=("word " * 200, "x" * 700, ""),
    )
    data = writer.write(odd, R12)
    told = comments(data)
    assert told[1] == "F\\U+00E4hre \\U+D83D\\U+DEA2   0 EOF"
    assert max(len(value) for _, value in tags(data)) <= 255
    assert data.count(b"EOF\n") == 2
    assert len(list(opened(data).modelspace())) == len(card().strokes)


def test_our_mark_is_known_again_and_nobody_elses() -> None:
    data = writer.write(card(), R2000)
    assert writer.carries_our_mark(data[:300])
    assert writer.carries_our_mark(data.replace(b"\n", b"\r\n")[:300])
    assert not writer.carries_our_mark(data[30:])
    assert not writer.carries_our_mark(b"")


def test_index_colours_are_the_nearest_of_the_table() -> None:
    """D14; the cut has the foreground colour, which is black on white paper."""
    least, most = fact("D14")["least"], fact("D14")["most"]
    for layer in (Layer.MARK, Layer.SCORE):
        red, green, blue = (int(DEFAULT_STYLE.colours[layer][i : i + 2], 16) for i in (1, 3, 5))

        def off(index: int, to: tuple[int, int, int] = (red, green, blue)) -> int:
            return sum((a - b) ** 2 for a, b in zip(colors.aci2rgb(index), to, strict=True))

        assert DEFAULT_STYLE.indices[layer] == min(range(least, most + 1), key=off)
    assert DEFAULT_STYLE.indices[Layer.CUT] == fact("D14")["foreground"]
    document = opened(writer.write(card(), R2000))
    for layer in Layer:
        assert document.layers.get(layer.upper()).color == DEFAULT_STYLE.indices[layer]


def test_the_library_s_inch_is_no_standard() -> None:
    """D07 against U01: why lengths are never reckoned with the library's factor."""
    factor = units.conversion_factor(units.IN, units.MM)  # type: ignore[arg-type]
    assert factor == fact("D07") != fact("U01")


@pytest.mark.parametrize("version", VERSIONS)
def test_the_kept_frame_is_what_the_library_makes(version: Any) -> None:
    """Tables and header variables of the kept frame are those of the installed ezdxf."""

    def shape(text: str) -> Counter[str]:
        lines = text.split("\n")
        return Counter(
            f"{code.strip()} {value}"
            for code, value in zip(lines[::2], lines[1::2], strict=False)
            if code.strip() in ("0", "2", "9", "100")
        )

    kept, seed, owner = frame(version)
    first, _, made = make(version).partition("\n")
    assert shape(kept) == shape(made)
    assert first == f"{seed:X} {owner}"
    assert all(kept.count(token) == made.count(token) > 0 for token in TOKENS)


TOKENS = ("@WIDTH@", "@HEIGHT@", "@HANDSEED@", "@ENTITIES@", "@MARK@", "@SCORE@", "@CUT@", "@VIEW@")


@BOTH
def test_no_token_of_the_frame_is_left(options: WriteOptions) -> None:
    data = writer.write(card(), options).decode("ascii")
    assert not any(token in data for token in (*TOKENS, "@MIDDLE_X@", "@MIDDLE_Y@"))


@BOTH
def test_the_view_opens_on_the_page(options: WriteOptions) -> None:
    document = opened(writer.write(card(), options))
    (port,) = document.viewports.get("*Active")
    assert tuple(port.dxf.center)[:2] == (74.0, 105.0)
    assert port.dxf.height == pytest.approx(231.0)


def test_numbers_have_a_point_six_decimals_and_no_minus_before_zero() -> None:
    data = writer.write(drawing(cut(line(*places((-1e-9, 1 / 3), (7, 1e-7))))), R2000)
    text = tags(data)
    start = text.index((0, "LWPOLYLINE"))
    numbers = [value for code, value in text[start:] if code in (10, 20)][:4]
    assert numbers == ["0.000000", "0.333333", "7.000000", "0.000000"]


def test_the_frames_are_made_by_the_command(tmp_path: Path) -> None:
    assert main(tmp_path) == 0
    made = sorted(path.name for path in tmp_path.iterdir())
    assert made == ["frame-r12.dxf", "frame-r2000.dxf"]
    for version, name in zip(("R12", "R2000"), made, strict=True):
        text = (tmp_path / name).read_text("ascii")
        assert text == make("R12" if version == "R12" else "R2000")
