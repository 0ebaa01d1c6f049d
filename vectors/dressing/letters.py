"""This module gives the letters by which parts are told apart: A to Z, then AA, AB and so on.

A letter is the same on the cutting list, on the placement map and on the back of the
part.  Letters go by the order in which the design lists its mats, then by that of
their panels, so that what is added at the end changes none of those before it.
"""

from __future__ import annotations

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def letter(number: int) -> str:
    """The letter of a part by its number, from 0 on."""
    text = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, len(_LETTERS))
        text = _LETTERS[digit] + text
    return text
