"""What is said of lines that cross, hang, double or lie off the paper: each rule, at its place."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from foldwright.design.pieces import Piece
from foldwright.panels import divide
from foldwright.problems import Severity

PieceOf = Callable[[str], Piece]

SQUARE = "outline = { rectangle = [100, 100] }"


def found(piece: Piece) -> list[tuple[str, tuple[float, float] | None]]:
    return [(one.rule, one.at) for one in divide(piece).problems]


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        pytest.param(
            """
            [[piece.slit]]
            points = [[32, 0], [32, 100]]
            [[piece.fold]]
            name = "gutter"
            sense = "valley"
            points = [[0, 50], [100, 50]]
            """,
            [("fold-crosses-slit", (32, 50))],
            id="a fold across a slit",
        ),
        pytest.param(
            """
            [[piece.slit]]
            points = [[32, 20], [32, 50]]
            [[piece.slit]]
            points = [[32, 80], [32, 50]]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [100, 50]]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 20], [100, 20]]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 80], [100, 80]]
            """,
            [("fold-crosses-slit", (32, 50))],
            id="a fold across the joint of two slits",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [120, 50]]
            """,
            [("crosses-outline", (100, 50))],
            id="a fold over the outline",
        ),
        pytest.param(
            """
            [[piece.slit]]
            points = [[50, 50], [50, 120]]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [100, 50]]
            """,
            [("crosses-outline", (50, 100))],
            id="a slit over the outline",
        ),
        pytest.param(
            """
            [[piece.opening]]
            circle = [50, 50, 10]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [100, 50]]
            """,
            [("crosses-outline", (60, 50)), ("crosses-outline", (40, 50))],
            id="a fold over an opening",
        ),
        pytest.param(
            """
            [[piece.opening]]
            circle = [0, 50, 10]
            """,
            [("outline-crosses-itself", (0, 40)), ("outline-crosses-itself", (0, 60))],
            id="an opening over the outline",
        ),
        pytest.param(
            """
            [[piece.opening]]
            rectangle = [20, 20, 30, 30]
            [[piece.opening]]
            rectangle = [40, 40, 30, 30]
            """,
            [("outline-crosses-itself", (50, 40)), ("outline-crosses-itself", (40, 50))],
            id="an opening over an opening",
        ),
        pytest.param(
            """
            [[piece.opening]]
            rectangle = [20, 20, 60, 60]
            [[piece.opening]]
            rectangle = [40, 40, 20, 20]
            """,
            [("outside-outline", (50, 40))],
            id="an opening in an opening",
        ),
        pytest.param(
            """
            [[piece.slit]]
            points = [[30, 30], [30, 60]]
            """,
            [("slit-end-hangs", (30, 30)), ("slit-end-hangs", (30, 60))],
            id="a slit that hangs",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "valley"
            points = [[0, 40], [70, 40]]
            """,
            [("fold-end-hangs", (70, 40))],
            id="a fold that hangs",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "valley"
            points = [[0, 40], [100, 40]]
            [[piece.fold]]
            sense = "mountain"
            points = [[20, 40], [60, 40]]
            """,
            [("doubled-line", (40, 40))],
            id="a fold on a fold",
        ),
        pytest.param(
            """
            [[piece.slit]]
            points = [[0, 40], [60, 40]]
            [[piece.fold]]
            sense = "mountain"
            points = [[20, 40], [100, 40]]
            """,
            [("doubled-line", (40, 40))],
            id="a fold on a slit",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "mountain"
            points = [[100, 20], [100, 60]]
            """,
            [("doubled-line", (100, 40))],
            id="a fold on the outline",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "mountain"
            points = [[120, 20], [140, 60]]
            """,
            [("outside-outline", (130, 40))],
            id="a fold beside the paper",
        ),
        pytest.param(
            """
            [[piece.mark]]
            points = [[40, 40], [60, 60]]
            [[piece.mark]]
            points = [[0, 20], [0, 80]]
            [[piece.mark]]
            points = [[80, 50], [130, 50]]
            [[piece.mark]]
            points = [[120, 20], [140, 60]]
            [[piece.opening]]
            rectangle = [10, 10, 20, 20]
            [[piece.mark]]
            points = [[5, 20], [20, 20]]
            """,
            [
                ("crosses-outline", (100, 50)),
                ("outside-outline", (130, 40)),
                ("crosses-outline", (10, 20)),
            ],
            id="marks over the outline, beside the paper and into an opening",
        ),
        pytest.param(
            """
            [[piece.panel]]
            name = "nowhere"
            at = [150, 50]
            """,
            [("panel-name-nowhere", (150, 50))],
            id="a name beside the paper",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [100, 50]]
            [[piece.panel]]
            name = "on the line"
            at = [50, 50]
            """,
            [("panel-name-nowhere", (50, 50))],
            id="a name on a line",
        ),
        pytest.param(
            """
            [[piece.panel]]
            name = "one"
            at = [50, 50]
            [[piece.panel]]
            name = "two"
            at = [60, 50]
            """,
            [("panel-named-twice", (60, 50))],
            id="two names for a panel",
        ),
    ],
)
def test_the_rule_and_the_place(
    lines: str, wanted: list[tuple[str, tuple[float, float] | None]], piece_of: PieceOf
) -> None:
    told = found(piece_of(f"{SQUARE}\n{lines}"))
    assert sorted(told, key=str) == [
        (rule, None if at is None else pytest.approx(at)) for rule, at in sorted(wanted, key=str)
    ]


def test_a_door_that_is_cut_where_the_name_of_its_wall_lies_is_told_how_to_mend(
    piece_of: PieceOf,
) -> None:
    piece = piece_of(
        f"""
        {SQUARE}
        [[piece.slit]]
        points = [[40, 40], [40, 60], [60, 60], [60, 40]]
        [[piece.fold]]
        sense = "valley"
        points = [[40, 40], [60, 40]]
        [[piece.panel]]
        name = "front of the box"
        at = [50, 50]
        [[piece.panel]]
        name = "door"
        at = [52, 50]
        """
    )
    (told,) = divide(piece).problems
    assert told.rule == "panel-named-twice"
    assert '"front of the box" off a door that is cut free here' in told.mend


def test_the_message_is_the_one_that_scripts_read(piece_of: PieceOf) -> None:
    piece = piece_of(
        f"""
        {SQUARE}
        [[piece.slit]]
        points = [[10, 0], [10, 40], [0, 40]]
        [[piece.slit]]
        points = [[32, 20], [32, 80]]
        [[piece.fold]]
        name = "gutter"
        sense = "valley"
        points = [[0, 50], [100, 50]]
        """
    )
    first = next(one for one in divide(piece).problems if one.rule == "fold-crosses-slit")
    assert first.severity is Severity.STOP
    assert first.line().endswith(
        'stop: fold "gutter" runs across slit 2 at (32, 50) mm; '
        "end the fold there or split it (fold-crosses-slit)"
    )
    assert first.place.line is not None
    assert first.piece == "base"


def test_a_slot_for_a_tab_is_drawn_as_the_mend_says(piece_of: PieceOf) -> None:
    slot = piece_of(f"{SQUARE}\n[[piece.slit]]\npoints = [[30, 50], [70, 50]]")
    mends = {one.mend for one in divide(slot).problems}
    (mend,) = mends
    assert "a slot for a tab is drawn as a narrow opening" in mend
    opening = piece_of(f"{SQUARE}\n[[piece.opening]]\nrectangle = [30, 50, 40, 0.5]")
    assert found(opening) == []


def test_an_outline_that_crosses_itself_is_told_where(piece_of: PieceOf) -> None:
    piece = piece_of("outline = { polygon = [[0, 0], [100, 100], [100, 0], [0, 60]] }")
    places = dict(found(piece))
    assert places["outline-crosses-itself"] == pytest.approx((37.5, 37.5))


def test_a_fold_may_touch_a_notch_and_end_in_a_corner(piece_of: PieceOf) -> None:
    piece = piece_of(
        """
        outline = { polygon = [[0, 0], [100, 0], [100, 100], [60, 100], [50, 50], [40, 100], [0, 100]] }
        [[piece.fold]]
        sense = "valley"
        points = [[0, 50], [100, 50]]
        [[piece.fold]]
        sense = "valley"
        points = [[0, 0], [50, 50]]
        """  # noqa: E501
    )
    assert found(piece) == []


def test_all_problems_of_a_piece_are_told_at_once(piece_of: PieceOf) -> None:
    rules = {
        rule
        for rule, _ in found(
            piece_of(
                f"""
                {SQUARE}
                [[piece.slit]]
                points = [[50, 30], [50, 70]]
                [[piece.fold]]
                sense = "valley"
                points = [[0, 50], [120, 50]]
                [[piece.fold]]
                sense = "valley"
                points = [[10, 10], [20, 10]]
                """
            )
        )
    }
    assert rules == {"crosses-outline", "fold-crosses-slit", "slit-end-hangs", "fold-end-hangs"}
