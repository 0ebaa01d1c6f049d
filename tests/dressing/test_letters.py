"""This module tests the letters of parts."""

from __future__ import annotations

import string

from foldwright.dressing.letters import letter


def test_letters_run_from_a_to_z_and_then_on_in_two() -> None:
    assert [letter(number) for number in range(26)] == list(string.ascii_uppercase)
    told = [letter(number) for number in (26, 27, 51, 52, 701, 702)]
    assert told == ["AA", "AB", "AZ", "BA", "ZZ", "AAA"]


def test_no_two_parts_have_one_letter() -> None:
    assert len({letter(number) for number in range(2000)}) == 2000
