"""The read-back: whatever is written reads back the same, whatever is tampered with is caught."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.drawing import Drawing, Layer, Role, Stroke, Work
from foldwright.geometry import Path, Point, Vertex, line, polygon
from foldwright.plugins import Group, load
from foldwright.problems import FileError, ReadBackError
from foldwright.writers import (
    ReadBack,
    ReadStroke,
    WriteOptions,
    Writer,
    differences,
    in_file_order,
    path_difference,
)
from tests.writers.drawings import LETTER_F, arc, card, cut, drawing, mark, places, score

WAYS = [
    ("svg", WriteOptions()),
    ("svg", WriteOptions(user_unit="px96")),
    ("dxf", WriteOptions()),
    ("dxf", WriteOptions(dxf_version="R12")),
    ("plain", WriteOptions()),
]
EVERY_WAY = pytest.mark.parametrize(
    ("name", "options"), WAYS, ids=["svg mm", "svg px96", "dxf R2000", "dxf R12", "plain"]
)


def writer_of(name: str) -> Writer:
    found = load(Group.WRITERS, name)
    assert isinstance(found, Writer)
    return found


def found_in(name: str, data: bytes, options: WriteOptions, drawn: Drawing) -> list[str]:
    """The rules that a file breaks."""
    writer = writer_of(name)
    try:
        read = writer.read_back(data, options)
    except ReadBackError as error:
        return [problem.rule for problem in error.problems]
    found = differences(drawn, read, largest_sweep=writer.largest_sweep)
    return [problem.rule for problem in found]


@EVERY_WAY
def test_a_card_reads_back_the_same(name: str, options: WriteOptions) -> None:
    writer = writer_of(name)
    read = writer.read_back(writer.write(card(), options), options)
    assert differences(card(), read, largest_sweep=writer.largest_sweep) == ()
    assert (read.width, read.height) == pytest.approx((148.0, 210.0), abs=1e-4)
    assert [stroke.layer for stroke in read.strokes] == [
        layer for layer, works in in_file_order(card()) for _, strokes in works for _ in strokes
    ]


# --- random drawings ---

coordinates = st.one_of(
    st.floats(-50.0, 10_000.0),
    st.floats(0.0, 1.0),
    st.integers(0, 300).map(float),
    st.sampled_from([0.0, -0.0, 1e-9, -1e-9, 0.00005, -0.00005, 1 / 3, 9_999.99995]),
)
bulges = st.one_of(
    st.just(0.0),
    st.floats(-1.0, 1.0),
    # Over the longest chord a larger bulge reaches beyond 1 km.
    st.floats(-100.0, 100.0),
    st.floats(-1e-6, 1e-6),
    st.sampled_from([1.0, -1.0, math.tan(math.pi / 8.0), -math.tan(math.pi / 8.0), 1e-12]),
)
far = st.builds(Point, coordinates, coordinates)


@st.composite
def near(draw: st.DrawFn) -> tuple[Point, ...]:
    # Places within micrometres of each other: the last decimals decide.
    start = draw(far)
    steps = draw(st.lists(st.tuples(st.floats(-2e-3, 2e-3), st.floats(-2e-3, 2e-3)), max_size=5))
    assert isinstance(start.x, float)
    assert isinstance(start.y, float)
    return (start, *(Point(start.x + dx, start.y + dy) for dx, dy in steps))


@st.composite
def strokes(draw: st.DrawFn) -> Stroke:
    ends = draw(st.one_of(st.lists(far, min_size=2, max_size=6).map(tuple), near()))
    if len(ends) < 2:
        ends = (*ends, draw(far))
    vertices = tuple(Vertex(at, draw(bulges)) for at in ends)
    layer, work = draw(
        st.sampled_from(
            [
                (Layer.MARK, Work.DRAWN),
                (Layer.SCORE, Work.CREASED),
                (Layer.SCORE, Work.PERFORATED),
                (Layer.SCORE, Work.HALF_CUT),
                (Layer.CUT, Work.THROUGH),
            ]
        )
    )
    return Stroke(
        path=Path(vertices, draw(st.booleans())),
        layer=layer,
        work=work,
        piece="base",
        source="line",
        role=Role.SLIT,
    )


@EVERY_WAY
@given(
    found=st.lists(strokes(), max_size=6),
    width=st.floats(0.01, 12_000.0),
    height=st.floats(0.01, 12_000.0),
)
def test_whatever_is_written_reads_back_the_same(
    name: str, options: WriteOptions, found: list[Stroke], width: float, height: float
) -> None:
    drawn = drawing(*found, width=width, height=height)
    writer = writer_of(name)
    read = writer.read_back(writer.write(drawn, options), options)
    assert differences(drawn, read, largest_sweep=writer.largest_sweep) == ()
    assert all(
        one.work in (None, work)
        for one, work in zip(
            read.strokes,
            (work for _, works in in_file_order(drawn) for work, group in works for _ in group),
            strict=True,
        )
    )


@pytest.mark.parametrize("chord", [0.001, 1.0, 100.0, 20_000.0])
@pytest.mark.parametrize("rise", [4e-5, 6e-5, 1e-4, 1e-3, 0.1])
@EVERY_WAY
def test_almost_straight_arcs_keep_their_middle(
    name: str, options: WriteOptions, chord: float, rise: float
) -> None:
    drawn = drawing(
        cut(arc((0.0, 0.0), (chord * 0.6, chord * 0.8), 2.0 * rise / chord)),
        cut(arc((0.0, 0.0), (chord * 0.6, chord * 0.8), -2.0 * rise / chord)),
        width=20_000.0,
        height=20_000.0,
    )
    assert found_in(name, writer_of(name).write(drawn, options), options, drawn) == []


# --- files that were tampered with ---


def swapped(data: bytes, old: bytes, new: bytes) -> bytes:
    assert data.count(old) >= 1, old
    return data.replace(old, new, 1)


# What is done, the text that is replaced, the text in its place, and the rule that tells it.
IN_SVG = [
    ("a place moved by 2 µm", "M 50 165", "M 50.002 165", "read-back-stroke"),
    ("an opened path", " Z", "", "read-back-strokes"),
    ("a closed slit", "L 50 35", "L 50 35 Z", "read-back-strokes"),
    ("an arc turned over", "0 0 0 ", "0 0 1 ", "read-back-stroke"),
    ("another radius", "A 7.5 7.5", "A 7.52 7.52", "read-back-stroke"),
    ("a width in inches", '"148mm"', '"148in"', "read-back-form"),
    ("another scale", '"148mm"', '"149mm"', "read-back-form"),
    ("a missing viewBox", "viewBox", "viewbox", "read-back-form"),
    ("a page of no width", "0 0 148 210", "0 0 0 210", "read-back-form"),
    ("a transform", '<g id="cut"', '<g transform="scale(2)" id="cut"', "read-back-form"),
    ("a rectangle", '<g id="cut">', '<g id="cut"><rect/>', "read-back-form"),
    ("another group", '<g id="cut">', '<g id="x"></g><g id="cut">', "read-back-form"),
    ("a fill", 'fill="none"', 'fill="red"', "read-back-form"),
    ("no stroke width", 'stroke-width="0.1"', 'stroke-width="0"', "read-back-form"),
    ("a dash", 'stroke-width="0.1"', 'stroke-width="0.1" stroke-dasharray="1"', "read-back-form"),
    ("a curve", "L 50 35", "C 1 1 2 2 50 35", "read-back-form"),
    ("a second run", "L 50 35", "L 50 35 M 1 1 L 2 2", "read-back-form"),
    ("a run after the end", " Z", " Z L 2 2 Z", "read-back-form"),
    ("a missing number", "L 50 35", "L 50", "read-back-stroke"),
    ("a word in a path", "L 50 35", "L fifty 35", "read-back-stroke"),
    ("no path at all", "M 50 165 L 50 35", "", "read-back-form"),
    ("an unknown work", "score-creased", "score-folded", "read-back-form"),
    ("no XML", "</svg>", "", "read-back-form"),
]


def drop_path(data: bytes, holding: bytes) -> bytes:
    return b"\n".join(row for row in data.split(b"\n") if holding not in row)


def swap(data: bytes, one: bytes, other: bytes) -> bytes:
    first, second = b'id="' + one + b'"', b'id="' + other + b'"'
    return data.replace(first, b"@").replace(second, first).replace(b"@", second)


def move_first_mark_to_cut(data: bytes) -> bytes:
    rows = data.split(b"\n")
    row = rows.pop(rows.index(b'<g id="mark">') + 1)
    rows.insert(rows.index(b'<g id="cut">') + 1, row)
    return b"\n".join(rows)


def wider(data: bytes) -> bytes:
    return swapped(swapped(data, b'"148mm"', b'"149mm"'), b"0 0 148 210", b"0 0 149 210")


@pytest.mark.parametrize(
    ("old", "new", "rule"), [r[1:] for r in IN_SVG], ids=[r[0] for r in IN_SVG]
)
def test_a_tampered_svg_is_caught(old: str, new: str, rule: str) -> None:
    options = WriteOptions()
    data = swapped(writer_of("svg").write(card(), options), old.encode(), new.encode())
    assert set(found_in("svg", data, options, card())) == {rule}


SVG_REBUILT: list[tuple[str, Callable[[bytes], bytes], str]] = [
    ("a dropped stroke", lambda d: drop_path(d, b"L 50 35"), "read-back-strokes"),
    ("swapped layers", lambda d: swap(d, b"mark", b"cut"), "read-back-form"),
    ("a stroke on another layer", lambda d: move_first_mark_to_cut(d), "read-back-strokes"),
    ("swapped works", lambda d: swap(d, b"score-creased", b"score-perforated"), "read-back-stroke"),
    ("another page", lambda d: wider(d), "read-back-page"),
]


@pytest.mark.parametrize(
    ("tamper", "rule"), [row[1:] for row in SVG_REBUILT], ids=[row[0] for row in SVG_REBUILT]
)
def test_a_rebuilt_svg_is_caught(tamper: Callable[[bytes], bytes], rule: str) -> None:
    options = WriteOptions()
    data = tamper(writer_of("svg").write(card(), options))
    assert set(found_in("svg", data, options, card())) == {rule}


# As above; line breaks are written as bars.
LINE = "  0|LINE|  5|FFF|330|17|100|AcDbEntity|  8|CUT|100|AcDbLine| 10|0| 20|0| 11|5| 21|5|"
ON_MARK = "|MARK|100|AcDbPolyline"
IN_DXF = [
    (
        "a place moved by 2 µm",
        " 10|50.000000| 20|45.0",
        " 10|50.002000| 20|45.0",
        "read-back-stroke",
    ),
    ("an opened path", " 70|1| 10|107.5", " 70|0| 10|107.5", "read-back-strokes"),
    (
        "a closed slit",
        " 70|0| 10|50.000000| 20|45.",
        " 70|1| 10|50.000000| 20|45.",
        "read-back-strokes",
    ),
    ("another layer", ON_MARK, "|CUT|100|AcDbPolyline", "read-back-strokes"),
    ("a strange layer", ON_MARK, "|Ink|100|AcDbPolyline", "read-back-form"),
    ("an arc turned over", " 42|-0.7", " 42|0.7", "read-back-stroke"),
    ("inches", "$INSUNITS| 70|4", "$INSUNITS| 70|1", "read-back-form"),
    ("imperial", "$MEASUREMENT| 70|1", "$MEASUREMENT| 70|0", "read-back-form"),
    ("other extents", "$EXTMAX| 10|148", "$EXTMAX| 10|149", "read-back-form"),
    ("another flag", " 70|1| 10|107.5", " 70|129| 10|107.5", "read-back-form"),
    ("a line", "ENTITIES|", f"ENTITIES|{LINE}", "read-back-form"),
    ("a letter beyond ASCII", "Harbour", "Häfen", "read-back-form"),
    ("a doubled handle", "LWPOLYLINE|  5|37|", "LWPOLYLINE|  5|36|", "read-back-form"),
]


@pytest.mark.parametrize(
    ("old", "new", "rule"), [r[1:] for r in IN_DXF], ids=[r[0] for r in IN_DXF]
)
def test_a_tampered_dxf_is_caught(old: str, new: str, rule: str) -> None:
    options = WriteOptions()
    before, after = (text.replace("|", "\n").encode() for text in (old, new))
    data = swapped(writer_of("dxf").write(card(), options), before, after)
    assert set(found_in("dxf", data, options, card())) == {rule}


def drop_entity(data: bytes) -> bytes:
    start = data.index(b"  0\nLWPOLYLINE")
    end = data.index(b"  0\nLWPOLYLINE", start + 1)
    return data[:start] + data[end:]


def test_a_dxf_without_a_stroke_or_of_another_page_or_none_at_all_is_caught() -> None:
    options = WriteOptions()
    data = writer_of("dxf").write(card(), options)
    assert found_in("dxf", drop_entity(data), options, card()) == ["read-back-strokes"]
    page = data.replace(b"MAX\n 10\n148", b"MAX\n 10\n149")
    assert found_in("dxf", page, options, card()) == ["read-back-page"]
    assert found_in("dxf", b"plain text", options, card()) == ["read-back-form"]


def test_an_r12_file_without_its_unit_or_of_another_version_is_caught() -> None:
    options = WriteOptions(dxf_version="R12")
    data = writer_of("dxf").write(card(), options)
    silent = data.replace(b"All lengths are in millimetres", b"Have a good day")
    assert found_in("dxf", silent, options, card()) == ["read-back-form"]
    assert found_in("dxf", data, WriteOptions(), card()) == ["read-back-form"]


def test_an_svg_in_the_other_unit_is_caught() -> None:
    data = writer_of("svg").write(card(), WriteOptions())
    assert found_in("svg", data, WriteOptions(user_unit="px96"), card()) == ["read-back-form"]


def test_strokes_out_of_order_are_caught() -> None:
    first, second = (mark(line(*places((x, 0), (x, 9)))) for x in (10, 20))
    for name, options in WAYS:
        data = writer_of(name).write(drawing(second, first), options)
        found = found_in(name, data, options, drawing(first, second))
        assert found == ["read-back-stroke"] * 2


# --- the comparison itself ---


def read_of(*strokes: Stroke, width: float | None = 148.0) -> ReadBack:
    return ReadBack(
        strokes=tuple(ReadStroke(layer=one.layer, path=one.path, work=one.work) for one in strokes),
        width=width,
        height=210.0,
    )


def test_a_difference_says_what_where_and_how_far() -> None:
    drawn = drawing(cut(LETTER_F))
    moved = LETTER_F.vertices[3]
    other = Path(
        (
            *LETTER_F.vertices[:3],
            Vertex(Point(moved.at.x, moved.at.y + 0.25)),
            *LETTER_F.vertices[4:],
        ),
        closed=True,
    )
    (found,) = differences(drawn, read_of(cut(other)), largest_sweep=180.0)
    assert found.line() == (
        'stop: stroke 1 of layer "cut", outline "outline", reads back 0.25 mm away from its '
        "place at (40, 40) mm; report this fault; no file was written (read-back-stroke)"
    )


@pytest.mark.parametrize(("off", "same"), [(0.0009, True), (0.0011, False), (math.nan, False)])
def test_one_micrometre_is_the_limit(off: float, same: bool) -> None:
    drawn, found = line(*places((0, 0), (50, 0))), line(*places((off, 0), (50, 0)))
    assert (path_difference(drawn, found, largest_sweep=90.0) is None) == same


def test_the_middle_of_an_arc_counts() -> None:
    drawn = arc((0.0, 0.0), (10.0, 0.0), 0.4)
    same_ends = arc((0.0, 0.0), (10.0, 0.0), 0.4005)
    difference = path_difference(drawn, same_ends, largest_sweep=90.0)
    assert difference == "0.0025 mm away from its place at (5, -2) mm"
    straight = line(*places((0, 0), (10, 0)))
    assert path_difference(drawn, straight, largest_sweep=90.0) is not None


def test_pieces_of_an_arc_are_expected_as_the_writer_cuts_them() -> None:
    drawn = arc((0.0, 0.0), (10.0, 0.0), 1.0)
    quarter = math.tan(math.pi / 8.0)
    first, middle, last = places((0, 0), (5, -5), (10, 0))
    closed = Path(drawn.vertices, closed=True)
    assert path_difference(drawn, closed, largest_sweep=90.0) == "closed in place of open"
    assert path_difference(closed, drawn, largest_sweep=90.0) == "open in place of closed"
    halves = Path((Vertex(first, quarter), Vertex(middle, quarter), Vertex(last)))
    assert path_difference(drawn, halves, largest_sweep=90.0) is None
    assert path_difference(drawn, halves, largest_sweep=180.0) == (
        "with 2 lines and arcs in place of 1"
    )


def test_a_closing_line_too_short_to_see_may_be_missing_or_added() -> None:
    plain = polygon(*places((0, 0), (10, 0), (10, 10)))
    doubled = polygon(*places((0, 0), (10, 0), (10, 10), (0, 0)))
    wide = polygon(*places((0, 0), (10, 0), (10, 10), (0.002, 0)))
    assert path_difference(plain, doubled, largest_sweep=90.0) is None
    assert path_difference(doubled, plain, largest_sweep=90.0) is None
    assert path_difference(plain, wide, largest_sweep=90.0) is not None
    assert path_difference(wide, plain, largest_sweep=90.0) is not None


def test_a_format_without_a_page_or_work_is_not_asked_for_it() -> None:
    drawn = drawing(score(line(*places((0, 0), (9, 0)))))
    silent = ReadStroke(layer=Layer.SCORE, path=drawn.strokes[0].path)
    assert differences(drawn, ReadBack(strokes=(silent,)), largest_sweep=90.0) == ()
    told = replace(silent, work=Work.PERFORATED)
    (found,) = differences(drawn, ReadBack(strokes=(told,)), largest_sweep=90.0)
    assert "as perforated in place of creased" in found.message


def test_only_the_first_faults_of_a_layer_are_told() -> None:
    drawn = drawing(*(mark(line(*places((x, 0), (x, 9)))) for x in range(20)))
    moved = drawn.moved(Point(1.0, 0.0) - Point(0.0, 0.0))
    found = differences(drawn, read_of(*moved.strokes), largest_sweep=90.0)
    assert [problem.rule for problem in found] == ["read-back-stroke"] * 3


# --- what no file can hold ---


@EVERY_WAY
@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, 1e6, -2e9])
def test_numbers_that_are_none_are_refused(name: str, options: WriteOptions, number: float) -> None:
    wrong = drawing(
        cut(line(Point(0.0, 0.0), Point(number, 1.0)), source="first"),
        cut(line(Point(0.0, number), Point(1.0, 1.0)), source="second"),
        cut(line(Point(0.0, 0.0), Point(1.0, 1.0))),
    )
    with pytest.raises(FileError) as caught:
        writer_of(name).write(wrong, options)
    assert [problem.rule for problem in caught.value.problems] == ["stroke-not-finite"] * 2
    assert 'outline "first"' in str(caught.value)


@EVERY_WAY
def test_other_impossible_drawings_are_refused(name: str, options: WriteOptions) -> None:
    wrong = drawing(
        cut(Path(()), source="nothing"),
        cut(line(Point(0.0, 0.0)), source="a dot"),
        cut(arc((0.0, 0.0), (10.0, 0.0), math.nan), source="bent"),
        cut(arc((0.0, 0.0), (10.0, 0.0), 1e6), source="huge"),
        width=0.0,
        height=math.nan,
    )
    with pytest.raises(FileError) as caught:
        writer_of(name).write(wrong, options)
    assert [problem.rule for problem in caught.value.problems] == [
        "page-not-sized",
        "stroke-empty",
        "stroke-empty",
        "stroke-not-finite",
        "stroke-not-finite",
    ]
