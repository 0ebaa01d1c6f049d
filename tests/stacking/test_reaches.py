"""How far extras reach past their panels, and out of the closed card, by hand."""

from __future__ import annotations

import pytest

from foldwright.design import parse_design
from foldwright.problems import Problem
from foldwright.proving import prove_design

# A strip 50 mm wide whose lower page is 60 mm high and whose upper one is 100: closed it is a
# rectangle of 50 by 100 mm.
CARD = """
format = 1
name = "card"
units = "mm"
[[piece]]
name = "card"
outline = { rectangle = [50, 160] }
[[piece.fold]]
name = "spine"
sense = "valley"
points = [[0, 60], [50, 60]]
[[piece.panel]]
name = "front"
at = [25, 10]
[[extra]]
name = "figure"
on = "card/front"
mass = 0
height = 0.1
"""


def told(extra: str) -> list[Problem]:
    proof = prove_design(parse_design(CARD + extra, "card.toml"), materials=["card-200"])
    rules = ("extra-past-its-panel", "extra-out-of-the-card")
    return [one for one in proof.findings if one.rule in rules]


@pytest.mark.parametrize(
    "extra",
    [
        "at = [25, 30]\nsize = [50, 60]\n",
        "at = [25, 30]\nsize = 50\n",
        "at = [25, 30]\n",
        # Its middle is off the panel, which is told by itself.
        "at = [25, 100]\nsize = [10, 10]\n",
    ],
)
def test_what_stays_on_its_panel_is_not_told(extra: str) -> None:
    assert told(extra) == []


def test_under_a_longer_page_it_stays_in_the_closed_card() -> None:
    # Down to y = -25, where the upper page reaches 40 mm farther than the lower one.
    (one,) = told("at = [25, 0]\nsize = [10, 50]\n")
    assert (one.rule, one.severity) == ("extra-past-its-panel", "note")
    assert one.message == 'extra "figure" reaches past the edge of panel "card/front" by 25 mm'


@pytest.mark.parametrize(
    ("extra", "by"),
    [
        # A figure of half a metre, its middle in that of the page.
        ("at = [25, 30]\nsize = [500, 18]\n", 225),
        ("at = [10, 30]\nsize = 40\n", 10),
        # Up past the spine by 12 mm, where nothing else is.
        ("at = [25, 50]\nsize = [10, 44]\n", 12),
    ],
)
def test_what_sticks_out_of_the_closed_card_is_a_warning(extra: str, by: float) -> None:
    (one,) = told(extra)
    assert (one.rule, one.severity) == ("extra-out-of-the-card", "warn")
    assert one.measure_mm == pytest.approx(by)
    assert f"sticks out of the closed card by {by} mm" in one.message
    assert one.place.line == CARD[: CARD.index("[[extra]]")].count("\n") + 1
