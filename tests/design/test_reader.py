"""The reader: the whole file is kept, with its text, comments and places."""

from __future__ import annotations

from pathlib import Path

import pytest

from foldwright.design import (
    MOST_POINTS,
    ArcDraft,
    BandDraft,
    CircleDraft,
    FoldDraft,
    MeasureDraft,
    PathDraft,
    PolygonDraft,
    RectangleDraft,
    VertexDraft,
    expression,
    parse_design,
    read_design,
)
from foldwright.measures import Expression, Unit
from foldwright.problems import DesignError, FileError, Place

DESIGNS = Path(__file__).parents[1] / "designs"
HARBOUR = DESIGNS / "harbour-steps.toml"
EVERYTHING = DESIGNS / "everything.toml"

HEAD = 'format = 1\nname = "Pebble"\nunits = "mm"\n'
PIECE = '[[piece]]\nname = "card"\noutline = { rectangle = [100, 150] }\n'


def texts(written: object) -> list[str]:
    return [expression(item).text for item in written]  # type: ignore[attr-defined]


def test_the_card_of_the_documentation_is_read_whole() -> None:
    design = read_design(HARBOUR)
    assert (design.name, design.version, design.units) == ("Harbour steps", None, "mm")
    assert {"width", "length", "gutter_y", "strip", "tread", "riser"} <= set(design.measures)
    assert design.measures["length"] == MeasureDraft(value=210, keep=True)
    assert design.measures["tread"] == MeasureDraft(
        value=30, least=12, most=60, step=1, scale="with", about="depth of one step"
    )
    assert design.stocks["card"].material == "card-200"
    assert design.stocks["card"].sheet == "A4"
    (base,) = design.pieces
    assert (base.name, base.stock) == ("base", "card")
    assert base.outline == RectangleDraft(width="width", height="length", round="3 mm")
    assert base.slits[0].how == "cut"
    assert base.bands[0] == BandDraft(
        name="steps",
        start=["strip", "gutter_y + 2*riser"],
        end=["width", "gutter_y + 2*riser"],
        walk=["tread", "riser", "tread", "riser"],
        first="valley",
    )
    gutter = base.folds[0]
    assert (gutter.name, gutter.sense, gutter.still) == ("gutter", "valley", False)
    assert expression(gutter.angle).text == "180"
    assert len(gutter.points) == 2
    assert base.panels[0].name == "front floor"
    inch = design.variants["inch"]
    assert inch.units == "in"
    assert texts([inch.measures[name].value for name in ("width", "strip")]) == ["5 3/4", "2"]


def test_every_key_is_read_and_kept() -> None:
    design = read_design(EVERYTHING)
    assert design.version == "2"
    assert design.measures["rays"].count
    assert expression(design.measures["box"].most).text == "gutter_y - 20"
    assert design.measures["box"].scale == "ruler"
    base, box, label = design.pieces
    assert isinstance(base.outline, PathDraft)
    assert isinstance(base.outline.points[2], ArcDraft)
    assert expression(base.grain).text == "90"
    assert len(base.hide_bridges) == 1
    assert base.folds[0].sense == ("valley", "valley")
    shapes = [type(opening.shape) for opening in base.openings]
    assert shapes == [CircleDraft, RectangleDraft, PolygonDraft, PathDraft]
    assert [opening.name for opening in base.openings][1] == "left window"
    assert base.openings[1].shape == RectangleDraft(
        at=[15, "length - 30"], width=16, height=20, round=2
    )
    assert base.marks[0].points is not None
    assert (base.marks[1].text, expression(base.marks[1].height).text) == ("TOP", "4")
    assert box.bands[0].sense == ("valley", "mountain", "valley")
    assert (expression(label.copies).text, label.slits[0].how) == ("2", "tear")
    assert label.folds[0].still
    first, second = design.joints
    assert (first.name, second.name) == ("lower foot", None)
    assert (first.glue.panel, first.glue.face, first.to.face) == (
        "box/lower foot",
        "back",
        "front",
    )
    assert expression(second.slack).text == "1/2 mm"
    assert (design.mats[0].panels, design.mats[1].panels) == (("front page",), "all")
    assert (design.mats[0].face, design.mats[1].face) == ("front", "back")
    assert texts([design.mats[0].margin, design.mats[0].up]) == ["3", "90"]
    assert [texts(extra.size) for extra in design.extras] == [["4"], ["6", "width / 2"]]
    assert texts([design.extras[0].height, design.extras[0].mass]) == ["2", "0.3"]
    (pose,) = design.poses
    assert pose.name == "standing"
    assert list(pose.hold) == ["base/gutter", "box 2#1"]
    assert pose.on == ("base/front page",)
    assert expression(pose.view).text == "270"
    (touch,) = pose.touches
    assert (touch.name, touch.panel, touch.to.panel) == (
        "wall on page",
        "box/panel 1",
        "base/front page",
    )
    assert texts(touch.line[0]) == ["box_w", "foot"]
    assert texts(touch.to.line[1]) == ["(width - box_w) / 2", "gutter_y - box"]
    assert design.envelope is not None
    assert design.envelope.form == "four-flap"
    assert design.limits is not None
    assert texts(design.limits.closed or ()) == ["130", "90"]
    assert design.limits.stands is True
    inch = design.variants["inch"]
    assert inch.materials == {"card": "card-300"}
    assert expression(inch.measures["box"].least).text == "1/2"
    assert design.variants["small"].units is None


def test_the_text_and_its_comments_survive() -> None:
    design = read_design(HARBOUR)
    assert design.source is not None
    assert design.source.text == HARBOUR.read_text(encoding="utf-8")
    assert any(c.text == "keep: a mend never touches it" for c in design.source.comments)


def test_places_lead_back_into_the_file() -> None:
    design = read_design(EVERYTHING, shown_as="gate.toml")
    lines = EVERYTHING.read_text(encoding="utf-8").splitlines()

    def line(place: Place) -> str:
        assert place.file == "gate.toml"
        assert place.line is not None
        return lines[place.line - 1].strip()

    assert line(design.measures["box"].place).startswith("box ")
    assert line(design.stocks["patterned"].place).startswith("[stock.patterned]")
    base, box, _ = design.pieces
    assert line(base.place) == "[[piece]]"
    assert line(base.folds[0].place) == "[[piece.fold]]"
    corner = base.outline.points[3]  # type: ignore[union-attr]
    assert isinstance(corner, VertexDraft)
    assert line(corner.place).startswith('{ at = ["width", 0]')
    assert isinstance(corner.round, Expression)
    assert line(corner.round.place).startswith('{ at = ["width", 0]')
    assert line(box.bands[0].place) == "[[piece.band]]"
    walk = box.bands[0].walk[1]
    assert isinstance(walk, Expression)
    assert line(walk.place).startswith("walk ")
    assert walk.place.key == "piece[1].band[0].walk[1]"
    assert line(design.poses[0].place) == "[[pose]]"
    (touch,) = design.poses[0].touches
    assert line(touch.place).startswith("[[pose.touch]]")
    assert line(touch.to.place).startswith("to ")
    assert line(design.variants["small"].place) == "[variant.small]"


def test_creases_stand_in_the_order_of_the_file() -> None:
    ends = "from = [0, 90]\nto = [100, 90]\n"
    band = f'[[piece.band]]\nname = "steps"\n{ends}walk = [9]\nfirst = "valley"\n'
    fold = '[[piece.fold]]\nsense = "valley"\npoints = [[0, 30], [100, 30]]\n'
    first = parse_design(HEAD + PIECE + fold + band).pieces[0]
    assert [type(crease) for crease in first.creases] == [FoldDraft, BandDraft]
    second = parse_design(HEAD + PIECE + band + fold).pieces[0]
    assert [type(crease) for crease in second.creases] == [BandDraft, FoldDraft]


def test_one_hidden_edge_may_be_written_without_a_list_of_its_own() -> None:
    one = parse_design(HEAD + PIECE + "hide_bridges = [[0, 0], [100, 0]]\n")
    same = parse_design(HEAD + PIECE + "hide_bridges = [[[0, 0], [100, 0]]]\n")
    assert one == same
    with pytest.raises(DesignError, match="should be a list of places"):
        parse_design(HEAD + PIECE + "hide_bridges = [[[0, 0], [9, 0]], 5]\n")
    two = parse_design(HEAD + PIECE + "hide_bridges = [[[0, 0], [9, 0]], [[0, 9], [9, 9]]]\n")
    assert len(two.pieces[0].hide_bridges) == 2


def test_a_decimal_is_exactly_what_was_typed() -> None:
    design = parse_design(HEAD + "[measures]\nthin = 0.1\nsmall = 1e-7\nlarge = 1_000\n" + PIECE)
    assert texts(draft.value for draft in design.measures.values()) == ["0.1", "0.0000001", "1000"]


def test_units_are_one_of_two() -> None:
    assert parse_design(HEAD.replace('"mm"', '"in"') + PIECE).units is Unit.IN


def test_problems_of_a_whole_file_come_at_once() -> None:
    text = (
        HEAD + '[measures]\nwidth = "5 +"\n' + PIECE + "colour = 3\n[[piece.fold]]\npoints = 3\n"
        "[[piece]]\nname = 4\n"
    )
    with pytest.raises(DesignError) as caught:
        parse_design(text, "card.toml")
    assert sorted((p.place.line, p.rule) for p in caught.value.problems) == [
        (5, "measure-syntax"),
        (9, "unknown-key"),
        (10, "missing-key"),
        (11, "wrong-type"),
        (12, "missing-key"),
        (13, "wrong-type"),
    ]


def test_doubled_names_are_told_even_where_something_else_cannot_be_read() -> None:
    fold = '[[piece.fold]]\nname = "gutter"\nsense = "valley"\npoints = [[0, 9], [9, 9]]\n'
    with pytest.raises(DesignError) as caught:
        parse_design(HEAD + "colour = 3\n" + PIECE + fold + fold + PIECE, "card.toml")
    assert sorted((p.place.line, p.rule) for p in caught.value.problems) == [
        (4, "unknown-key"),
        (12, "doubled-name"),
        (16, "doubled-name"),
    ]


def test_a_missing_file_is_told_by_its_name(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        read_design(tmp_path / "none.toml", shown_as="none.toml")
    assert [problem.rule for problem in caught.value.problems] == ["no-such-file"]


def test_more_points_than_any_card_has_are_refused_before_they_are_read() -> None:
    # Were they read, each of these words would be told as an expression that is none.
    walk = '"+",' * (MOST_POINTS + 1)
    with pytest.raises(DesignError) as caught:
        parse_design(f"{HEAD}{PIECE}[[piece.band]]\nwalk = [{walk}]\n", "traced.toml")
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.file) == ("too-many-points", "traced.toml")
    assert "200001 points, more than 200000" in problem.message


def test_a_million_points_are_refused_before_they_are_parsed() -> None:
    points = "[0,0]," * 1_000_000
    with pytest.raises(DesignError) as caught:
        parse_design(f"{HEAD}{PIECE}[[piece.slit]]\npoints = [{points}]\n", "traced.toml")
    (problem,) = caught.value.problems
    assert problem.rule == "file-too-large"


def test_all_that_a_file_lacks_is_told_at_once() -> None:
    def lacks(text: str) -> list[tuple[str, str]]:
        with pytest.raises(DesignError) as caught:
            parse_design(text, "card.toml")
        return [(found.rule, found.place.key or "") for found in caught.value.problems]

    missing = [("missing-key", key) for key in ("format", "name", "units")]
    assert lacks("") == [*missing, ("no-pieces", "")]
    assert lacks("format = 1") == [*missing[1:], ("no-pieces", "")]
    # A later format may mean other things by its keys.
    assert lacks("format = 2") == [("unknown-format", "format")]
    # A misspelt piece is no missing one.
    assert "no-pieces" not in [rule for rule, _ in lacks("[[peice]]")]


def test_a_measure_that_has_its_value_elsewhere_is_told_where_it_belongs() -> None:
    with pytest.raises(DesignError) as caught:
        parse_design(
            'format = 1\nname = "Pebble"\nunits = "mm"\n[measures]\nwidth = { value = 40 }\n'
            '[[piece]]\nname = "card"\noutline = { rectangle = [100, 150] }\n'
        )
    (problem,) = caught.value.problems
    assert (problem.rule, problem.mend) == ("unknown-key", 'did you mean "is"?')
