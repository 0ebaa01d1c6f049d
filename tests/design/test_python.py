"""Designs built in Python: what may be written, and what is told of what may not."""

from __future__ import annotations

import doctest
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

import foldwright.design
from foldwright.design import (
    MOST_POINTS,
    BandDraft,
    CircleDraft,
    Design,
    FoldDraft,
    JointDraft,
    JointEndDraft,
    MarkDraft,
    MeasureDraft,
    PanelDraft,
    PieceDraft,
    PolygonDraft,
    PoseDraft,
    RectangleDraft,
    SlitDraft,
    TouchEndDraft,
    VertexDraft,
    expression,
    resolve,
)
from foldwright.problems import DesignError

PLATE = RectangleDraft(width=100, height=150)


def rules_of(call: object) -> list[str]:
    with pytest.raises(DesignError) as caught:
        call()  # type: ignore[operator]
    return [problem.rule for problem in caught.value.problems]


def test_the_example_of_the_package_runs() -> None:
    results = doctest.testmod(foldwright.design, raise_on_error=True)
    assert results.attempted > 0


@pytest.mark.parametrize(
    ("written", "text"),
    [
        (3, "3"),
        (0.1, "0.1"),
        (1e-7, "0.0000001"),
        (-2.5, "-2.5"),
        (Fraction(1, 3), "1/3"),
        (Fraction(-3, 8), "-0.375"),
        (Decimal("1.50"), "1.5"),
        ("5 3/4", "5 3/4"),
    ],
)
def test_numbers_are_kept_as_a_person_would_type_them(written: object, text: str) -> None:
    assert expression(written).text == text


@given(number=st.fractions(-1000, 1000, max_denominator=999))
def test_a_fraction_keeps_its_value(number: Fraction) -> None:
    design = Design(
        name="Pebble",
        measures={"a": MeasureDraft(value=number)},
        pieces=[PieceDraft(name="card", outline=PLATE)],
    )
    assert resolve(design).measures["a"] == number


def test_lists_and_tuples_are_the_same() -> None:
    listed = FoldDraft(sense=["valley", "mountain"], points=[[0, 1], ["w", 2], (3, "4 mm")])
    assert listed == FoldDraft(sense=("valley", "mountain"), points=((0, 1), ("w", 2), (3, "4 mm")))
    assert listed.points[0] == VertexDraft(at=(0, 1))
    assert hash(listed) == hash(FoldDraft(sense=listed.sense, points=listed.points))


@pytest.mark.parametrize(
    ("make", "rule"),
    [
        (lambda: VertexDraft(at=(0, True)), "wrong-type"),
        (lambda: VertexDraft(at=(0, 1, 2)), "wrong-type"),
        (lambda: VertexDraft(at="ab"), "wrong-type"),
        (lambda: VertexDraft(at=(0, float("nan"))), "unusable-number"),
        (lambda: VertexDraft(at=(0, float("inf"))), "unusable-number"),
        (lambda: VertexDraft(at=(0, 10**120)), "unusable-number"),
        (lambda: VertexDraft(at=(0, "5 +")), "measure-syntax"),
        (lambda: SlitDraft(points=5), "wrong-type"),  # type: ignore[arg-type]
        (lambda: SlitDraft(points=[], how="burn"), "unknown-word"),
        (lambda: FoldDraft(sense="vally", points=[]), "unknown-word"),
        (lambda: FoldDraft(sense=[5], points=[]), "wrong-type"),  # type: ignore[list-item]
        (lambda: MarkDraft(), "neither-line-nor-text"),
        (lambda: MarkDraft(text=" ", at=(0, 0), height=4), "text-empty"),
        (lambda: MarkDraft(text="TOP", points=[(0, 0), (1, 0)]), "neither-line-nor-text"),
        (lambda: PoseDraft(name="a", hold=[]), "wrong-type"),  # type: ignore[arg-type]
        (lambda: PoseDraft(name="a", on=[3]), "wrong-type"),  # type: ignore[list-item]
        (lambda: PoseDraft(name="a", touches=3), "wrong-type"),  # type: ignore[arg-type]
        (lambda: TouchEndDraft(panel="a", line=[(0, True)]), "wrong-type"),
        (lambda: Design(name="a", units="cm"), "unknown-word"),
    ],
)
def test_what_may_not_be_written_is_told_at_once(make: object, rule: str) -> None:
    assert rules_of(make) == [rule]


@pytest.mark.parametrize(
    ("design", "rules"),
    [
        (Design(name="a/b", pieces=[PieceDraft(name="card", outline=PLATE)]), ["unsafe-name"]),
        (
            Design(
                name="a",
                measures={"2w": MeasureDraft(value=1), "w": MeasureDraft(value=None)},
                pieces=[PieceDraft(name="card", outline=PLATE)],
            ),
            ["unfit-name", "missing-key"],
        ),
        (
            Design(
                name="a",
                measures={"w": MeasureDraft(value=3, least="60 deg", most="wide")},
                pieces=[PieceDraft(name="card", outline=PLATE)],
            ),
            ["not-a-length", "unknown-measure"],
        ),
        (
            Design(
                name="a",
                pieces=[
                    PieceDraft(name="card", outline=CircleDraft(at=(9999, 0), radius=2)),
                    PieceDraft(name="lid", outline=RectangleDraft(width=9, height=9, at=(9995, 0))),
                ],
            ),
            ["length-too-large"] * 2,
        ),
        (
            Design(
                name="a",
                pieces=[
                    PieceDraft(
                        name="card",
                        outline=PLATE,
                        bands=[BandDraft(start=("x", 0), end=(1, 0), walk=[1], first="valley")],
                    )
                ],
            ),
            ["unknown-measure"],
        ),
    ],
)
def test_what_a_file_could_not_say_is_checked_all_the_same(
    design: Design, rules: list[str]
) -> None:
    assert rules_of(lambda: resolve(design)) == rules


def joined(line: object, panel: str = "card/page") -> Design:
    end = JointEndDraft(panel=panel, face="front", line=line)  # type: ignore[arg-type]
    piece = PieceDraft(name="card", outline=PLATE, panels=[PanelDraft(name="page", at=(5, 5))])
    return Design(name="a", pieces=[piece], joints=[JointDraft(glue=end, to=end)])


def test_a_joint_is_a_line_with_two_ends() -> None:
    assert resolve(joined([(0, 0), (0, 9)], "panel 2")).joints[0].glue.panel == "panel 2"
    assert set(rules_of(lambda: resolve(joined([(0, 0)])))) == {"too-few-points"}
    assert set(rules_of(lambda: resolve(joined([(0, 0), (0, 0)])))) == {"repeated-point"}
    assert set(rules_of(lambda: resolve(joined([(0, "x"), (0, 0)])))) == {"unknown-measure"}


def test_a_bare_name_that_two_pieces_have_is_told_with_both() -> None:
    fold = FoldDraft(name="gutter", sense="valley", points=[(0, 9), (9, 9)])
    pieces = [PieceDraft(name=name, outline=PLATE, folds=[fold]) for name in ("lid", "card")]
    pose = PoseDraft(name="standing", hold={"gutter": 90})
    with pytest.raises(DesignError, match='write "lid/gutter" or "card/gutter"'):
        resolve(Design(name="a", pieces=pieces, poses=[pose]))
    full = PoseDraft(name="standing", hold={"lid/gutter": 90})
    (resolved,) = resolve(Design(name="a", pieces=pieces, poses=[full])).poses
    assert [(hold.piece, hold.fold) for hold in resolved.holds] == [("lid", "gutter")]


def test_too_many_points_are_refused_from_python_too() -> None:
    # One draft that stands for many: nothing is worked out before they are counted.
    corner = VertexDraft(at=(0, 0))
    many = PolygonDraft(points=(corner,) * (MOST_POINTS // 2))
    piece = PieceDraft(name="card", outline=many, slits=[SlitDraft(points=(corner,) * 100_001)])
    assert rules_of(lambda: resolve(Design(name="a", pieces=[piece]))) == ["too-many-points"]
