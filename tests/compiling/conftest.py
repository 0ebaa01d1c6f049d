"""Builders for the tests of the compile passes: profiles, pieces and jobs made by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from foldwright.compiling import Compiled, CompileOptions, Job, Passed, compile_piece
from foldwright.design.pieces import Fold, How, Mark, Opening, Piece, Sense, Slit
from foldwright.drawing import Drawing, Work
from foldwright.geometry import Path, circle, line, point, polygon
from foldwright.problems import Place
from foldwright.profiles.model import (
    BridgeWay,
    Confidence,
    Figure,
    PerforationWay,
    Profile,
    ScoreWay,
    Tool,
    ToolWay,
)


def figure(value: float) -> Figure:
    return Figure(value=value, basis="invented for a test", confidence=Confidence.ESTIMATE)


def score_way(inset: float, work: Work = Work.CREASED) -> ScoreWay:
    return ScoreWay(work=work, inset=figure(inset), allowance=figure(0.0), shift=figure(0.0))


def tool_way(
    *,
    tool: Tool = Tool.LASER,
    kerf: float | None = 0.0,
    inset: float | None = 0.0,
    work: Work = Work.CREASED,
    bridge: tuple[float, float, float] | None = None,
    perforation: tuple[float, float] | None = None,
) -> ToolWay:
    """A tool without kerf, inset, bridges and perforation, unless they are given."""
    return ToolWay(
        tool=tool,
        kerf=None if kerf is None else figure(kerf),
        score=None if inset is None else score_way(inset, work),
        bridge=None
        if bridge is None
        else BridgeWay(length=figure(bridge[0]), pitch=figure(bridge[1]), clear=figure(bridge[2])),
        perforation=None
        if perforation is None
        else PerforationWay(cut=figure(perforation[0]), tie=figure(perforation[1])),
        tolerance=figure(0.1),
        cautions=("Keep the lid shut.",),
    )


def profile_of(way: ToolWay) -> Profile:
    return Profile(
        name="test card",
        about="a material for tests",
        grammage=figure(200.0),
        caliper=figure(0.25),
        gives_mm=figure(0.5),
        made_of="paper",
        cautions=("Paper burns.",),
        tools={way.tool: way},
    )


def fold(name: str, *places: tuple[float, float], path: Path | None = None) -> Fold:
    path = line(*(point(*at) for at in places)) if path is None else path
    return Fold(
        name=name,
        path=path,
        senses=(Sense.VALLEY,) * len(path.segments),
        angle=Fraction(180),
        place=Place(line=10),
    )


def slit(name: str, *places: tuple[float, float], how: How = How.CUT) -> Slit:
    return Slit(name=name, path=line(*(point(*at) for at in places)), how=how, place=Place(line=20))


def opening(name: str, path: Path) -> Opening:
    return Opening(name=name, path=path, place=Place(line=30))


def rectangle(left: int, bottom: int, right: int, top: int) -> Path:
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return polygon(*(point(*at) for at in corners))


def step_card() -> Piece:
    """A card with a strip, two steps, a window, a torn-off corner line and marks."""
    return Piece(
        name="base",
        outline=rectangle(0, 0, 148, 210),
        slits=(
            slit("slit 1", (50, 45), (50, 175)),
            slit("coupon", (8, 20), (40, 20), how=How.TEAR),
        ),
        openings=(opening("window", circle(point(25, 150), Fraction(10))),),
        folds=(
            fold("gutter", (0, 105), (50, 105)),
            fold("steps 1", (50, 175), (148, 175)),
            fold("steps 2", (50, 145), (148, 145)),
            fold("steps 3", (50, 75), (148, 75)),
            fold("steps 4", (50, 45), (148, 45)),
        ),
        marks=(
            Mark(name="mark 1", path=line(point(5, 5), point(9, 5))),
            Mark(name="mark 2", text="TOP", at=point(70, 200), height=Fraction(4)),
        ),
        place=Place(line=3),
    )


class Build:
    """What the tests build with, handed to them as the fixture `build`."""

    way = staticmethod(tool_way)
    profile = staticmethod(profile_of)
    fold = staticmethod(fold)
    slit = staticmethod(slit)
    opening = staticmethod(opening)
    rectangle = staticmethod(rectangle)
    step_card = staticmethod(step_card)
    figure = staticmethod(figure)

    @staticmethod
    def piece(**parts: object) -> Piece:
        """A card of 100 x 60 mm, unless `outline` is given."""
        card = Piece(name="card", outline=rectangle(0, 0, 100, 60), place=Place(line=3))
        return replace(card, **parts)  # type: ignore[arg-type]

    @staticmethod
    def job(piece: Piece, way: ToolWay, **options: Any) -> Job:
        return Job(
            piece=piece,
            profile=profile_of(way),
            tool=way.tool,
            way=way,
            options=CompileOptions(**options),
        )

    @staticmethod
    def blank(piece: Piece) -> Drawing:
        return Drawing(piece=piece.name, title="test", width=0.0, height=0.0)

    def run(self, piece: Piece, way: ToolWay, *passes: Callable[[Drawing, Job], Passed]) -> Passed:
        """The drawing after some passes, with the findings of all of them."""
        job = self.job(piece, way)
        passed = Passed(self.blank(piece))
        for step in passes:
            further = step(passed.drawing, job)
            passed = Passed(further.drawing, passed.findings + further.findings)
        return passed

    @staticmethod
    def compiled(piece: Piece, way: ToolWay, **options: Any) -> Compiled:
        return compile_piece(
            piece, profile_of(way), way.tool, CompileOptions(**options), title="test"
        )


@pytest.fixture
def build() -> Build:
    return Build()
