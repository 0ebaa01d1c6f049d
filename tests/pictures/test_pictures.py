"""Pictures: goldens, what must hold of every picture, labels, sums, lettering, contrast."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from itertools import combinations, pairwise
from pathlib import Path as FilePath
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import parse_design, read_design
from foldwright.design.pieces import Sense
from foldwright.folding import Verdict, sides_of, vertex_folds
from foldwright.geometry import Path, Point, Vertex, circle, polygon
from foldwright.measures import Unit
from foldwright.pictures import (
    Area,
    Hatch,
    Line,
    Pen,
    Picture,
    Words,
    carries_our_mark,
    flat_picture,
    pens,
    svg_of,
)
from foldwright.pictures.boxes import box_of_part
from foldwright.pictures.labels import Label, labelled, spread
from foldwright.pictures.lettering import broken, shortened, width_of
from foldwright.pictures.sums import sector_lines, side_sums, sum_text
from foldwright.proving import Proof, bubble_rise, prove_design
from tests.pictures.cards import CARDS

ROOT = FilePath(__file__).parents[2]
GOLDEN = ROOT / "tests" / "golden" / "pictures"
HARBOUR = ROOT / "tests" / "designs" / "harbour-steps.toml"
SVG = "{http://www.w3.org/2000/svg}"

# The pictures that are kept: the shipped design as it is, with its gutter moved,
# and moved in its inch edition, and cards that each show one thing more.
EDITIONS: dict[str, tuple[str | None, dict[str, str]]] = {
    "harbour-steps": (None, {}),
    "harbour-steps-buckles": (None, {"spine_y": "107"}),
    "harbour-steps-inch-buckles": ("inch", {"spine_y": "4 1/4"}),
}
KEPT = (*EDITIONS, "two-open-loops", "vertex-fails", "three-pieces", "glued-strap")


def proof_of(name: str) -> Proof:
    if name in EDITIONS:
        variant, overrides = EDITIONS[name]
        return prove_design(read_design(HARBOUR), variant=variant, overrides=overrides)
    return prove_design(parse_design(CARDS[name]))


@pytest.fixture
def update(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-goldens"))


def drawn(picture: Picture, *wanted: Pen) -> list[Line]:
    return [part for part in picture.parts if isinstance(part, Line) and part.pen in wanted]


def words_of(picture: Picture) -> list[str]:
    return [part.text for part in picture.parts if isinstance(part, Words)]


def check(proof: Proof, data: bytes) -> None:
    """What must hold of every picture, kept or new."""
    top = ElementTree.fromstring(data)
    assert top.tag == f"{SVG}svg"
    assert (top.get("role"), top.get("aria-labelledby")) == ("img", "picture-title picture-about")
    names = {one.get("id"): one.text for one in top if one.get("id")}
    assert proof.resolved.name in (names["picture-title"] or "")
    assert (names["picture-about"] or "").endswith("not a file for a cutter.")
    picture = flat_picture(proof)
    assert top.get("width") == f"{top.get('viewBox', '').split()[2]}mm"
    _check_folds(proof, top)
    for part in picture.parts:
        left, bottom, right, high = box_of_part(part)
        assert min(left, bottom) >= 0.0, part
        assert right <= picture.width, part
        assert high <= picture.height, part
    _check_words(picture)


def _check_folds(proof: Proof, top: ElementTree.Element) -> None:
    """Each stretch of fold once a drawing, with the dashes of its sense; the legend adds one."""
    classes = Counter(one.get("class") for one in top.iter(f"{SVG}path"))
    dashes = {
        one.get("class"): one.get("stroke-dasharray")
        for one in top.iter(f"{SVG}path")
        if one.get("class") in ("valley-fold", "mountain-fold")
    }
    for sense in Sense:
        due = 0
        for piece in proof.pieces:
            # A loop over joints is drawn on every piece that it runs over.
            bad = sum(
                any(step.after[0] == piece.name for step in one.loop.steps)
                for other in proof.pieces
                for one in other.closings
                if one.verdict is not Verdict.CLOSES
            )
            folds = [fold for fold in piece.division.piece.folds if not fold.still]
            due += max(1, bad) * sum(sense in fold.senses for fold in folds)
        assert classes[f"{sense}-fold"] == due + (1 if due else 0)
        if due:
            assert (
                dashes[f"{sense}-fold"]
                == {
                    Sense.VALLEY: "3 1.5",
                    Sense.MOUNTAIN: "5 1.2 0.8 1.2 0.8 1.2",
                }[sense]
            )


def _check_words(picture: Picture) -> None:
    """No words lie on other words."""
    boxes = [(part.text, box_of_part(part)) for part in picture.parts if isinstance(part, Words)]
    for (one, a), (other, b) in combinations(boxes, 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] + 0.9 or b[3] <= a[1] + 0.9
        assert apart, (one, other)


@pytest.mark.parametrize("name", KEPT)
def test_kept_pictures(name: str, update: bool) -> None:
    proof = proof_of(name)
    data = svg_of(flat_picture(proof))
    check(proof, data)
    file = GOLDEN / f"{name}.svg"
    if update:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    assert file.read_bytes() == data, (
        "look at the new picture, then bring it up to date with "
        "pytest tests/pictures --update-goldens"
    )


@pytest.mark.parametrize("name", [name for name in CARDS if name not in KEPT])
def test_every_other_card(name: str) -> None:
    proof = proof_of(name)
    check(proof, svg_of(flat_picture(proof)))


def test_nothing_but_what_was_kept_lies_beside_it() -> None:
    assert {file.stem for file in GOLDEN.iterdir()} == set(KEPT)


def test_the_words_of_a_loop_that_buckles() -> None:
    said = words_of(flat_picture(proof_of("harbour-steps-buckles")))
    assert "\N{MINUS SIGN}30 + 35 \N{MINUS SIGN} 30 + 35 = 10 mm".replace(" mm", "\xa0mm") in said
    assert "68 \N{MINUS SIGN} 62 = 6\xa0mm" in said
    assert "A reaches 4\xa0mm farther than B lets it." in said
    # sqrt(3 l e / 8) for a strip of 130 mm that is 4 mm too long.
    assert f"about {bubble_rise(130, 4):.0f} mm" in said
    # The arrow is that of the change of the measure, where a line move is the same.
    assert "mend: gutter from 107 mm to 105 mm" in said
    joined = " ".join(said).replace("\xa0", " ")
    first = joined.index("Mend: change spine_y from 107 mm to 105 mm")
    assert first < joined.index('Or: move fold "gutter" from 107 mm to 105 mm')
    assert "gap: 4 mm too long" in said
    assert any("closes" in text for text in words_of(flat_picture(proof_of("harbour-steps"))))


def test_a_mirrored_design_keeps_its_name_as_it_is_written() -> None:
    text = CARDS["two-open-loops"].replace("units =", "mirrored = true\nunits =", 1)
    text = re.sub(r'name = "[^"]*"', 'name = "mir"', text, count=1)
    proof = prove_design(parse_design(text))
    title, verdict, *_ = words_of(flat_picture(proof))
    assert title == "mir, mirrored"
    assert "ir, mirrored" not in verdict
    assert verdict[0].isupper()


def test_the_words_of_loops_whose_lengths_do_not_add() -> None:
    """In space and face down no sums say why a loop fails, nor would a side bulge."""
    for name, why in (
        ("in-space", "Gone once round, the folded ring ends 63.64 mm from where it began, "
         "turned by 90 degrees."),
        ("turned", "Going once round crosses 3 half turns, an odd number: the panels come back "
         "face down."),
        ("two-stretches", "closes"),
    ):  # fmt: skip
        picture = flat_picture(proof_of(name))
        said = words_of(picture)
        assert why in " ".join(said).replace("\xa0", " ")
        assert not any(text in ("A", "B") or text.startswith("Side ") for text in said)
        assert not drawn(picture, pens.STRIP)
        assert {part.fill for part in picture.parts if isinstance(part, Area)} & set(Hatch) == {
            Hatch.DOTS
        }
        assert "panels of the ring" in said


def test_a_loop_over_joints_is_drawn_on_each_of_its_pieces() -> None:
    proof = proof_of("glued-strap")
    picture = flat_picture(proof)
    said = words_of(picture)
    joined = " ".join(said).replace("\xa0", " ")
    # Each of two joints has its line on both pieces, and the legend has one.
    assert len(drawn(picture, pens.GLUE)) == 5
    for name in ("joint 2", 'joint "lower foot"'):
        assert {f"{name}, on the front", f"{name}, on the back"} <= set(said)
    # Two panels of the base, four of the strap, and the legend.
    hatches = Counter(part.fill for part in picture.parts if isinstance(part, Area))
    assert hatches[Hatch.DOTS] == 7
    assert "loop round joint 2 of strap: gapes (its panels do not meet) by 1 mm" in joined
    assert joined.count("gap: 1 mm apart") == 1
    # The arrow is that of the move that is named.
    assert 'move fold "gutter" from 80 mm to 79.5 mm' in joined
    assert [text for text in said if text.startswith("mend:")] == [
        "mend: gutter from 80 mm to 79.5 mm"
    ]
    assert joined.index("Mend: change depth from 24 mm to 25 mm") < joined.index("Or: move fold")
    assert len(drawn(picture, pens.NEW)) == 2
    fits = flat_picture(proof_of("glued-strap-fits"))
    assert len(drawn(fits, pens.GLUE)) == 5
    assert not drawn(fits, pens.NEW, pens.GAP)


def test_a_turned_fold_ends_on_the_edge() -> None:
    picture = flat_picture(proof_of("vertex-fails"))
    (new, _) = drawn(picture, pens.NEW)
    (outline, *_) = (
        one for one in drawn(picture, pens.OUTLINE) if one.path.closed and one.path.length > 100
    )
    left, bottom, right, top = outline.path.box()
    for end in (new.path.start, new.path.end):
        x, y = end.floats()
        assert left - 1e-6 <= x <= right + 1e-6
        assert bottom - 1e-6 <= y <= top + 1e-6
    assert "1 mountain and 3 valleys differ by 2, as they must." in " ".join(words_of(picture))


def test_no_leader_runs_through_words() -> None:
    for name in (*EDITIONS, *CARDS):
        picture = flat_picture(proof_of(name))
        # The letters of the sides stand on a ground of their own, above all lines.
        boxes = [
            (one.text, box_of_part(one))
            for one in picture.parts
            if isinstance(one, Words) and one.text not in ("A", "B")
        ]
        for line in drawn(picture, pens.LEADER):
            (ax, ay), (bx, by) = line.path.start.floats(), line.path.end.floats()
            for text, (left, bottom, right, top) in boxes:
                for share in range(401):
                    x, y = ax + (bx - ax) * share / 400, ay + (by - ay) * share / 400
                    # Letters stand at least half a millimetre off.
                    near = left - 0.5 < x < right + 0.5 and bottom < y < top
                    assert not near, (name, text)


def test_the_bulge_is_drawn_to_scale() -> None:
    picture = flat_picture(proof_of("harbour-steps-buckles"))
    (curve,) = drawn(picture, pens.STRIP)
    left, bottom, right, top = curve.path.box()
    assert (top - bottom) / (right - left) == pytest.approx(bubble_rise(130, 4) / 130)


def test_the_arrow_leads_from_the_old_line_to_the_new_one() -> None:
    picture = flat_picture(proof_of("harbour-steps-buckles"))
    (new,) = drawn(picture, pens.NEW)[:1]
    outline = max(drawn(picture, pens.OUTLINE), key=lambda one: one.path.length)
    _, bottom, _, top = outline.path.box()
    share = (float(new.path.start.y) - bottom) / (top - bottom)
    # The mend puts the fold at 105 mm of 210 mm.
    assert share == pytest.approx(105 / 210, abs=1e-6)
    (shaft,) = drawn(picture, pens.ARROW)
    assert float(shaft.path.start.y) > float(shaft.path.end.y) > float(new.path.start.y)


def test_sides_are_told_apart_by_their_hatching() -> None:
    picture = flat_picture(proof_of("two-open-loops"))
    hatches = Counter(part.fill for part in picture.parts if isinstance(part, Area))
    # Two drawings with two panels between the folds of side A each, and the legend.
    assert hatches[Hatch.RISING] == 5
    assert hatches[Hatch.DOTS] > 2


@pytest.mark.parametrize("name", ["buckles", "gapes", "two-open-loops", "harbour-steps"])
def test_sums_are_those_of_the_proof(name: str) -> None:
    """The signed lengths add to what the proof says that each side reaches."""
    for piece in proof_of(name).pieces:
        for closing in piece.closings:
            sides = closing.sides or sides_of(closing.loop)
            assert sides is not None
            longer, shorter = side_sums(sides)
            assert abs(longer.total) == pytest.approx(abs(sides.reached_mm))
            assert abs(shorter.total) == pytest.approx(abs(sides.required_mm))
            # Told with one sign for both, so that their difference is the gap.
            assert abs(longer.total - shorter.total) == pytest.approx(closing.gap_mm)
            assert len(longer.terms) == len(longer.folds) - 1
            assert len(shorter.terms) == len(shorter.folds) + 1


def test_sums_as_text() -> None:
    (closing,) = proof_of("harbour-steps-inch-buckles").pieces[0].closings
    assert closing.sides is not None
    longer, shorter = side_sums(closing.sides)
    minus = "\N{MINUS SIGN}"
    assert sum_text(longer, Unit.IN) == f"{minus}1 1/8 + 1 3/8 {minus} 1 1/8 + 1 3/8 = 1/2 in"
    assert sum_text(shorter, Unit.IN) == f"2 5/8 {minus} 2 3/8 = 1/4 in"


def test_sector_sums() -> None:
    (closing,) = proof_of("vertex-fails").pieces[0].closings
    folds = vertex_folds(closing.loop)
    assert folds is not None
    first, second = sector_lines(folds)
    assert {first.rpartition("= ")[2], second.rpartition("= ")[2]} == {
        "170 degrees",
        "190 degrees",
    }
    assert (first[:5], second[:5]) == (
        "\N{GREEK SMALL LETTER ALPHA} + \N{GREEK SMALL LETTER GAMMA}",
        "\N{GREEK SMALL LETTER BETA} + \N{GREEK SMALL LETTER DELTA}",
    )


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, definition)."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def all_pens() -> Iterator[Pen]:
    return (value for value in vars(pens).values() if isinstance(value, Pen))


def test_every_line_can_be_seen_on_white() -> None:
    # Contrast ratio, WCAG 2.2; 3 to 1 is what criterion 1.4.11 asks of graphics.
    for pen in all_pens():
        assert 1.05 / (luminance(pen.colour) + 0.05) >= 3.0, pen
    assert math.isclose(1.05 / (luminance("#767676") + 0.05), 4.54, abs_tol=0.01)


def test_no_two_pens_differ_in_colour_alone() -> None:
    looks = Counter((pen.width, pen.dashes) for pen in (pens.VALLEY, pens.MOUNTAIN, pens.SCORED,
                    pens.TEAR, pens.SLIT, pens.OUTLINE, pens.NEW, pens.MARK))  # fmt: skip
    assert max(looks.values()) == 1


def test_the_same_picture_gives_the_same_bytes() -> None:
    first = svg_of(flat_picture(proof_of("three-pieces")))
    assert svg_of(flat_picture(proof_of("three-pieces"))) == first
    assert carries_our_mark(first[:1024])
    assert carries_our_mark(first.replace(b"\n", b"\r\n")[:1024])
    assert not carries_our_mark(
        (ROOT / "tests/golden/harbour-steps/01-base-front.svg").read_bytes()
    )
    assert not re.search(rb"\de[-+]?\d|-0[ \"]|nan|inf", first)


def test_words_are_escaped() -> None:
    picture = Picture(
        title='<a> & "b"\x00',
        about="c > d",
        width=20,
        height=10,
        parts=(Words(text="<&>\x07", at=Point(1.0, 2.0), size=3),),
    )
    top = ElementTree.fromstring(svg_of(picture))
    assert [one.text for one in top if one.text] == ['<a> & "b"', "c > d", "<&>"]


def test_arcs_stay_arcs() -> None:
    half = Path((Vertex(Point(0.0, 0.0), 1.0), Vertex(Point(4.0, 0.0))))
    picture = Picture(
        title="t", about="a", width=10, height=10, parts=(Line(path=half, pen=pens.SLIT),)
    )
    (line,) = ElementTree.fromstring(svg_of(picture)).iter(f"{SVG}path")
    # Anticlockwise from (0, 0) to (4, 0) the half circle runs below, y up.
    assert line.get("d") == "M 0 10 A 2 2 0 0 0 2 12 A 2 2 0 0 0 4 10"


@given(
    wanted=st.lists(st.floats(-100, 100), max_size=12).map(lambda ys: sorted(ys, reverse=True)),
    apart=st.floats(0.5, 10),
)
def test_spread_keeps_order_and_distance(wanted: list[float], apart: float) -> None:
    found = spread(wanted, apart)
    assert len(found) == len(wanted)
    assert all(a - b >= apart - 1e-6 for a, b in pairwise(found))
    assert math.fsum(found) == pytest.approx(math.fsum(wanted), abs=1e-6)
    if all(a - b >= apart for a, b in pairwise(wanted)):
        assert found == pytest.approx(wanted)


@given(
    places=st.lists(
        st.tuples(st.floats(0, 80), st.floats(0, 60), st.integers(1, 30)), min_size=1, max_size=14
    )
)
def test_labels_keep_off_each_other_and_off_the_drawing(
    places: list[tuple[float, float, int]],
) -> None:
    box = (0.0, 0.0, 80.0, 60.0)
    labels = [Label(text="m" * length, places=(Point(x, y),)) for x, y, length in places]
    parts = labelled(labels, box)
    boxes = [box_of_part(part) for part in parts if isinstance(part, Words)]
    assert len(boxes) == len(labels)
    for left, bottom, right, top in boxes:
        assert left >= 80.0 or right <= 0.0 or bottom >= 60.0 or top <= 0.0
    for a, b in combinations(boxes, 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] + 1e-6 or b[3] <= a[1] + 1e-6


def test_leaders_from_one_line_part_before_they_leave_the_drawing() -> None:
    """Three places on the line in which a leader would lean, as the tops of steps may lie."""
    box = (0.0, 0.0, 100.0, 100.0)
    places = [Point(40.0 - 0.18 * depth, 100.0 - depth) for depth in (10.0, 20.0, 30.0)]
    parts = labelled([Label(text="top", places=(at,)) for at in places], box)
    leaders = [part.path for part in parts if isinstance(part, Line)]
    assert len(leaders) == 3
    for path in leaders:
        start, end = path.start.floats(), path.end.floats()
        # The others' places keep off it.
        for other in places:
            if other != path.start and float(other.y) > start[1]:
                share = (float(other.y) - start[1]) / (end[1] - start[1])
                assert abs(start[0] + share * (end[0] - start[0]) - float(other.x)) > 1.0


@given(text=st.text(st.characters(codec="utf-8", exclude_categories=["C"]), max_size=60))
def test_words_fit_where_they_are_put(text: str) -> None:
    for line in broken(text, 30.0, 3.0):
        assert width_of(line, 3.0) <= 30.0
    assert width_of(shortened(text, 25.0, 3.0), 3.0) <= 25.0


def test_breaking_loses_nothing_but_spaces() -> None:
    text = "the quick bream jumped over the 5 3/4 in wall and swam 12 mm on"
    lines = broken(text, 40.0, 3.0)
    assert len(lines) > 1
    assert " ".join(lines).replace("\xa0", " ") == text
    # A figure stays with its unit.
    assert any("5\xa03/4\xa0in" in line for line in lines)
    assert shortened("stairs 12", 100.0, 3.0) == "stairs 12"
    assert shortened("the winding stairs 12", 25.0, 3.0).endswith("12")


def test_a_hatched_area_with_a_hole_is_written_even_odd() -> None:
    square = polygon(Point(0.0, 0.0), Point(9.0, 0.0), Point(9.0, 9.0), Point(0.0, 9.0))
    hole = circle(Point(4.0, 4.0), 1.0)
    picture = Picture(
        title="t",
        about="a",
        width=10,
        height=10,
        parts=(Area(paths=(square, hole), fill=Hatch.DOTS),),
    )
    data = svg_of(picture)
    assert b'fill="url(#hatch-dots)" fill-rule="evenodd"' in data
    assert data.count(b"<pattern ") == 1


@pytest.mark.rsvg_convert
@pytest.mark.parametrize("name", KEPT)
def test_another_program_draws_it(
    name: str, request: pytest.FixtureRequest, tmp_path: FilePath
) -> None:
    import subprocess

    program = request.config.getoption("--rsvg-convert")
    out = tmp_path / "out.png"
    subprocess.run(
        [program, str(GOLDEN / f"{name}.svg"), "-b", "white", "-o", str(out)], check=True
    )
    assert out.read_bytes().startswith(b"\x89PNG")


def test_a_loop_that_closes_but_for_rounding_has_no_gap_in_words() -> None:
    file = FilePath(__file__).parents[1] / "designs" / "v-fold-popup.toml"
    proof = prove_design(read_design(file))
    assert any(one.gap_mm for piece in proof.pieces for one in piece.closings)
    words = " ".join(words_of(flat_picture(proof)))
    assert 'loop round joint "right": closes' in words
    assert "by 0 mm" not in words


def test_the_name_of_a_fold_is_there_however_much_is_said_of_it() -> None:
    text = (
        'format = 1\nname = "Box"\nunits = "mm"\n'
        '[[piece]]\nname = "box"\noutline = { rectangle = [200, 150] }\n'
        '[[piece.fold]]\nname = "first dust flap"\nsense = "valley"\nangle = 12.5\n'
        "points = [[0, 101.125], [200, 101.125]]\n"
    )
    words = words_of(flat_picture(prove_design(parse_design(text))))
    assert "first dust flap: valley 12.5 degrees, 101.125 mm" in words
