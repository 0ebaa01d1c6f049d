"""Texts on a card, and the mats that will cover them."""

from __future__ import annotations

from foldwright.dressing.mats import Mats
from foldwright.problems import Problem, Severity
from tests.dressing.matted import BOOK, mat, matted


def text(at: str) -> str:
    return f'[[piece.mark]]\ntext = "TOP"\nat = {at}\nheight = 4\n'


def covered(mats: Mats) -> list[Problem]:
    return [one for one in mats.problems if one.rule == "text-under-mat"]


def test_a_text_under_a_mat_is_told_with_its_place_and_the_letter_of_the_mat() -> None:
    found = matted(BOOK + text("[20, 20]") + text("[80, 20]") + mat(panels=["panel 2"]))
    (one,) = covered(found)
    assert one.severity is Severity.NOTE
    assert one.message.startswith('mat A covers the text "TOP" at (8')
    # Three lines before the seven of the card, and four of the first text.
    assert one.place.line == 15
    # Capitals of 4 mm: their middle is 2 mm above the base line.
    assert one.at is not None and one.at[1] == 22.0


def test_a_mat_on_the_back_covers_nothing_of_the_front() -> None:
    card = BOOK + text("[20, 20]")
    assert len(covered(matted(card + mat(panels=["panel 1"])))) == 1
    assert covered(matted(card + mat(panels=["panel 1"], face="back"))) == []


def test_a_text_in_the_window_of_a_mat_is_free() -> None:
    """A ring of paper is left round an opening, and a wide margin leaves it bare."""
    window = "[[piece.opening]]\nrectangle = [15, 30, 20, 20]\n"
    frame = mat(panels=["panel 1"], margin=9)
    assert covered(matted(BOOK + window + text("[20, 23]") + frame)) == []
    assert len(covered(matted(BOOK + window + text("[20, 12]") + frame))) == 1
