"""Changed measures in the text of a design: nothing but their values moves."""

from __future__ import annotations

import difflib
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import Design, measures, parse_design, resolve
from foldwright.design.laid_out import MIRRORED_COMMENT
from foldwright.design.rewriting import measure_text, units_at, with_measures, with_mirrors
from foldwright.design.writer import write_design
from foldwright.measures import Unit

TEXT = """\
# A card with every way of writing a length.
format = 1
name   = "Everything"      # its name
units  = "mm"

[measures]
bare    = 35               # a bare number
point   = 35.5
whole_in = "1 in"
deep    = { is = 30, least = 12, most = 60 }   # a table
quoted  = "41 mm"
close   = "41mm"
ruler   = "1 5/8 in"
tenths  = "1.5 in"
part    = '3/4'
count   = { number = 5, most = 9 }
dotted.is = 7
sum     = "bare + point"   # follows

[[piece]]
name = "card"
outline = { rectangle = [300, 400] }

[variant.inch]             # for inch rulers
units = "in"
measures = { bare = "1 3/8", deep = 2, quoted = { least = 1 } }
"""


def changed_lines(old: str, new: str) -> list[tuple[str, str]]:
    """The lines that differ, each as it was and as it is."""
    pairs = list(zip(old.splitlines(keepends=True), new.splitlines(keepends=True), strict=True))
    return [(a, b) for a, b in pairs if a != b]


@pytest.mark.parametrize(
    ("name", "value", "line"),
    [
        ("bare", Fraction(36), "bare    = 36               # a bare number\n"),
        ("bare", Fraction(73, 2), "bare    = 36.5               # a bare number\n"),
        ("bare", Fraction(100, 3), 'bare    = "100/3"               # a bare number\n'),
        ("point", Fraction(36), "point   = 36\n"),
        ("whole_in", Fraction(508, 10), 'whole_in = "2 in"\n'),
        ("deep", Fraction(28), "deep    = { is = 28, least = 12, most = 60 }   # a table\n"),
        ("quoted", Fraction(40), 'quoted  = "40 mm"\n'),
        ("close", Fraction(81, 2), 'close   = "40.5mm"\n'),
        ("ruler", Fraction(254, 10) * Fraction(13, 16), 'ruler   = "13/16 in"\n'),
        ("ruler", Fraction(254, 10) * Fraction(11, 8), 'ruler   = "1 3/8 in"\n'),
        ("tenths", Fraction(254, 10) * Fraction(11, 8), 'tenths  = "1.375 in"\n'),
        ("part", Fraction(2), 'part    = "2"\n'),
        ("dotted", Fraction(8), "dotted.is = 8\n"),
    ],
)
def test_a_value_is_written_as_its_author_would(name: str, value: Fraction, line: str) -> None:
    design = parse_design(TEXT)
    text = with_measures(design, {name: measure_text(design, name, value)})
    ((_, new),) = changed_lines(TEXT, text)
    assert new == line
    assert resolve(parse_design(text)).measures[name] == value


def test_a_variant_is_changed_in_its_own_measures() -> None:
    design = parse_design(TEXT)
    value = Fraction(254, 10) * Fraction(5, 4)
    names = ("bare", "deep", "quoted", "point")
    texts = {name: measure_text(design, name, value, "inch") for name in names}
    assert texts == {"bare": "1 1/4", "deep": "1 1/4", "quoted": "31.75 mm", "point": "1.25"}
    text = with_measures(design, texts, "inch")
    # The one that it gives a limit only has a value there too, the last one is new.
    measures = (
        'bare = "1 1/4", deep = "1 1/4", quoted = { least = 1 , is = "31.75 mm"}, point = 1.25'
    )
    (((_, line)),) = changed_lines(TEXT, text)
    assert line.replace(" ", "") == f"measures = {{ {measures} }}\n".replace(" ", "")
    assert (units_at(design, "inch"), units_at(design)) == (Unit.IN, Unit.MM)
    assert [resolve(parse_design(text), variant="inch").measures[name] for name in names] == (
        [value] * 4
    )
    # The design as it is has not changed.
    assert resolve(parse_design(text)).measures == resolve(design).measures


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize(
    "variant",
    [
        '[variant.inch]\nunits = "in"\n',
        '[variant.inch]\nunits = "in"\n[variant.inch.stock.card]\nmaterial = "card-200"\n',
        '[variant.inch.measures]\nbare = 36\n[variant.other]\nunits = "in"\n',
    ],
)
def test_a_variant_without_the_measure_is_given_it(variant: str, end: str) -> None:
    old = TEXT[: TEXT.index("[variant")] + variant + '[stock.card]\nmaterial = "card-300"\n'
    old = old.replace("\n", end)
    text = with_measures(parse_design(old), {"quoted": "42 mm"}, "inch")
    # No line is lost, and all of them end as they did.
    assert text.count("\n") == text.count(end)
    kept = iter(text.splitlines())
    assert all(row in kept for row in old.splitlines())
    new = parse_design(text)
    assert resolve(new, variant="inch").measures["quoted"] == 42
    assert resolve(new).measures["quoted"] == 41
    assert new.variants.keys() == parse_design(old).variants.keys()


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        # 80 mm is 400/127 in: on no ruler that is marked in inches.
        ("whole_in", Fraction(80), "80 mm"),
        ("ruler", Fraction(80), "80 mm"),
        ("tenths", Fraction(80), "80 mm"),
        ("whole_in", Fraction(254, 10) * Fraction(65, 64), "1 1/64 in"),
        ("whole_in", Fraction(254, 10) * Fraction(51, 10), "5.1 in"),
        ("whole_in", Fraction(100, 3), "100/3 mm"),
    ],
)
def test_inches_are_those_of_a_ruler(name: str, value: Fraction, text: str) -> None:
    design = parse_design(TEXT)
    assert measure_text(design, name, value) == text
    assert resolve(parse_design(with_measures(design, {name: text}))).measures[name] == value


def test_a_count_stays_a_count() -> None:
    text = with_measures(parse_design(TEXT), {"count": "6"})
    assert changed_lines(TEXT, text) == [
        (
            "count   = { number = 5, most = 9 }\n",
            "count   = { number = 6, most = 9 }\n",
        )
    ]


def test_a_measure_that_is_not_stated_is_added() -> None:
    old = 'format = 1\nname = "steps"\nunits = "mm"\npattern = "side-steps"\n\n'
    old += "[measures]\ntread = 31  # deep\n\n[stock.card]\nmaterial = 'card-200'\n"
    text = with_measures(parse_design(old), {"riser": "33"})
    assert [line for line in difflib.ndiff(old.splitlines(), text.splitlines())
            if line[0] != " "] == ["+ riser = 33"]  # fmt: skip
    assert resolve(parse_design(text)).measures["riser"] == 33
    bare = old[: old.index("[measures]")]
    assert (
        resolve(parse_design(with_measures(parse_design(bare), {"riser": "33"}))).measures["riser"]
        == 33
    )


def test_lines_may_end_as_they_like() -> None:
    text = TEXT.replace("\n", "\r\n")
    new = with_measures(parse_design(text), {"bare": "36", "deep": "31"})
    assert new == text.replace("= 35 ", "= 36 ").replace("is = 30", "is = 31")


def test_a_design_built_in_python_is_written_out() -> None:
    read = parse_design(TEXT)
    built = Design(name="built", measures=measures(width=148), pieces=read.pieces)
    text = with_measures(built, {"width": "150"})
    assert text == write_design(built).replace("148", "150")


@given(st.fractions(min_value=-500, max_value=500), st.sampled_from(["bare", "ruler", "tenths"]))
def test_what_is_written_is_read_as_the_same(value: Fraction, name: str) -> None:
    design = parse_design(TEXT)
    text = with_measures(design, {name: measure_text(design, name, value)})
    assert resolve(parse_design(text)).measures[name] == value


MIXED = """\
format = 1
name   = "Mixed"
units  = "mm"

[variant.small]            # before all that it changes
measures = { gutter = 40 }

[[piece]]
name = "card"
outline = { polygon = [
  [0, 0], ["width", 0],    # rows that look like heads
  ["width", 100], [0, 100],
] }

  [[piece.slit]]
  points = [[20, 40], [20, 60]]

  [[piece.fold]]           # folds and slits by turns, as the hand goes
  sense = "valley"
  points = [[0, "gutter"], [20, "gutter"]]

  [[piece.slit]]
  points = [[60, 40], [60, 60]]

  [[piece.fold]]
  sense = "valley"
  points = [[60, "gutter"], ["width", "gutter"]]

[measures]                 # last of all
gutter = 50
width  = 80                # of the card
"""


class TestTablesStayInTheirOrder:
    """Tables of one kind that stand apart are not moved together."""

    @pytest.mark.parametrize("newline", ["\n", "\r\n"])
    def test_a_measure(self, newline: str) -> None:
        text = MIXED.replace("\n", newline)
        new = with_measures(parse_design(text), {"width": "90"})
        assert new == text.replace("width  = 80 ", "width  = 90 ")

    def test_a_measure_of_a_variant(self) -> None:
        new = with_measures(parse_design(MIXED), {"gutter": "45"}, "small")
        assert new == MIXED.replace("gutter = 40", "gutter = 45")

    def test_a_measure_that_is_new(self) -> None:
        new = with_measures(parse_design(MIXED), {"spare": "5"})
        assert new == MIXED + "spare = 5\n"

    def test_the_first_measure_of_all(self) -> None:
        text = MIXED[: MIXED.index("[measures]")].replace('"gutter"', "50").replace('"width"', "80")
        text = text.replace("measures = { gutter = 40 }\n", "")
        new = with_measures(parse_design(text), {"spare": "5"})
        assert new == f"{text}\n[measures]\nspare = 5\n"

    def test_a_mirror(self) -> None:
        design = parse_design(MIXED)
        new = with_mirrors(MIXED, replace(design, mirrored=True))
        assert parse_design(new) == replace(design, mirrored=True)
        row = f"mirrored = true # {MIRRORED_COMMENT}"
        assert new == MIXED.replace('units  = "mm"\n', f'units  = "mm"\n{row}\n')
