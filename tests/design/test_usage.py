"""A measure that nothing uses is told with the name that was meant; one of any edition is used."""

from __future__ import annotations

import pytest

from foldwright.design import parse_design, resolve

HEAD = 'format = 1\nname = "Pebble"\nunits = "mm"\n'
CARD = """
[[piece]]
name = "card"
outline = { rectangle = ["width", 150] }
"""
STEPS = f'{HEAD}pattern = "side-steps"\n'


def told(text: str, variant: str | None = None) -> list[tuple[str, int | None, str, str]]:
    notes = resolve(parse_design(text, "card.toml"), variant=variant).notes
    return [
        (str(note.severity), note.place.line, note.message, note.mend)
        for note in notes
        if note.rule == "unused-measure"
    ]


def test_a_misspelt_parameter_of_a_pattern_is_told_with_the_right_one() -> None:
    text = f"{STEPS}[measures]\nwidth = 150\ntred = 25\n"
    assert told(text) == [("warn", 7, 'nothing uses the measure "tred"', 'did you mean "tread"?')]
    assert told(text.replace("tred", "tread")) == []


def test_a_measure_that_a_parameter_follows_from_is_used() -> None:
    assert told(f'{STEPS}[measures]\ntread = "deep"\ndeep = 25\n') == []


def test_what_only_an_unused_measure_uses_is_unused() -> None:
    text = f'{HEAD}[measures]\nwidth = 100\nspare = "other / 2"\nother = 30\n{CARD}'
    found = told(text)
    assert [(line, message) for _, line, message, _ in found] == [
        (6, 'nothing uses the measure "spare"'),
        (7, 'nothing uses the measure "other"'),
    ]
    assert found[0][3] == "leave it out, or use it in a length"


@pytest.mark.parametrize(
    "use",
    [
        '[[mat]]\non = "card"\nmargin = "spare"\n',
        '[[extra]]\non = "card/panel 1"\nat = ["spare", 10]\n',
        '[[pose]]\nname = "out"\nview = "atan(spare / width)"\n',
        '[[pose]]\nname = "out"\n[[pose.touch]]\npanel = "panel 1"\nline = [[0, 0], ["spare", 0]]\n'
        'to = { panel = "panel 1", line = [[0, 9], [4, 9]] }\n',
        '[envelope]\nform = "square-blank"\nclearance_each_side = "spare"\n',
        '[limits]\nclosed = ["width + spare", 150]\n',
        '  [[piece.mark]]\n  points = [[10, 10], ["10 + spare", 10]]\n',
        '[variant.wide.measures]\nwidth = "100 + spare"\n',
    ],
    ids=lambda use: use.split("]")[0].strip(" ["),
)
def test_every_part_of_a_design_may_use_it(use: str) -> None:
    text = f"{HEAD}[measures]\nwidth = 100\nspare = 4\n{CARD}"
    assert len(told(text)) == 1
    assert told(text + use) == []


def test_a_limit_of_a_used_measure_uses_it() -> None:
    width = '{ is = 100, least = "spare" }'
    assert told(f"{HEAD}[measures]\nwidth = {width}\nspare = 4\n{CARD}") == []


def test_what_one_edition_leaves_out_another_one_uses() -> None:
    text = f'{HEAD}[measures]\nwidth = "sheet - 3"\nsheet = 100\n{CARD}'
    text += "[variant.small.measures]\nwidth = 80\n"
    assert told(text, "small") == []
