"""The factor for a finished size: closed forms, what fits inside, and what cannot be reached."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import Design, load_pattern, parse_design, read_design
from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.patterns import starter
from foldwright.problems import DesignError
from foldwright.proving import prove_design
from foldwright.proving.finished_size import OutOfReach, Sides, fitted, sized

DESIGNS = Path(__file__).parents[1] / "designs"
HARBOUR = DESIGNS / "harbour-steps.toml"

SIZES = st.fractions(5, 500, max_denominator=16)


def half_fold(measures: str, width: str = "w", height: str = "h", more: str = "") -> Design:
    return parse_design(
        f"""\
format = 1
name = "Half"
units = "mm"
[measures]
{measures}
[[piece]]
name = "base"
outline = {{ rectangle = ["{width}", "{height}"] }}
  [[piece.fold]]
  sense  = "valley"
  points = [[0, "({height}) / 2"], ["{width}", "({height}) / 2"]]
{more}"""
    )


@settings(deadline=None)
@given(w=SIZES, h=SIZES, width=SIZES, height=SIZES)
def test_sides_in_proportion(w: Fraction, h: Fraction, width: Fraction, height: Fraction) -> None:
    def sides(factor: Fraction) -> Sides:
        return w * factor, h * factor

    fit = fitted(sides, (width, height))
    # The long side of what is asked for lies along the long side of the card.
    long, short = max(width, height), min(width, height)
    if w != h:
        assert fit.factor == min(long / max(w, h), short / min(w, h))
    assert set(fit.asked) == {width, height}
    assert all(r <= a for r, a in zip(fit.reached, fit.asked, strict=True))
    assert any(r == a for r, a in zip(fit.reached, fit.asked, strict=True))


@settings(deadline=None)
@given(w=SIZES, fixed=SIZES, width=SIZES)
def test_a_part_that_stays(w: Fraction, fixed: Fraction, width: Fraction) -> None:
    def sides(factor: Fraction) -> Sides:
        return w * factor + fixed, Fraction(1)

    if width <= fixed + w / 32:
        return
    fit = fitted(sides, (width, Fraction(1)))
    assert fit.factor == (width - fixed) / w
    assert fit.met


@settings(deadline=None, max_examples=30)
@given(step=st.sampled_from((1, 5)), width=st.integers(20, 300))
def test_a_side_on_a_ruler_is_the_last_line_inside(step: int, width: int) -> None:
    def sides(factor: Fraction) -> Sides:
        return Fraction(round(100 * factor / step) * step), 3 * factor

    fit = fitted(sides, (Fraction(width), Fraction(19)))
    assert fit.reached[0] == width // step * step
    # The next factor that is larger by a thousandth of a per cent does not fit any more.
    assert sides(fit.factor * Fraction(1000001, 1000000))[0] > width or fit.reached[0] == width


def test_a_curve_is_searched() -> None:
    fit = fitted(lambda factor: (factor * factor * 50, Fraction(1)), (Fraction(100), Fraction(1)))
    assert float(fit.factor) == pytest.approx(2**0.5, rel=1e-6)
    assert 0 <= 100 - fit.reached[0] < Fraction(1, 1000)


def test_the_card_of_two_editions_of_one_book_of_sizes() -> None:
    # ISO 216: A5 is 148 x 210 mm, folded once A6, 105 x 148 mm; a half of it is A7, 74 x 105 mm.
    design = read_design(HARBOUR)
    found = sized(design, size="A7", materials=["card-200"])
    assert found.fit is not None
    assert found.fit.factor == Fraction(74, 105)
    assert [*found.fit.asked] == [105, 74]
    assert found.fit.reached[1] == 74
    assert float(found.fit.reached[0]) == pytest.approx(148 * 74 / 105, abs=1e-6)
    (told,) = (one for one in found.findings if one.rule == "size-not-met")
    assert "it comes to 104.305 mm by 74 mm, which is 0.695 mm less in width" in told.message
    # Of all measures the width alone lies along the width.
    assert told.mend == 'accept it, or make "width" 105 mm'
    met = {**found.overrides, "width": "105"}
    as_told = prove_design(design, materials=["card-200"], overrides=met).closed
    assert as_told is not None
    assert (as_told.width_mm, as_told.height_mm) == (105, 74)
    proof = prove_design(design, materials=["card-200"], overrides=found.overrides)
    assert proof.verdict is Verdict.CLOSES
    assert proof.closed is not None
    assert proof.closed.height_mm == 74.0
    assert [one.exact for one in proof.pieces[0].closings] == [True]


@pytest.mark.parametrize("size", ["105 x 74", "74x105", "74 mm x 105 mm", "2.9 in x 105 mm"])
def test_either_way_round(size: str) -> None:
    found = sized(read_design(HARBOUR), size=size)
    assert found.fit is not None
    assert found.fit.asked[0] > found.fit.asked[1]


def test_inches() -> None:
    found = sized(read_design(HARBOUR), size="4 1/4 x 5 1/2 in", variant="inch")
    assert found.fit is not None
    # 5 3/4 in wide: 5.5 / 5.75 = 22/23.
    assert found.fit.factor == Fraction(22, 23)
    assert found.overrides["width"] == "5 1/2"
    (told,) = (one for one in found.findings if one.rule == "size-not-met")
    assert "asked for a closed size of 5 1/2 in by 4 1/4 in" in told.message


def test_a_side_of_several_measures_names_them_all_and_one_with_a_value() -> None:
    pattern = load_pattern("accordion")
    design = parse_design(starter(pattern, "card", Unit.MM), "card.toml")
    found = sized(design, size="60 x 200")
    assert found.fit is not None
    (told,) = (one for one in found.findings if one.rule == "size-not-met")
    side = 0 if "less in width" in told.message else 1
    said = re.fullmatch(r'accept it, or make "(\w+)" (\S+) mm.*', told.mend)
    assert said is not None
    name, value = said.groups()
    closed = prove_design(design, overrides={**found.overrides, name: f"{value} mm"}).closed
    assert closed is not None
    assert (closed.width_mm, closed.height_mm)[side] == float(found.fit.asked[side])


def test_several_pieces() -> None:
    found = sized(read_design(DESIGNS / "everything.toml"), size="100 x 80", materials=["card-200"])
    assert found.fit is not None
    assert found.fit.factor == Fraction(5, 6)
    assert found.fit.reached[0] == 100


def test_both_sides_met_by_one_factor() -> None:
    found = sized(half_fold("w = 148\nh = 210"), size="111 x 78.75")
    assert found.fit is not None
    assert (found.fit.factor, found.fit.met, found.findings) == (Fraction(3, 4), True, ())


@pytest.mark.parametrize("size", ["", "105", "105 x", "0 x 10", "-1 x 5", "a x b", "105 x 148 ft"])
def test_what_is_no_size(size: str) -> None:
    with pytest.raises(DesignError) as caught:
        sized(read_design(HARBOUR), size=size)
    assert [one.rule for one in caught.value.problems] == ["unfit-size"]


def test_an_envelope_that_is_no_sheet_is_told_with_its_sides() -> None:
    with pytest.raises(DesignError) as caught:
        sized(read_design(HARBOUR), size="DL")
    (problem,) = caught.value.problems
    assert problem.rule == "unfit-size"
    assert problem.mend.startswith('"DL" is an envelope, 110 x 220 mm: write the two sides')


def test_a_sheet_whose_name_an_envelope_has_too_is_told_in_inches() -> None:
    text = half_fold("w = 5\nh = 7").source
    assert text is not None
    inches = parse_design(text.text.replace('"mm"', '"in"'))
    (told,) = [one for one in sized(inches, size="A6").findings if one.rule == "size-of-a-sheet"]
    assert '"A6" is taken as the ISO sheet of ' in told.message
    assert "an envelope of 4 3/4 in by 6 1/2 in has that name too" in told.message
    metric = sized(half_fold("w = 148\nh = 210"), size="A6").findings
    assert "size-of-a-sheet" not in {one.rule for one in metric}


def test_a_size_that_follows_nothing_names_what_is_fixed() -> None:
    fixed = half_fold('w = { is = 100, scale = "fixed" }\nh = { is = 140, scale = "fixed" }')
    with pytest.raises(DesignError) as caught:
        sized(fixed, size="50 x 50")
    (found,) = caught.value.problems
    assert found.rule == "size-does-not-follow"
    assert '"w", "h" are fixed' in found.message
    with pytest.raises(DesignError) as caught:
        sized(half_fold("spare = 3", "100", "140"), size="50 x 50")
    assert "no length in [measures] reaches its outline" in caught.value.problems[0].message


def test_a_size_out_of_reach() -> None:
    with pytest.raises(DesignError) as caught:
        sized(half_fold('w = { is = 100, scale = "fixed" }\nh = 140'), size="80 x 50")
    (found,) = caught.value.problems
    assert found.rule == "size-out-of-reach"
    assert "down to 80 mm by 50 mm: its width stays 100 mm" in found.message
    assert '"w"' in found.mend
    with pytest.raises(DesignError) as caught:
        sized(half_fold("w = 100\nh = { is = 140, least = 120 }"), size="90 x 50")
    (found,) = caught.value.problems
    assert "at the least it is" in found.message
    with pytest.raises(OutOfReach):
        fitted(lambda factor: (factor + 10, factor + 10), (Fraction(10), Fraction(10)))


def test_a_size_at_which_the_lines_cannot_be_judged_names_the_line() -> None:
    """A place that is written out lies on another panel once the rest has grown past it."""
    panel = '[[piece.panel]]\nname = "{}"\nat = [5, {}]\n'
    named = half_fold("w = 100\nh = 140", more=panel.format("floor", 5) + panel.format("lid", 75))
    with pytest.raises(DesignError) as caught:
        sized(named, size="200 x 140")
    (found,) = caught.value.problems
    assert found.rule == "size-does-not-follow"
    assert 'its lines cannot be judged: "lid" at (5, 75) mm names a panel' in found.message
    assert found.place is not None
    assert found.place.line == 16
    assert "--scale" in found.mend


def test_a_factor_that_makes_a_measure_too_long_is_told_once_and_of_the_factor() -> None:
    with pytest.raises(DesignError) as caught:
        sized(half_fold("w = 100\nh = 140"), factor=Fraction(200))
    (found,) = caught.value.problems
    assert found.rule == "length-too-large"
    assert found.message == 'the measure "h", scaled, is longer than 10 m'
    assert found.place is not None
    assert found.place.file == "--scale"
