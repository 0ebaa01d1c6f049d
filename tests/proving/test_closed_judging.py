"""What is said of the closed card: every rule of that stage, and the measure that ends a spill."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from foldwright.design import parse_design, resolve
from foldwright.measures import Ruler, Unit
from foldwright.panels import assemble, divide
from foldwright.problems import DesignError, Problem, Severity
from foldwright.proving import prove_design
from foldwright.proving.closed_judging import room_findings, spill_findings, thickness_findings
from foldwright.proving.literals import Length
from foldwright.proving.spill_mends import SpillMend, spill_mends
from foldwright.stacking.order import Undecided, ply_order
from foldwright.stacking.room import held_open
from foldwright.stacking.spill import Spilled, covers_of, spill_of
from tests.stacking.closed_cards import Card, strip_card
from tests.stacking.stacks import closed_cover

CARD = {"card": 0.25}
MAT = '[[mat]]\non = "card"\nmargin = {}\nstock = "print"\n[stock.print]\n'
GEM = '[[extra]]\nname = "gem"\non = "card/p1"\n{}\n'
LIMIT = "[limits]\nthickness = {}\n"


def thick(card: Card) -> list[Problem]:
    return list(thickness_findings(card.thickness, card.read[1].limits, card.assembly, Unit.MM))


def spill(card: Card, *, too_large: bool = False) -> list[Problem]:
    return list(
        spill_findings(
            card.spilled,
            card.cover,
            covers_of(card.assembly),
            (),
            card.assembly,
            Unit.MM,
            too_large=too_large,
        )
    )


def room(card: Card) -> list[Problem]:
    found = held_open(card.assembly, card.cover, card.order, card.thickness)
    return list(room_findings(found, card.assembly, Unit.MM))


# Thickness


def test_a_card_that_is_too_thick() -> None:
    gem = GEM.format("at = [30, 20]\nsize = 4\nheight = 2")
    text = strip_card([50, 50], "V", MAT.format(3) + gem + LIMIT.format(2.5))
    (found,) = thick(Card(text, {"card": 0.25, "print": 0.2}))
    assert (found.rule, found.severity, found.piece) == ("closed-too-thick", Severity.STOP, "card")
    assert found.measure_mm == pytest.approx(0.4)
    assert found.at == pytest.approx((30, 20), abs=1e-6)
    assert found.message == (
        'the closed card is 2.9 mm thick at (30, 20) mm of panel "card/p1" and may be 2.5 mm: '
        '2 plies, 2 mats and extra "gem" lie there'
    )
    assert found.mend == 'move extra "gem" to where fewer plies lie, or raise the limit'


@pytest.mark.parametrize(("limit", "stops"), [(0.5, 0), (0.4995, 0), (0.498, 1), (0.4, 1)])
def test_the_limit_is_kept_to_the_micrometre(limit: float, stops: int) -> None:
    found = thick(Card(strip_card([50, 50], "V", LIMIT.format(limit)), CARD))
    assert [one.rule for one in found] == ["closed-too-thick"] * stops
    if found:
        assert found[0].mend == "use thinner paper, leave out what lies there, or raise the limit"
        assert "2 plies lie there" in found[0].message


def test_a_limit_that_cannot_be_judged() -> None:
    (found,) = thick(Card(strip_card([50, 50], "V", LIMIT.format(2)), {}))
    assert (found.rule, found.severity) == ("thickness-unknown", Severity.NOTE)
    assert found.message == (
        "the thickness of the closed card is not known, so its limit is not judged: "
        'the stock "card" has no material'
    )
    # Without a limit the stock alone is told elsewhere.
    assert thick(Card(strip_card([50, 50], "V"), {})) == []


def test_what_is_known_can_be_too_thick_already() -> None:
    text = strip_card([50, 50], "V", MAT.format(3) + LIMIT.format(0.4))
    stop, note = thick(Card(text, CARD))
    assert (stop.rule, note.rule) == ("closed-too-thick", "thickness-unknown")
    assert "is at least 0.5 mm thick" in stop.message
    assert note.message == (
        'the thickness of the closed card is not known: the stock "print" has no material'
    )


def test_extras_of_which_something_is_missing() -> None:
    text = strip_card(
        [50, 50], "V", GEM.format("at = [30, 20]\nsize = 4") + GEM.format("height = 2")
    )
    (found,) = thick(Card(text.replace('name = "gem"', "", 1), CARD))
    assert found.message.endswith('extra 1 has no height, extra "gem" has no place')
    assert found.mend == "give each extra a height and give each extra an at"
    (bare,) = thick(Card(strip_card([50, 50], "V", GEM.format("at = [9, 9]\nheight = 2")), CARD))
    assert (bare.rule, bare.severity) == ("extra-without-size", Severity.NOTE)


# Spill


def test_what_sticks_out_is_warned_of() -> None:
    card = Card(strip_card([40, 40, 55, 55, 40, 40], "VMVMV"), {})
    (found,) = spill(card)
    assert (found.rule, found.severity, found.measure_mm) == ("spills", Severity.WARN, 15)
    assert found.message == (
        'in the closed card panel "card/p3" sticks out of panel "card/p1" by 15 mm at '
        '(135, 0) mm; so does "card/p4"'
    )
    assert found.mend == ('shorten panel "card/p3" there by 15 mm, or make panel "card/p1" larger')
    (stop,) = spill(card, too_large=True)
    assert stop.severity is Severity.STOP


def test_a_spill_with_a_mend() -> None:
    card = Card(strip_card([50, 60], "V", covers=[0]), {})
    mend = SpillMend(
        measure="back", from_mm=Fraction(60), to_mm=Fraction(50), steps=Fraction(10), spill_mm=0.0
    )
    (found,) = spill_findings(
        card.spilled, card.cover, (), (mend,), card.assembly, Unit.MM, too_large=False
    )
    assert found.mend == "change back from 60 mm to 50 mm"


def test_no_cover_is_said() -> None:
    card = Card(strip_card([50, 60], "V"), {})
    unknown = spill_of(card.cover, Undecided(guesses=1, why="it was too much"))
    (found,) = spill_findings(unknown, card.cover, (), (), card.assembly, Unit.MM, too_large=False)
    assert (found.rule, found.severity) == ("spill-not-judged", Severity.NOTE)
    assert found.message.endswith("is not judged: the order of its plies is not decided")


def test_a_cover_that_is_no_part_of_the_card() -> None:
    lid = '[[piece]]\nname = "lid"\noutline = { rectangle = [9, 9] }\n[[piece.panel]]\n'
    lid += 'name = "lid"\nat = [1, 1]\ncover = true\n'
    card = Card(strip_card([50, 50], "V", lid), {})
    (found,) = spill(card)
    assert (found.rule, found.severity, found.piece) == ("no-such-cover", Severity.WARN, "lid")


@pytest.mark.parametrize(
    ("outline", "severity"),
    [
        # A notch in the middle of the rim, and a corner cut off.
        ("[[0, 0], [100, 0], [100, 60], [30, 60], [25, 40], [20, 60], [0, 60]]", Severity.NOTE),
        ("[[0, 0], [100, 0], [100, 60], [20, 60], [0, 50]]", Severity.WARN),
    ],
)
def test_what_shows_beside_the_cover(outline: str, severity: Severity) -> None:
    text = strip_card([50, 50], "V", covers=[0]).replace(
        "{ rectangle = [100.0, 60] }", f"{{ polygon = {outline} }}"
    )
    (found,) = spill(Card(text, {}))
    assert (found.rule, found.severity) == ("shows-beside", severity)


# Room


def test_a_fold_that_is_held_open() -> None:
    gem = GEM.format("at = [46, 20]\nsize = 4\nheight = 3")
    (found,) = room(Card(strip_card([50, 50], "V", gem), CARD))
    assert (found.rule, found.severity) == ("fold-held-open", Severity.WARN)
    assert found.measure_mm == pytest.approx(1)
    assert found.message == (
        'extra "gem" holds fold 1 open: 3 mm high and only 2 mm from it at (48, 20) mm of panel '
        '"card/p1"'
    )
    assert found.mend == (
        'keep extra "gem" at least 3 mm from fold 1, or put it where no paper folds over it'
    )


def test_a_mat_too_near_to_a_fold() -> None:
    text = strip_card([50, 50], "V", MAT.format(0.5))
    (found,) = room(Card(text, {"card": 0.25, "print": 0.2}))
    assert (found.rule, found.severity) == ("fold-held-open", Severity.NOTE)
    assert found.message.startswith("mat 1 may hold fold 1 open: 0.4 mm high and only 0.5 mm")
    assert "at least 1 mm" in found.mend


# The measure that ends a spill

STAIR = """
format = 1
name = "Pebble steps"
units = "mm"
[measures]
page = {{ is = {page}, most = {most} }}
strip = 50
tread = 30
riser = 35
[[piece]]
name = "base"
outline = {{ rectangle = [148, "2 * page"] }}
  [[piece.slit]]
  points = [["strip", "page - 2*tread"], ["strip", "page + 2*riser"]]
  [[piece.band]]
  name = "steps"
  from = ["strip", "page + 2*riser"]
  to = [148, "page + 2*riser"]
  walk = ["tread", "riser", "tread", "riser"]
  first = "valley"
  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [[0, "page"], ["strip", "page"]]
"""
Trial = Callable[[str, Fraction], float | None]


def trial_of(text: str) -> Trial:
    """The spill of a design, worked out anew with one measure at another value."""
    design = parse_design(text)

    def trial(name: str, value: Fraction) -> float | None:
        try:
            resolved = resolve(design, {}, {name: f"{float(value)} mm"}, None)
        except DesignError:
            return None
        divisions = {piece.name: divide(piece) for piece in resolved.pieces}
        if any(division.problems for division in divisions.values()):
            return None
        assembly = assemble(divisions, ())
        cover = closed_cover(assembly)
        found = spill_of(cover, ply_order(assembly, cover))
        return found.mm if isinstance(found, Spilled) else None

    return trial


def lengths(page: int, most: int) -> tuple[Length, ...]:
    return (
        Length(name="page", value=Fraction(page), most=Fraction(most)),
        Length(name="strip", value=Fraction(50)),
        Length(name="tread", value=Fraction(30)),
        Length(name="riser", value=Fraction(35)),
    )


def test_the_measures_that_end_a_spill() -> None:
    """The steps reach 2 * 35 + 30 = 100, the page is 92.

    The page may be 8 longer, a tread 8 shorter, or a riser 4 lower, since it counts twice.
    """
    trial = trial_of(STAIR.format(page=92, most=140))
    found = spill_mends(lengths(92, 140), 8.0, trial, Ruler.MM)
    assert [(one.measure, one.to_mm, one.steps) for one in found] == [
        ("riser", Fraction(31), Fraction(4)),
        ("page", Fraction(100), Fraction(8)),
        ("tread", Fraction(22), Fraction(8)),
    ]
    assert [one.spill_mm for one in found] == [0.0, 0.0, 0.0]


def test_a_limit_of_a_measure_is_kept() -> None:
    trial = trial_of(STAIR.format(page=92, most=99))
    found = spill_mends(lengths(92, 99), 8.0, trial, Ruler.HALF_MM)
    assert [(one.measure, one.to_mm) for one in found] == [
        ("riser", Fraction(31)),
        ("tread", Fraction(22)),
    ]


@pytest.mark.parametrize("ruler", [Ruler.MM, Ruler.EIGHTH_IN, Ruler.SIXTEENTH_IN])
@pytest.mark.parametrize("page", [86, 92, 97])
def test_no_fewer_steps_would_do(page: int, ruler: Ruler) -> None:
    """Every line of the ruler nearer than the one that is told, tried one by one."""
    trial = trial_of(STAIR.format(page=page, most=300))
    spill_mm = trial("page", Fraction(page))
    assert spill_mm == pytest.approx(100 - page)
    assert spill_mm is not None
    found = spill_mends(lengths(page, 300), spill_mm, trial, ruler)
    assert {one.measure for one in found} >= {"page", "tread"}
    for one in found:
        assert one.to_mm % ruler.step == 0
        low, high = sorted((one.from_mm, one.to_mm))
        between = (ruler.step * n for n in range(int(low / ruler.step), int(high / ruler.step) + 2))
        for value in between:
            if low < value < high:
                left = trial(one.measure, value)
                assert left is None or left > 0.004


def test_a_spill_that_passes_the_limit_of_the_closed_size_is_mended_too() -> None:
    """The closed card is 100 high and may be 95: it is a stop, and the riser ends it."""
    text = STAIR.format(page=92, most=140) + "[limits]\nclosed = [148, 95]\n"
    proof = prove_design(parse_design(text))
    (found,) = [one for one in proof.findings if one.rule == "spills"]
    assert found.severity is Severity.STOP
    assert found.measure_mm == pytest.approx(8)
    assert found.mend == "change riser from 35 mm to 31 mm"
