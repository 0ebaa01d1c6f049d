"""A name that is not known is told with the one that was meant, and with none that was not."""

from __future__ import annotations

import pytest

from foldwright.problems import likely

NAMES = ("half-fold", "pocket", "cake-terrace", "birthday-cake", "tuck-box", "v-fold-pop-up")


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("HALF-FOLD", "half-fold"),
        ("Tuck", "tuck-box"),
        ("cake", "cake-terrace"),
        ("Birthday", "birthday-cake"),
        ("terrace", "cake-terrace"),
        ("poket", "pocket"),
        ("half_fold", "half-fold"),
        ("box", "tuck-box"),
        ("zzz", None),
        ("", None),
    ],
)
def test_what_was_meant(name: str, meant: str | None) -> None:
    assert likely(name, NAMES) == meant


def test_short_names_that_share_two_letters_are_not_taken_for_each_other() -> None:
    formats = ("dxf", "plain", "svg")
    assert likely("pdf", formats) is None
    assert likely("dfx", formats) == "dxf"
    assert likely("DXF", formats) == "dxf"
