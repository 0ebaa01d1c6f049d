"""Tests of the whole compile: the table of passes, goldens, and that every pass is needed."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from pathlib import Path as File
from typing import Any

import pytest

from foldwright.compiling import PASSES, CompileOptions, Pass, Passed, compile, compile_piece
from foldwright.design.pieces import Mark
from foldwright.drawing import Drawing, Layer, Role, Side, Work
from foldwright.geometry import circle, line, point
from foldwright.problems import ProfileError
from foldwright.profiles.machine import Lies, Machine
from foldwright.profiles.model import Profile, SlitEnd, SlitWay, Tool
from foldwright.writers.plain import writer
from foldwright.writers.protocol import WriteOptions

GOLDEN = File(__file__).parents[1] / "golden" / "compiling"

# A laser with everything, a knife on a carrier sheet, a hand.
WAYS: dict[str, dict[str, Any]] = {
    "laser": {
        "tool": Tool.LASER,
        "kerf": 0.1,
        "inset": 0.5,
        "work": Work.HALF_CUT,
        "bridge": (0.4, 60.0, 5.0),
        "perforation": (2.0, 1.0),
    },
    "knife": {"tool": Tool.KNIFE, "inset": 0.5, "perforation": (2.0, 1.0)},
    "hand": {"tool": Tool.HAND, "perforation": (3.0, 1.5)},
}
OPTIONS: dict[str, dict[str, bool]] = {
    "laser": {"size_bar": True},
    "knife": {},
    "hand": {"pretrimmed": True},
}


@pytest.mark.parametrize("name", WAYS)
def test_goldens(build: Any, name: str, request: pytest.FixtureRequest) -> None:
    """One line a stroke; update them with `pytest tests/compiling --update-goldens`."""
    drawing = build.compiled(build.step_card(), build.way(**WAYS[name]), **OPTIONS[name]).drawing
    assert_sound(build, drawing, name)
    text = writer.write(drawing, WriteOptions()).decode()
    path = GOLDEN / f"step-card-{name}.txt"
    if request.config.getoption("--update-goldens"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
    assert text == path.read_text(encoding="utf-8"), "update with --update-goldens"


def assert_sound(build: Any, drawing: Drawing, name: str) -> None:
    """What holds of every drawing of the step card, whatever the goldens say."""
    assert {s.side for s in drawing.strokes} == {Side.FRONT}
    assert drawing.box()[0] >= 0.0
    assert drawing.box()[2] <= drawing.width + 1e-9
    assert drawing.box()[3] <= drawing.height + 1e-9
    kerf, around = WAYS[name].get("kerf", 0.0), 2 * (148 + 210)
    outline = [s.path.length for s in drawing.strokes if s.role is Role.OUTLINE]
    if name == "hand":
        assert outline == []
    elif name == "knife":
        assert outline == [around]
    else:
        # 12 bridges: ceil(716.4 / 60), each 0.4 mm and the kerf.
        assert len(outline) == 12
        expected = around + 4 * kerf - 12 * (0.4 + kerf)
        assert math.fsum(outline) == pytest.approx(expected, abs=1e-9)
    slit = next(s for s in drawing.strokes if s.source == "slit 1")
    assert slit.path.length == pytest.approx(130.0)


def test_the_table_tells_every_pass_in_order() -> None:
    assert [step.name for step in PASSES] == [
        "strokes", "texts", "pretrim", "slit ends", "kerf", "extent", "inset", "double scores",
        "overlaps", "perforate", "bridges", "held", "size bar", "face", "registers", "order",
        "place", "turn over", "hazards", "cautions",
    ]  # fmt: skip
    assert all(step.about for step in PASSES)


@pytest.mark.parametrize("left_out", [step.name for step in PASSES])
def test_every_pass_is_needed(build: Any, left_out: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Left out, any pass changes what comes of a card that has something for each of them."""
    card = build.step_card()
    card = replace(
        card,
        marks=(*card.marks, Mark(name="mark 3", path=line(point(50, 50), point(50, 90)))),
    )
    if left_out == "held":
        # A window with no room for a bridge.
        card = build.piece(openings=(build.opening("window", build.rectangle(20, 20, 26, 26)),))
    if left_out == "extent":
        # A bridge of a round card lies on its outermost place.
        card = build.piece(outline=circle(point(50, 30), Fraction(3)))
    options: dict[str, Any] = {"size_bar": True, "pretrimmed": left_out == "pretrim"}
    way = build.way(**WAYS["laser"])
    if left_out == "slit ends":
        way = replace(way, slit=SlitWay(end=SlitEnd.SHORT, size=build.figure(0.5)))
    if left_out == "double scores":
        way = replace(way, score=replace(way.score, shift=build.figure(0.3)))
    if left_out in ("registers", "turn over"):
        # Valleys from the other face.
        way = replace(way, score=replace(way.score, valleys_from=Side.BACK))
    if left_out == "face":
        options["machine"] = Machine(name="bench", width=400.0, height=300.0, face=Lies.DOWN)

    def outcome() -> Any:
        try:
            return build.compiled(card, way, **options)
        except ValueError as reason:
            return str(reason)

    whole = outcome()
    rest = tuple(step for step in PASSES if step.name != left_out)
    assert len(rest) == len(PASSES) - 1
    monkeypatch.setattr(compile, "PASSES", rest)
    assert outcome() != whole


def test_a_pass_gets_the_drawing_of_the_one_before(
    build: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[int] = []

    def look(drawing: Drawing, job: Any) -> Passed:
        seen.append(len(drawing.strokes))
        return Passed(drawing.with_strokes(drawing.strokes[:1]))

    step = Pass("look", "looks", look)
    monkeypatch.setattr(compile, "PASSES", (PASSES[0], step, step))
    compiled = build.compiled(build.step_card(), build.way(perforation=(2.0, 1.0)))
    assert seen == [10, 1]
    assert compiled.findings == ()


def test_title_and_proof_are_handed_on(build: Any) -> None:
    profile = build.profile(build.way())
    good = compile_piece(build.piece(), profile, Tool.LASER, title="Harbour steps: card")
    assert (good.drawing.title, good.drawing.piece) == ("Harbour steps: card", "card")
    assert good.drawing.proven
    other = compile_piece(build.piece(), profile, Tool.LASER, title="x", proven=False)
    assert not other.drawing.proven


def test_options_are_off_unless_asked_for() -> None:
    assert CompileOptions() == CompileOptions(pretrimmed=False, size_bar=False)


def test_a_refused_tool_and_one_without_figures_are_errors(build: Any) -> None:
    way = replace(build.way(), refused="the coating smokes")
    with pytest.raises(ProfileError):
        compile_piece(build.piece(), build.profile(way), Tool.LASER, title="x")
    with pytest.raises(ProfileError):
        compile_piece(build.piece(), build.profile(build.way()), Tool.HAND, title="x")


def test_unknown_make_up_is_refused_for_a_laser(build: Any) -> None:
    profile: Profile = replace(build.profile(build.way()), made_of=None)
    with pytest.raises(ProfileError):
        compile_piece(build.piece(), profile, Tool.LASER, title="x")


def test_the_same_piece_gives_the_same_drawing(build: Any) -> None:
    first, second = (
        build.compiled(build.step_card(), build.way(**WAYS["laser"])) for _ in range(2)
    )
    assert first == second


def test_a_piece_that_is_not_symmetric_is_not_mirrored(build: Any) -> None:
    """The letter F, its arms to the right (contract R18)."""
    corners = (
        (0, 0),
        (10, 0),
        (10, 20),
        (20, 20),
        (20, 30),
        (10, 30),
        (10, 40),
        (30, 40),
        (30, 50),
        (0, 50),
    )
    piece = build.piece(
        outline=type(build.piece().outline)(line(*(point(*at) for at in corners)).vertices, True)
    )
    (cut,) = build.compiled(piece, build.way(kerf=0.2)).drawing.on(Layer.CUT)
    grown = [
        (0, 0), (10.2, 0), (10.2, 20), (20.2, 20), (20.2, 30.2), (10.2, 30.2), (10.2, 40),
        (30.2, 40), (30.2, 50.2), (0, 50.2),
    ]  # fmt: skip
    places = [vertex.at.floats() for vertex in cut.path.vertices]
    assert places == [pytest.approx(at, abs=1e-9) for at in grown]
