"""The plain text: a golden that a person can read, and what it does with odd names."""

from __future__ import annotations

from dataclasses import replace

import pytest

from foldwright.problems import ReadBackError
from foldwright.writers import WriteOptions, differences
from foldwright.writers.plain import writer
from tests.writers.drawings import card

OPTIONS = WriteOptions()

CARD = """\
# Written by Foldwright; exporting again replaces this file.
title "Harbour steps: base"
page 148 210
caution "Keep fingers out of the path of the blade."
caution "Follow the machine's manual."
mark drawn front mark "guide" 10,20 30,20
score creased front fold "gutter" 0,105 50,105
score creased front fold "steps 1" 50,175 148,175
score perforated front fold "tear line" 50,65 60,65
cut through front slit "slit 1" 50,45 50,175
cut through front opening "window" 107.5,50 arc 1 92.5,50 arc 1 close
cut through front slit "thumb cut" 20,30 arc -0.7 30,30
cut through front outline "outline" 3,0 145,0 arc 0.414213562373 148,3 148,207 \
arc 0.414213562373 145,210 3,210 arc 0.414213562373 0,207 0,3 arc 0.414213562373 close
"""


def test_a_card_as_a_person_reads_it() -> None:
    assert writer.write(card(), OPTIONS).decode() == CARD


def test_unproven_has_a_line() -> None:
    assert b"\nunproven\n" in writer.write(replace(card(), proven=False), OPTIONS)


def test_names_with_quotes_and_line_breaks_keep_one_line_a_stroke() -> None:
    stroke = replace(card().strokes[0], source='a "b"\n0,0 \u2028 \ud800 close')
    odd = card().with_strokes((stroke,))
    data = writer.write(odd, OPTIONS)
    assert len(data.decode().removesuffix("\n").split("\n")) == 6
    assert differences(odd, writer.read_back(data, OPTIONS), largest_sweep=180.0) == ()


@pytest.mark.parametrize(
    "line",
    [
        "ink drawn front mark",
        'cut through front slit "s" 1,2 3',
        'cut hewn front slit "s" 1,2 3,4',
        "cut through front slit 1,2 3,4",
    ],
)
def test_lines_of_another_form_are_refused(line: str) -> None:
    with pytest.raises(ReadBackError, match="read-back-form"):
        writer.read_back((CARD + line + "\n").encode(), OPTIONS)


def test_our_mark_is_known_again_and_nobody_elses() -> None:
    assert writer.carries_our_mark(CARD.encode())
    assert not writer.carries_our_mark(b"# notes\n")
