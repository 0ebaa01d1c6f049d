"""Resolving: exact numbers, editions, calipers, bounds, joints, and what is told of the rest."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import (
    BandDraft,
    CircleDraft,
    Design,
    FoldDraft,
    MeasureDraft,
    OpeningDraft,
    PanelDraft,
    PathDraft,
    PieceDraft,
    PolygonDraft,
    PoseDraft,
    RectangleDraft,
    Resolved,
    SlitDraft,
    StockDraft,
    VariantDraft,
    VertexDraft,
    measures,
    parse_design,
    read_design,
    resolve,
)
from foldwright.geometry import point
from foldwright.problems import DesignError, Place

DESIGNS = Path(__file__).parents[1] / "designs"
HARBOUR = DESIGNS / "harbour-steps.toml"
EVERYTHING = DESIGNS / "everything.toml"


def unplaced(value: object) -> object:
    """The same value with every place in it forgotten."""
    if isinstance(value, Place):
        return Place()
    if isinstance(value, tuple):
        return tuple(unplaced(item) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed = {item.name: unplaced(getattr(value, item.name)) for item in fields(value)}
        return replace(value, **changed)
    if hasattr(value, "items"):
        return {key: unplaced(item) for key, item in value.items()}
    return value


def the_problems(call: object) -> list[tuple[str, str]]:
    """The rule and the place's start of each problem that a call raises."""
    with pytest.raises(DesignError) as caught:
        call()  # type: ignore[operator]
    return [(problem.rule, problem.place.prefix()) for problem in caught.value.problems]


def card(**written: object) -> Design:
    """A design with one plain piece, and whatever else is given."""
    piece = PieceDraft(name="card", outline=RectangleDraft(width=100, height=150))
    return Design(**{"name": "Pebble", "pieces": [piece], **written})  # type: ignore[arg-type]


def test_the_card_of_the_documentation_has_its_exact_places() -> None:
    resolved = resolve(read_design(HARBOUR))
    (base,) = resolved.pieces
    # DESIGN.md's card: from 105 + 2 * 35 down by 30, 35, 30, 35.
    heights = [fold.path.start.y for fold in base.folds if fold.name.startswith("steps")]
    assert heights == [175, 145, 110, 80, 45]
    assert all(isinstance(height, Fraction) for height in heights)
    assert [fold.name for fold in base.folds] == [*(f"steps {n}" for n in range(1, 6)), "gutter"]
    assert [fold.senses[0] for fold in base.folds] == [
        "valley",
        "mountain",
        "valley",
        "mountain",
        "valley",
        "valley",
    ]
    assert base.slits[0].path.start == point(50, 45)
    assert base.slits[0].path.end == point(50, 175)
    # Round corners take (4 - pi) r^2 from the rectangle.
    assert base.outline.area == pytest.approx(148 * 210 - (4 - 3.141592653589793) * 9, abs=1e-9)
    assert (base.stock, base.grain, base.copies) == ("card", 0, 1)
    assert resolved.stocks["card"].material == "card-200"
    assert resolved.notes == ()


def test_the_inch_edition_is_exact_and_printed_in_inches() -> None:
    resolved = resolve(read_design(HARBOUR), variant="inch")
    assert (resolved.units, resolved.variant) == ("in", "inch")
    # 5 3/4 in = 146.05 mm, 8 1/4 in = 209.55 mm, at 25.4 mm an inch.
    assert resolved.measures["width"] == Fraction("146.05")
    assert resolved.measures["length"] == Fraction("209.55")
    assert resolved.measures["gutter_y"] == Fraction("104.775")
    assert resolved.measures["strip"] == Fraction("50.8")
    assert resolved.measures["tread"] == Fraction("28.575")
    assert resolved.measures["riser"] == Fraction("34.925")
    base = resolved.pieces[0]
    assert base.outline.box() == pytest.approx((0, 0, 146.05, 209.55))
    # The rest of the file stays in its own units: the corners are rounded by 3 mm,
    # the panel is named 5 mm from the edges.
    assert base.outline.vertices[0].at == point(0, 3)
    assert base.panel_names[0].at == point(Fraction("141.05"), 5)


def test_a_file_in_inches_equals_its_metric_twin() -> None:
    inches = parse_design(
        'format = 1\nname = "Pebble"\nunits = "in"\n[measures]\nw = "4 1/4"\n'
        '[[piece]]\nname = "card"\noutline = { rectangle = ["w", "w + 1"] }\n'
    )
    box = resolve(inches).pieces[0].outline.box()
    assert box == pytest.approx((0, 0, 107.95, 133.35))


def test_a_design_built_in_python_resolves_as_the_file_does() -> None:
    built = Design(
        name="Harbour steps",
        units="mm",
        measures=measures(
            width=148,
            length=MeasureDraft(value=210, keep=True),
            gutter_y="length / 2",
            spine_y=MeasureDraft(value="gutter_y", about="place of the fold beside the steps"),
            strip=50,
            tread=MeasureDraft(
                value=30, least=12, most=60, step=1, scale="with", about="depth of one step"
            ),
            riser=35.0,
        ),
        stocks={"card": StockDraft(material="card-200", sheet="A4")},
        pieces=[
            PieceDraft(
                name="base",
                stock="card",
                grain=0,
                outline=RectangleDraft(width="width", height="length", round="3 mm"),
                slits=[
                    SlitDraft(
                        points=[("strip", "gutter_y - 2*tread"), ("strip", "gutter_y + 2*riser")]
                    )
                ],
                bands=[
                    BandDraft(
                        name="steps",
                        start=("strip", "gutter_y + 2*riser"),
                        end=("width", "gutter_y + 2*riser"),
                        walk=["tread", "riser"] * 2,
                        first="valley",
                    )
                ],
                folds=[
                    FoldDraft(
                        name="gutter",
                        sense="valley",
                        points=[(0, "spine_y"), ("strip", "spine_y")],
                    )
                ],
                panels=[PanelDraft(name="front floor", at=("width - 5", 5))],
            )
        ],
        poses=[
            PoseDraft(name="standing", hold={"base/gutter": 90}, on=["base/front floor"], view=240)
        ],
        variants={
            "inch": VariantDraft(
                units="in",
                measures=measures(
                    width="5 3/4", length="8 1/4", strip=2, tread="1 1/8", riser="1 3/8"
                ),
            )
        },
    )
    read = read_design(HARBOUR)
    assert built == replace(read, source=None)
    for variant in (None, "inch"):
        ours, theirs = resolve(built, variant=variant), resolve(read, variant=variant)
        # The file's band stands before its fold; without lines, folds come first.
        assert unplaced(in_order(ours)) == unplaced(in_order(theirs))


def in_order(resolved: Resolved) -> Resolved:
    pieces = tuple(
        replace(piece, folds=tuple(sorted(piece.folds, key=lambda fold: fold.name)))
        for piece in resolved.pieces
    )
    return replace(resolved, pieces=pieces)


@given(order=st.permutations(["width", "length", "gutter_y", "strip", "spine_y", "tread", "riser"]))
def test_measures_may_stand_in_any_order(order: list[str]) -> None:
    design = read_design(HARBOUR)
    shuffled = replace(design, measures={name: design.measures[name] for name in order})
    assert resolve(shuffled).pieces == resolve(design).pieces


# Overrides.


def test_an_override_replaces_a_measure_and_all_that_depends_on_it() -> None:
    resolved = resolve(read_design(HARBOUR), overrides={"length": "22 cm", "tread": "riser - 2"})
    assert resolved.measures["gutter_y"] == 110
    assert resolved.measures["tread"] == 33


def test_an_override_is_in_the_units_of_the_variant_in_use() -> None:
    resolved = resolve(read_design(HARBOUR), overrides={"strip": "2"}, variant="inch")
    assert resolved.measures["strip"] == Fraction("50.8")


def test_an_override_stays_what_the_measure_is() -> None:
    design = card(
        measures=measures(
            rows=MeasureDraft(value=3, count=True), lean="60 deg", half="lean / 2", share="10 / 4"
        )
    )
    given = {"rows": "5", "half": "20", "lean": "45"}
    assert resolve(design, overrides=given).measures["rows"] == 5
    assert resolve(design, overrides=given).measures["half"] == 20
    assert resolve(design, overrides=given).measures["lean"] == 45


def test_overrides_that_cannot_be_are_told_by_their_option() -> None:
    design = read_design(HARBOUR)
    given = {"tred": "3", "strip": "5 +", "width": " ", "length": "wide"}
    assert the_problems(lambda: resolve(design, overrides=given)) == [
        ("unknown-measure", "--set tred"),
        ("measure-syntax", "--set strip"),
        ("no-value", "--set width"),
    ]
    with pytest.raises(DesignError, match='did you mean "tread"'):
        resolve(design, overrides={"tred": "3"})
    assert the_problems(lambda: resolve(design, overrides={"length": "wide"})) == [
        ("unknown-measure", "--set length")
    ]
    assert the_problems(lambda: resolve(design, overrides={"tread": "5"})) == [
        ("below-least", "--set tread")
    ]


# Variants.


def test_a_variant_that_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(DesignError, match='did you mean "inch"'):
        resolve(read_design(HARBOUR), variant="inhc")


def test_a_variant_keeps_the_bounds_it_does_not_replace() -> None:
    design = card(
        measures=measures(tread=MeasureDraft(value=30, least=12, most=60)),
        variants={
            "low": VariantDraft(measures=measures(tread=10)),
            "free": VariantDraft(measures=measures(tread=MeasureDraft(value=10, least=5))),
            "inch": VariantDraft(
                units="in", measures=measures(tread=MeasureDraft(value=1, most=2))
            ),
        },
    )
    assert the_problems(lambda: resolve(design, variant="low")) == [("below-least", "")]
    assert resolve(design, variant="free").measures["tread"] == 10
    assert resolve(design, variant="inch").measures["tread"] == Fraction("25.4")


def test_a_variant_replaces_materials_and_no_sheets() -> None:
    resolved = resolve(read_design(EVERYTHING), variant="inch")
    assert resolved.stocks["card"].material == "card-300"
    assert resolved.stocks["card"].sheet == "A4"
    assert resolved.measures["box"] == Fraction("25.4")


def test_numbers_of_a_variant_without_units_are_in_those_of_the_file() -> None:
    resolved = resolve(read_design(EVERYTHING), variant="small")
    assert (resolved.units, resolved.measures["width"]) == ("mm", 90)
    assert (resolved.measures["rays"], resolved.measures["lean"]) == (2, 45)


# Calipers.


def two_papers() -> Design:
    def piece(name: str, stock: str | None) -> PieceDraft:
        return PieceDraft(
            name=name,
            stock=stock,
            outline=RectangleDraft(width="100 + caliper", height="50 + caliper(thick)"),
        )

    return Design(
        name="Pebble",
        measures=measures(allowance="2 * caliper"),
        stocks={"thin": StockDraft(), "thick": StockDraft()},
        pieces=[piece("a", "thin"), piece("b", "thick"), piece("c", None)],
    )


def test_caliper_is_the_thickness_of_the_stock_at_hand() -> None:
    calipers = {"thin": Fraction("0.25"), "thick": Fraction("0.5"), "": Fraction("0.125")}
    resolved = resolve(two_papers(), calipers)
    assert [piece.outline.box()[2:] for piece in resolved.pieces] == [
        (100.25, 50.5),
        (100.5, 50.5),
        (100.125, 50.5),
    ]
    # In [measures] it is that of the first piece.
    assert resolved.measures["allowance"] == Fraction("0.5")


def test_without_a_material_paper_has_no_thickness() -> None:
    resolved = resolve(two_papers())
    assert resolved.measures["allowance"] == 0
    assert resolved.pieces[0].outline.box()[2:] == (100, 50)


def test_the_caliper_of_no_stock_is_told() -> None:
    design = replace(two_papers(), measures=measures(allowance="caliper(thin) + caliper(thikc)"))
    with pytest.raises(DesignError, match=r'"thikc" .*did you mean "thick"'):
        resolve(design)


# Shapes.


def outline_of(shape: object) -> PieceDraft:
    return PieceDraft(name="card", outline=shape)  # type: ignore[arg-type]


CORNERS = [(0, 0), (40, 0), (40, 30), (0, 30)]


@pytest.mark.parametrize("points", [CORNERS, CORNERS[::-1], CORNERS[2:] + CORNERS[:2]])
def test_outlines_and_openings_run_anticlockwise(points: list[tuple[int, int]]) -> None:
    piece = replace(
        outline_of(PolygonDraft(points=points)),
        openings=[
            OpeningDraft(shape=PathDraft(points=[(x / 4 + 1, y / 4 + 1) for x, y in points]))
        ],
    )
    resolved = resolve(Design(name="Pebble", pieces=[piece])).pieces[0]
    assert resolved.outline.area == 1200
    assert resolved.openings[0].path.area == 75
    assert resolved.outline.start == point(*points[0])


def test_a_circle_has_the_area_of_a_circle() -> None:
    piece = outline_of(CircleDraft(at=(10, 10), radius=10))
    assert resolve(Design(name="Pebble", pieces=[piece])).pieces[0].outline.area == pytest.approx(
        100 * 3.141592653589793
    )


def test_a_slit_that_comes_back_is_closed() -> None:
    tongue = SlitDraft(points=[(10, 10), (20, 10), (20, 20), (10, 10)])
    plain = SlitDraft(points=[(10, 40), (20, 40), (20, 50)])
    piece = replace(outline_of(PolygonDraft(points=CORNERS)), slits=[tongue, plain])
    slits = resolve(Design(name="Pebble", pieces=[piece])).pieces[0].slits
    assert [slit.path.closed for slit in slits] == [True, False]
    assert len(slits[0].path.vertices) == 3
    assert [slit.name for slit in slits] == ["slit 1", "slit 2"]


def test_senses_follow_the_written_segments_through_round_corners() -> None:
    fold = FoldDraft(
        sense=["valley", "mountain"],
        points=[(0, 10), VertexDraft(at=(20, 10), round=3), (20, 30)],
    )
    piece = replace(outline_of(PolygonDraft(points=CORNERS)), folds=[fold])
    resolved = resolve(Design(name="Pebble", pieces=[piece])).pieces[0].folds[0]
    # The arc is scored, not folded; it goes with the line that leads to it.
    assert resolved.senses == ("valley", "valley", "mountain")


# Joints, notes and references.


def test_joints_name_their_panels_and_lie_in_their_pieces() -> None:
    first, second = resolve(read_design(EVERYTHING)).joints
    assert (first.glue.piece, first.glue.panel, first.glue.face) == ("box", "lower foot", "back")
    assert (first.to.piece, first.to.panel, first.to.face) == ("base", "front page", "front")
    assert (first.glue.start, first.glue.end) == (point(30, 10), point(0, 10))
    assert (first.to.start, first.to.end) == (point(75, 55), point(45, 55))
    # A panel that only one piece has may go by its bare name.
    assert (second.name, second.glue.piece, second.slack) == ("joint 2", "box", Fraction(1, 2))


def test_nothing_of_a_file_that_says_everything_is_left_unjudged() -> None:
    assert resolve(read_design(EVERYTHING)).notes == ()


def test_a_stock_that_is_not_declared_is_a_note() -> None:
    piece = PieceDraft(name="card", stock="crad", outline=RectangleDraft(width=9, height=9))
    declared = Design(name="Pebble", stocks={"card": StockDraft()}, pieces=[piece])
    (note,) = resolve(declared).notes
    assert (note.rule, note.severity) == ("undeclared-stock", "note")
    assert 'did you mean "card"' in note.mend
    (other,) = resolve(replace(declared, stocks={})).notes
    assert "add [stock.crad]" in other.mend
    assert resolve(declared).stocks["crad"].material is None


def test_python_designs_are_checked_as_files_are() -> None:
    piece = PieceDraft(name="../card", outline=RectangleDraft(width=9, height=9))
    design = Design(name="Pebble", pieces=[piece, piece])
    assert [rule for rule, _ in the_problems(lambda: resolve(design))] == [
        "doubled-name",
        "unsafe-name",
    ]
    assert the_problems(lambda: resolve(Design(name="Pebble"))) == [("no-pieces", "")]


def test_all_pieces_are_told_at_once() -> None:
    bad = PieceDraft(name="a", outline=RectangleDraft(width=0, height=9))
    worse = PieceDraft(name="b", outline=RectangleDraft(width="wide", height=9))
    with pytest.raises(DesignError) as caught:
        resolve(Design(name="Pebble", pieces=[bad, worse]))
    assert [problem.rule for problem in caught.value.problems] == [
        "not-positive",
        "unknown-measure",
    ]
    assert caught.value.problems[0].piece == "a"
