"""What is glued on panels, worked out: mats, extras, and panels that are a cover."""

from __future__ import annotations

from fractions import Fraction

import pytest

from foldwright.design import (
    Extra,
    Face,
    LShape,
    Mat,
    PanelDraft,
    parse_design,
    resolve,
    write_design,
)
from foldwright.geometry import point
from foldwright.problems import DesignError, Problem

HEAD = """\
format = 1
name = "Pebble"
units = "mm"

[measures]
rim = 3

[stock.card]

[stock.patterned]

[[piece]]
name = "card"
stock = "card"
outline = { rectangle = [10, 20, 100, 150] }

  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [[10, 95], [110, 95]]

  [[piece.panel]]
  name = "page"
  at = [50, 50]

[[piece]]
name = "lid"
stock = "patterned"
outline = { rectangle = ["rim * 10", 20] }
"""
LINE = HEAD.count("\n")


def told(text: str) -> dict[str, tuple[str, str, int]]:
    return {
        note.rule: (str(note.severity), note.message, (note.place.line or 0) - LINE)
        for note in resolve(parse_design(HEAD + text, "card.toml")).notes
    }


def refused(text: str) -> Problem:
    with pytest.raises(DesignError) as caught:
        told(text)
    (problem,) = caught.value.problems
    return problem


def test_mats_are_worked_out() -> None:
    text = """
[[mat]]
on = "card"
margin = "rim / 2"
stock = "patterned"
up = 90

[[mat]]
name = "sea"
on = "lid"
panels = ["panel 1", "panel 2", "panel 1"]
face = "back"
margin = "1/8 in"
"""
    design = parse_design(HEAD + text, "card.toml")
    first, second = resolve(design).mats
    assert first == Mat(
        name="mat 1",
        piece="card",
        panels=None,
        face=Face.FRONT,
        margin=Fraction(3, 2),
        stock="patterned",
        up=Fraction(90),
        place=design.mats[0].place,
    )
    assert first.place.line == LINE + 2
    assert (second.name, second.piece, second.face) == ("sea", "lid", Face.BACK)
    assert second.panels == ("panel 1", "panel 2")
    assert (second.margin, second.stock, second.up) == (Fraction(127, 40), None, None)


def test_a_margin_that_is_left_out_is_none_and_an_l_is_one_piece() -> None:
    plain, two = resolve(
        parse_design(HEAD + '[[mat]]\non = "card"\n[[mat]]\non = "card"\nl_shape = "two"\n')
    ).mats
    assert (plain.margin, plain.l_shape) == (None, LShape.ONE)
    assert (two.margin, two.l_shape) == (None, LShape.TWO)
    # A margin of nothing is a margin that somebody wrote.
    (bare,) = resolve(parse_design(HEAD + '[[mat]]\non = "card"\nmargin = 0\n')).mats
    assert bare.margin == 0
    with pytest.raises(DesignError, match="l_shape"):
        parse_design(HEAD + '[[mat]]\non = "card"\nl_shape = "three"\n')


def test_extras_are_worked_out() -> None:
    text = """
[[extra]]
on = "page"
at = ["rim", "1 in"]
size = [6, "rim * 2"]
height = 1
mass = "1 / 3"

[[extra]]
name = "bow"
on = "lid/panel 1"
size = 4
"""
    design = parse_design(HEAD + text.replace('"rim", ', '"10 * rim", '), "card.toml")
    first, second = resolve(design).extras
    assert first == Extra(
        name="extra 1",
        piece="card",
        panel="page",
        at=point(30, Fraction(127, 5)),
        size=(Fraction(6), Fraction(6)),
        height=Fraction(1),
        mass_g=Fraction(1, 3),
        place=design.extras[0].place,
    )
    assert (second.name, second.piece, second.panel) == ("bow", "lid", "panel 1")
    assert (second.at, second.size, second.height, second.mass_g) == (None, (4,), None, None)


def test_the_caliper_of_a_margin_is_that_of_its_piece() -> None:
    text = (
        '[[mat]]\non = "lid"\nmargin = "10 * caliper"\n[[mat]]\non = "card"\nmargin = "caliper"\n'
    )
    calipers = {"card": Fraction(1, 4), "patterned": Fraction(1, 10)}
    resolved = resolve(parse_design(HEAD + text), calipers)
    assert [mat.margin for mat in resolved.mats] == [1, Fraction(1, 4)]


def test_mats_and_extras_are_no_longer_said_not_to_be_judged() -> None:
    text = '[[mat]]\non = "card"\npanels = ["panel 9"]\n[[extra]]\non = "card/panel 9"\n'
    assert told(text) == {}


HINTS = [
    ('[[mat]]\non = "crad"\n', 'did you mean "card"?'),
    ('[[mat]]\non = "card"\npanels = ["pages"]\n', 'did you mean "card/page"?'),
    ('[[extra]]\non = "card"\n', 'did you mean "card/page"?'),
    ('[[extra]]\non = "zebra/panel 9"\n', 'there is no piece "zebra": known here: "card", "lid"'),
    ('[[extra]]\non = "card/pages"\n', 'did you mean "card/page"?'),
    ('[[pose]]\nname = "up"\nhold = { "guter#9" = 90 }\n', 'did you mean "gutter"?'),
]


@pytest.mark.parametrize(("text", "hint"), HINTS)
def test_a_reference_to_nothing_is_refused(text: str, hint: str) -> None:
    problem = refused(text)
    assert (problem.rule, problem.mend) == ("unknown-part", hint)


@pytest.mark.parametrize("kind", ["mat", "extra"])
def test_two_of_one_name_are_refused(kind: str) -> None:
    on = {"mat": "card", "extra": "page"}[kind]
    first, second = (f'[[{kind}]]\nname = "sea"\non = "{on}"\n' for _ in range(2))
    problem = refused(first + second)
    assert (problem.rule, problem.place.line) == ("doubled-name", LINE + 4)
    # The first without a name is called by its place in the file.
    unnamed = second.replace('name = "sea"\n', "")
    problem = refused(unnamed + first.replace("sea", f"{kind} 1"))
    assert problem.rule == "doubled-name"


def test_a_mat_on_no_panel_is_refused() -> None:
    problem = refused('[[mat]]\nname = "sea"\non = "card"\npanels = []\n')
    assert (problem.rule, problem.message) == ("mat-on-no-panel", 'mat "sea" lies on no panel')


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[[mat]]\non = "card"\nmargin = -1\n', "the margin of mat 1 is -1 mm"),
        ('[[extra]]\non = "page"\nsize = 0\n', "the size of extra 1 is 0 mm"),
        ('[[extra]]\non = "page"\nsize = [3, -1]\n', "the size of extra 1 is -1 mm"),
        ('[[extra]]\non = "page"\nheight = -0.5\n', "the height of extra 1 is -0.5 mm"),
        ('[[extra]]\non = "page"\nname = "bow"\nmass = -2\n', 'the mass of extra "bow" is -2 g'),
    ],
)
def test_what_is_less_than_nothing_is_refused(text: str, message: str) -> None:
    problem = refused(text)
    assert (problem.rule, problem.message) == ("not-positive", message)
    assert problem.place.line is not None


def test_an_extra_off_its_piece() -> None:
    extra = '[[extra]]\non = "card/page"\nat = {at}\n'
    assert told(extra.replace("{at}", "[110, 170]")) == {}
    assert told(extra.replace("{at}", "[10, 20]")) == {}
    assert told(extra.replace("{at}", "[110.1, 30]")) == {
        "extra-off-its-piece": ("warn", 'extra 1 lies off piece "card" at (110.1, 30) mm', 3)
    }
    # The name of the panel alone is enough where only one piece has it.
    assert "extra-off-its-piece" in told(extra.replace("card/", "").replace("{at}", "[9, 30]"))


def test_a_margin_that_leaves_something() -> None:
    mat = '[[mat]]\non = "card"\nmargin = {m}\n'
    assert told(mat.replace("{m}", "49.9")) == {}
    with pytest.raises(DesignError) as caught:
        told(mat.replace("{m}", "50"))
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.line) == ("margin-too-wide", LINE + 3)
    assert "which is 100 mm by 150 mm" in problem.message


def test_a_cover_is_read_and_written() -> None:
    covered = HEAD.replace("at = [50, 50]", "at = [50, 50]\n  cover = true")
    design = parse_design(covered)
    assert design.pieces[0].panels[0] == PanelDraft(name="page", at=(50, 50), cover=True)
    assert parse_design(write_design(design)) == design
    (panel,) = resolve(design).pieces[0].panel_names
    assert (panel.name, panel.cover) == ("page", True)
    assert resolve(parse_design(HEAD)).pieces[0].panel_names[0].cover is False
    with pytest.raises(DesignError) as caught:
        parse_design(covered.replace("true", "1"))
    assert [problem.rule for problem in caught.value.problems] == ["wrong-type"]
    with pytest.raises(DesignError) as caught:
        parse_design(covered.replace("cover", "covr"))
    assert [problem.mend for problem in caught.value.problems] == ['did you mean "cover"?']
