"""SVG files: their form by the standard, their size by two readers, nothing mirrored."""

from __future__ import annotations

import math
import re
import subprocess
from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from pathlib import Path as FilePath
from xml.etree import ElementTree

import pytest
import svgelements

from foldwright.drawing import Layer, Stroke, Work
from foldwright.geometry import Path, Point, Vertex, circle, line
from foldwright.writers import OUR_MARK, WriteOptions, differences
from foldwright.writers.svg import writer
from tests.writers.drawings import (
    LETTER_F,
    ROUNDED,
    arc,
    card,
    cut,
    drawing,
    fact,
    mark,
    places,
    score,
)

NAMESPACE = "{http://www.w3.org/2000/svg}"
MM = WriteOptions()
PX = WriteOptions(user_unit="px96")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def tree(data: bytes) -> ElementTree.Element:
    return ElementTree.fromstring(data)


def paths(data: bytes) -> list[str]:
    return [element.attrib["d"] for element in tree(data).iter(f"{NAMESPACE}path")]


def as_svgelements(data: bytes, ppi: float) -> list[svgelements.Path]:
    found = svgelements.SVG.parse(BytesIO(data), ppi=ppi)
    return [path for path in found.elements() if isinstance(path, svgelements.Path)]


def test_the_file_is_as_a_person_reads_it() -> None:
    text = writer.write(
        drawing(
            score(line(*places((0, 105), (50, 105)))),
            cut(ROUNDED),
            cut(circle(Point(20.0, 30.0), 5.0)),
        ),
        MM,
    ).decode()
    assert text == (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f"<!-- {OUR_MARK} -->\n"
        '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="148mm" height="210mm"'
        ' viewBox="0 0 148 210">\n'
        "<title>Harbour steps: base</title>\n"
        "<desc>Keep fingers out of the path of the blade.\nFollow the machine's manual.</desc>\n"
        '<g id="mark">\n</g>\n'
        '<g id="score">\n'
        '<path fill="none" stroke="#CC79A7" stroke-width="0.1" d="M 0 105 L 50 105"/>\n'
        "</g>\n"
        '<g id="cut">\n'
        '<path fill="none" stroke="#000000" stroke-width="0.1" d="M 3 210 L 145 210'
        " A 3 3 0 0 0 148 207 L 148 3 A 3 3 0 0 0 145 0 L 3 0 A 3 3 0 0 0 0 3 L 0 207"
        ' A 3 3 0 0 0 3 210 Z"/>\n'
        '<path fill="none" stroke="#000000" stroke-width="0.1" d="M 25 180 A 5 5 0 0 0 20 175'
        ' A 5 5 0 0 0 15 180 A 5 5 0 0 0 20 185 A 5 5 0 0 0 25 180 Z"/>\n'
        "</g>\n"
        "</svg>\n"
    )


def test_only_groups_and_stroked_paths_are_written() -> None:
    root = tree(writer.write(card(), MM))
    top = [child.get("id") for child in root if child.tag == f"{NAMESPACE}g"]
    assert top == ["mark", "score", "cut"]
    tags = {element.tag.removeprefix(NAMESPACE) for element in root.iter()}
    assert tags == {"svg", "title", "desc", "g", "path"}
    for element in root.iter(f"{NAMESPACE}path"):
        assert set(element.attrib) == {"fill", "stroke", "stroke-width", "d"}
        assert element.get("fill") == "none"
        assert float(element.attrib["stroke-width"]) == 0.1
    colours = {
        group.get("id"): {path.get("stroke") for path in group.iter(f"{NAMESPACE}path")}
        for group in root
        if group.get("id")
    }
    assert colours == {"mark": {"#767676"}, "score": {"#CC79A7"}, "cut": {"#000000"}}


def test_a_layer_of_two_works_has_a_group_for_each() -> None:
    root = tree(writer.write(card(), MM))
    score_group = next(child for child in root if child.get("id") == "score")
    assert [(child.get("id"), len(child)) for child in score_group] == [
        ("score-creased", 2),
        ("score-perforated", 1),
    ]
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))


def test_every_layer_has_its_group_even_an_empty_one() -> None:
    for layer in Layer:
        alone = card().with_strokes(card().on(layer))
        root = tree(writer.write(alone, MM))
        assert [child.get("id") for child in root][2:] == ["mark", "score", "cut"]


@pytest.mark.parametrize("options", [MM, PX], ids=["mm", "px96"])
def test_numbers_are_bare_absolute_and_of_four_decimals_at_most(options: WriteOptions) -> None:
    odd = drawing(
        cut(line(*places((1 / 3, 2 / 3), (1e-9, -1e-9), (1e-5, 0.00004), (100 / 7, 209.99996)))),
        cut(arc((1.23456789, 2.3456789), (30 / 7, 40 / 7), 0.123456789)),
        *card().strokes,
    )
    for d in paths(writer.write(odd, options)):
        words = d.split(" ")
        assert {word for word in words if word.isalpha()} <= {"M", "L", "A", "Z"}
        for word in words:
            if word.isalpha():
                continue
            assert NUMBER.fullmatch(word), word
            assert float(word) != 0.0 or word == "0"
            assert len(word.partition(".")[2]) <= 4
            assert not (("." in word) and word.endswith("0"))


def test_flags_of_arcs_stand_apart_and_none_is_large() -> None:
    ring = drawing(
        cut(circle(Point(50.0, 50.0), 20.0)), cut(arc((10.0, 100.0), (20.0, 100.0), 30.0))
    )
    arcs = [d.split(" A ")[1:] for d in paths(writer.write(ring, MM))]
    assert len(arcs[0]) == 4
    assert len(arcs[1]) == 4
    for one in (*arcs[0], *arcs[1]):
        radius_x, radius_y, rotation, large, sweep, *_ = one.split(" ")
        assert radius_x == radius_y
        assert (rotation, large) == ("0", "0")
        assert sweep in ("0", "1")


def test_closed_paths_end_in_z_without_repeating_their_first_place() -> None:
    data = writer.write(drawing(cut(LETTER_F), cut(line(*places((0, 0), (5, 5))))), MM)
    closed, open_one = paths(data)
    assert closed.endswith(" L 10 130 Z")
    assert closed.count("10 200") == 1
    assert "Z" not in open_one


@pytest.mark.parametrize("options", [MM, PX], ids=["mm", "px96"])
@pytest.mark.parametrize(
    "size", [(148.0, 210.0), (146.05, 209.55), (33.3333333, 0.1), (1000 / 7, 3.0)]
)
def test_page_and_view_box_stand_in_exactly_one_ratio(
    options: WriteOptions, size: tuple[float, float]
) -> None:
    """U04 and U05: otherwise a reader would shift or squeeze the drawing."""
    width, height = size
    root = tree(writer.write(drawing(cut(LETTER_F), width=width, height=height), options))
    due = Fraction(1) if options is MM else Fraction(str(fact("U01"))) / fact("U02")["px_per_in"]
    left, top, *user = root.attrib["viewBox"].split(" ")
    assert (left, top) == ("0", "0")
    for key, user_text, size_mm in zip(("width", "height"), user, (width, height), strict=True):
        text = root.attrib[key]
        assert text.endswith("mm")
        assert Fraction(text.removesuffix("mm")) == Fraction(user_text) * due
        assert float(text.removesuffix("mm")) == pytest.approx(size_mm, abs=1e-4)
        assert len(user_text.partition(".")[2]) <= 4


def test_inches_give_round_numbers_of_pixels() -> None:
    root = tree(writer.write(drawing(cut(LETTER_F), width=146.05, height=209.55), PX))
    assert (root.get("width"), root.get("height")) == ("146.05mm", "209.55mm")
    assert root.get("viewBox") == "0 0 552 792"


def test_a_reader_at_96_px_an_inch_finds_the_true_size() -> None:
    """U02, U04: svgelements' own mm factor is right to 1e-6."""
    for options in (MM, PX):
        (found,) = as_svgelements(writer.write(drawing(cut(LETTER_F)), options), ppi=96)
        left, top, right, bottom = found.bbox()
        per_mm = fact("U02")["px_per_mm"]
        assert right - left == pytest.approx(50.0 * per_mm, rel=1e-6)
        assert bottom - top == pytest.approx(70.0 * per_mm, rel=1e-6)


def test_symptoms_of_a_wrong_unit_are_those_published() -> None:
    """U10: what a reader shows that takes the bare numbers for something else."""
    symptoms = fact("U10")
    (d,) = paths(writer.write(drawing(cut(line(*places((0, 0), (105, 0))))), PX))
    pixels = float(d.split(" ")[4])
    assert pixels / 90 * 25.4 / 105.0 == pytest.approx(symptoms["read_at_90"], rel=1e-6)
    assert pixels / 72 * 25.4 / 105.0 == pytest.approx(symptoms["read_at_72"], rel=1e-6)
    (d,) = paths(writer.write(drawing(cut(line(*places((0, 0), (105, 0))))), MM))
    millimetres = float(d.split(" ")[4])
    assert millimetres / 96 * 25.4 / 105.0 == pytest.approx(symptoms["mm_as_px"], rel=1e-6)
    assert millimetres * 25.4 / 105.0 == symptoms["mm_as_in"]


def test_y_points_down_and_nothing_is_mirrored() -> None:
    """U06: the arms of the letter F point right, the longer one at the top of the page."""
    (found,) = as_svgelements(writer.write(drawing(cut(LETTER_F)), MM), ppi=25.4)
    corners = [(round(float(step.end.x), 3), round(float(step.end.y), 3)) for step in found]
    assert corners[0] == (10.0, 200.0)
    rightmost = [y for x, y in corners if x == 60.0]
    assert sorted(rightmost) == [130.0, 140.0]
    assert min(y for _, y in corners) == 130.0


def test_the_flag_of_an_arc_turns_over_with_y() -> None:
    """D09, D10 and U07: bulge +1 from (0,0) to (10,0), y up, passes (5,-5)."""
    through = fact("D09")["through"]
    drawn = arc((0.0, 0.0), (10.0, 0.0), fact("D08")["semicircle"]).moved(
        Point(20.0, 20.0) - Point(0.0, 0.0)
    )
    data = writer.write(drawing(cut(drawn)), MM)
    (d,) = paths(data)
    assert d.split(" ").count("A") == 2
    assert d.split(" ")[8] == str(fact("D10")["sweep_of_positive_bulge"])
    (found,) = as_svgelements(data, ppi=25.4)
    middle = found[1].end
    assert (float(middle.x), 210.0 - float(middle.y)) == pytest.approx(
        (20.0 + through[0], 20.0 + through[1]), abs=1e-3
    )


@pytest.mark.parametrize("bulge", [0.01, -0.2, 0.41421356, -0.6, 1.0, -1.0, 2.5, -40.0])
def test_the_middle_of_every_arc_is_where_it_was_drawn(bulge: float) -> None:
    drawn = arc((40.0, 100.0), (47.0, 108.0), bulge)
    (found,) = as_svgelements(writer.write(drawing(cut(drawn)), MM), ppi=25.4)
    whole = drawn.segments[0]
    steps = [step for step in found if isinstance(step, svgelements.Arc)]
    for number, step in enumerate(steps):
        seen = step.point(0.5)
        due = whole.at((number + 0.5) / len(steps))
        # svgelements' factor for mm is right to six digits only.
        assert (float(seen.x), 210.0 - float(seen.y)) == pytest.approx(due.floats(), abs=2e-3)


def test_svgelements_knows_the_published_arcs() -> None:
    """U07, U08, U09: the reader that checks our files reads arcs as the standard says."""
    for sweep in (0, 1):
        half = svgelements.Path(f"M 0 0 A 5 5 0 0 {sweep} 10 0")[1].point(0.5)
        through = fact("U07")[f"sweep_{sweep}_through"]
        assert (float(half.x), float(half.y)) == pytest.approx(through)
    small = svgelements.Path("M 0 0 A 1 1 0 0 1 10 0")[1]
    assert small.length() == pytest.approx(fact("U08")["length"])
    for flag, key in enumerate(("small", "large")):
        length = svgelements.Path(f"M 0 0 A 10 10 0 {flag} 1 10 0")[1].length()
        assert length == pytest.approx(fact("U09")[key])


def test_an_arc_too_small_for_the_decimals_becomes_a_line() -> None:
    """U08: an arc whose written ends are equal would be left out by a reader."""
    tiny = drawing(
        cut(arc((10.0, 10.0), (10.00003, 10.0), 0.3)),
        cut(arc((10.0, 10.0), (110.0, 10.0), 1e-7)),
        cut(circle(Point(20.0, 20.0), 1e-5)),
    )
    data = writer.write(tiny, MM)
    assert all(" A " not in d for d in paths(data))
    assert differences(tiny, writer.read_back(data, MM), largest_sweep=90.0) == ()


def test_text_is_escaped_and_freed_of_what_xml_cannot_hold() -> None:
    odd = replace(
        card(),
        title='Tea & "biscuits" <for> two\x00\x0b\ud800 \U0001f375',
        cautions=("a > b ]]> --", "so\x1f"),
    )
    data = writer.write(odd, MM)
    root = tree(data)
    assert root.findtext(f"{NAMESPACE}title") == 'Tea & "biscuits" <for> two \U0001f375'
    assert root.findtext(f"{NAMESPACE}desc") == "a > b ]]> --\nso"
    assert len(writer.read_back(data, MM).strokes) == len(card().strokes)


def test_unproven_is_said_in_title_and_description() -> None:
    root = tree(writer.write(replace(card(), proven=False), MM))
    assert root.findtext(f"{NAMESPACE}title") == "Harbour steps: base (unproven)"
    assert (root.findtext(f"{NAMESPACE}desc") or "").startswith("Unproven: ")
    proven = writer.write(card(), MM).lower()
    assert b"unproven" not in proven


def test_cautions_are_in_the_description() -> None:
    root = tree(writer.write(card(), MM))
    assert (root.findtext(f"{NAMESPACE}desc") or "").splitlines() == list(card().cautions)


def test_nothing_to_say_is_no_description() -> None:
    assert b"<desc" not in writer.write(replace(card(), cautions=()), MM)


def test_our_mark_is_known_again_and_nobody_elses() -> None:
    data = writer.write(card(), MM)
    assert writer.carries_our_mark(data[:400])
    assert writer.carries_our_mark(data.replace(b"\n", b"\r\n")[:400])
    assert not writer.carries_our_mark(b"")
    assert not writer.carries_our_mark(b'<?xml version="1.0" encoding="UTF-8"?>\n<svg/>')
    assert not writer.carries_our_mark(b"<svg><!-- " + OUR_MARK.encode() + b" --></svg>")


def test_the_style_sets_colours_and_width() -> None:
    style = replace(MM.style, colours=dict.fromkeys(Layer, "#010203"), stroke_width=0.25)
    data = writer.write(card(), replace(MM, style=style))
    assert data.count(b'stroke="#010203" stroke-width="0.25"') == len(card().strokes)


# --- a reader that is neither ours nor a Python library: librsvg ---


def drawn_box(program: str, data: bytes, folder: FilePath, per_inch: int) -> tuple[float, ...]:
    """Left, top, right and bottom, in mm, of all that librsvg draws, and the size of its page."""
    source, picture = folder / "in.svg", folder / "out.png"
    source.write_bytes(data)
    dpi = str(per_inch)
    subprocess.run(
        [program, "-d", dpi, "-p", dpi, "-b", "white", "-o", str(picture), str(source)],
        check=True,
        timeout=60,
    )
    width, height, dark = dark_pixels(picture.read_bytes())
    xs = [x for x, _ in dark]
    ys = [y for _, y in dark]
    mm = 25.4 / per_inch
    box = (min(xs), min(ys), max(xs) + 1, max(ys) + 1)
    return (*(edge * mm for edge in box), width * mm, height * mm)


def dark_pixels(png: bytes) -> tuple[int, int, set[tuple[int, int]]]:
    """Width, height and the pixels darker than half of an RGB or RGBA PNG (ISO/IEC 15948)."""
    import struct
    import zlib

    width, height, depth, colour, _, _, interlace = struct.unpack(">IIBBBBB", png[16:29])
    assert (depth, interlace) == (8, 0)
    channels = {2: 3, 6: 4}[colour]
    packed, at = b"", 8
    while at < len(png):
        (size,) = struct.unpack(">I", png[at : at + 4])
        if png[at + 4 : at + 8] == b"IDAT":
            packed += png[at + 8 : at + 8 + size]
        at += 12 + size
    raw = zlib.decompress(packed)
    row_bytes = width * channels
    above = bytearray(row_bytes)
    dark: set[tuple[int, int]] = set()
    for y in range(height):
        start = y * (row_bytes + 1)
        kind, row = raw[start], bytearray(raw[start + 1 : start + 1 + row_bytes])
        for i in range(row_bytes):
            left = row[i - channels] if i >= channels else 0
            up = above[i]
            corner = above[i - channels] if i >= channels else 0
            if kind == 1:
                row[i] = (row[i] + left) & 255
            elif kind == 2:
                row[i] = (row[i] + up) & 255
            elif kind == 3:
                row[i] = (row[i] + (left + up) // 2) & 255
            elif kind == 4:
                guess = left + up - corner
                near = min((abs(guess - v), n, v) for n, v in enumerate((left, up, corner)))
                row[i] = (row[i] + near[2]) & 255
        dark.update((x, y) for x in range(width) if row[x * channels] < 128)
        above = row
    return width, height, dark


@pytest.mark.rsvg_convert
@pytest.mark.parametrize("options", [MM, PX], ids=["mm", "px96"])
def test_librsvg_draws_the_letter_at_its_size_and_place(
    options: WriteOptions, request: pytest.FixtureRequest, tmp_path: FilePath
) -> None:
    program = request.config.getoption("--rsvg-convert")
    wide = replace(options, style=replace(options.style, stroke_width=0.6))
    sheet = drawing(cut(LETTER_F), width=80.0, height=90.0)
    left, top, right, bottom, width, height = drawn_box(
        program, writer.write(sheet, wide), tmp_path, per_inch=127
    )
    # 127 dots an inch are 5 dots a mm: the edges of the stroke are right to a dot.
    assert (width, height) == pytest.approx((80.0, 90.0), abs=0.21)
    due = (10.0 - 0.3, 90.0 - 80.0 - 0.3, 60.0 + 0.3, 90.0 - 10.0 + 0.3)
    assert (left, top, right, bottom) == pytest.approx(due, abs=0.21)


@pytest.mark.rsvg_convert
def test_librsvg_draws_arcs_where_they_were_drawn_and_nothing_mirrored(
    request: pytest.FixtureRequest, tmp_path: FilePath
) -> None:
    program = request.config.getoption("--rsvg-convert")
    wide = replace(MM, style=replace(MM.style, stroke_width=0.6))
    # Anticlockwise from (20,30) to (40,30): hangs down to y 20 (D09).
    sheet = drawing(
        cut(Path((Vertex(Point(20.0, 30.0), 1.0), Vertex(Point(40.0, 30.0))))),
        width=60.0,
        height=50.0,
    )
    left, top, right, bottom, _, _ = drawn_box(
        program, writer.write(sheet, wide), tmp_path, per_inch=127
    )
    assert (left, right) == pytest.approx((19.7, 40.3), abs=0.21)
    assert (top, bottom) == pytest.approx((50.0 - 30.0, 50.0 - 20.0 + 0.3), abs=0.21)


@pytest.mark.rsvg_convert
def test_librsvg_shows_the_arms_of_the_letter_to_the_right(
    request: pytest.FixtureRequest, tmp_path: FilePath
) -> None:
    program = request.config.getoption("--rsvg-convert")
    wide = replace(MM, style=replace(MM.style, stroke_width=0.6))
    source, picture = tmp_path / "in.svg", tmp_path / "out.png"
    source.write_bytes(writer.write(drawing(cut(LETTER_F), width=80.0, height=90.0), wide))
    subprocess.run(
        [program, "-d", "127", "-p", "127", "-b", "white", "-o", str(picture), str(source)],
        check=True,
        timeout=60,
    )
    _, _, dark = dark_pixels(picture.read_bytes())

    def reach(y_mm: float) -> float:
        row = round((90.0 - y_mm) * 5)
        return max(x for x, y in dark if y == row) / 5

    # Upper arm to 60, lower arm to 40, stem to 20 mm from the left.
    assert (reach(75.0), reach(45.0), reach(25.0)) == pytest.approx((60.3, 40.3, 20.3), abs=0.4)


def test_half_circles_would_miss_their_middle_at_four_decimals() -> None:
    """Why arcs are cut at 90 degrees: a rounded end swings the middle of a near half turn."""
    radius, half = 10.0, math.radians(179.9) / 2.0
    chord = round(2.0 * radius * math.sin(half), 4)
    rise = radius - math.sqrt(radius**2 - (chord / 2.0) ** 2)
    true = radius * (1.0 - math.cos(half))
    assert abs(rise - true) > 1e-3
    half = math.radians(45.0)
    chord = round(2.0 * radius * math.sin(half), 4)
    rise = radius - math.sqrt(radius**2 - (chord / 2.0) ** 2)
    assert abs(rise - radius * (1.0 - math.cos(half))) < 1e-4


def test_works_are_told_by_the_groups() -> None:
    data = writer.write(card(), MM)
    works = [
        stroke.work for stroke in writer.read_back(data, MM).strokes if stroke.layer is Layer.SCORE
    ]
    assert works == [Work.CREASED, Work.CREASED, Work.PERFORATED]


def test_options_that_are_none_are_refused() -> None:
    with pytest.raises(ValueError, match="user_unit is mm or px96"):
        WriteOptions(user_unit="pt")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="dxf_version is R2000 or R12"):
        WriteOptions(dxf_version="R9")  # type: ignore[arg-type]


def test_strokes_of_one_work_stay_in_order() -> None:
    strokes: list[Stroke] = [mark(line(*places((x, 0), (x, 5)))) for x in (30, 10, 20)]
    data = writer.write(drawing(*strokes), MM)
    assert [d.split(" ")[1] for d in paths(data)] == ["30", "10", "20"]
