"""Which envelope a card gets: standard ones, blanks on the maker's sheets, what fails and how."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Form
from foldwright.dressing.envelopes import (
    EnvelopeAnswer,
    blank_of,
    envelope_of,
    envelope_piece,
)
from foldwright.dressing.four_flap import FourFlap
from foldwright.dressing.model import Kind
from foldwright.dressing.room import Room
from foldwright.measures import Unit
from foldwright.profiles.paper import by_area, envelopes
from foldwright.proving import Proof
from tests.dressing.envelope_designs import card

STANDARD = 'form = "standard"'


def answer(proof: Proof) -> EnvelopeAnswer:
    found = envelope_of(proof)
    assert found is not None
    return found


def told(found: EnvelopeAnswer) -> list[tuple[str, str]]:
    return [(one.rule, str(one.severity)) for one in found.findings]


@pytest.mark.parametrize(
    ("sides", "units", "name"),
    [
        # What the standards are made for (ISO 269: C6 holds A6, C5 A5; the announcement
        # series by its lists of enclosures).
        (("105", "148"), "mm", "C6"),
        (("148", "210"), "mm", "C5"),
        (("99", "210"), "mm", "DL"),
        (("5", "7"), "in", "A7"),
        (("4 1/2", "6 1/4"), "in", "A6"),
        (("5", "5"), "in", "130 mm square"),
        (("6", "6"), "in", "160 mm square"),
    ],
)
def test_the_smallest_standard_envelope(sides: tuple[str, str], units: str, name: str) -> None:
    found = answer(card(STANDARD, width=sides[0], height=sides[1], units=units))
    if name.endswith("square"):
        # Any square or oblong of no larger area would do; none is smaller.
        name = found.name or ""
    assert found.name == name
    assert found.findings == ()
    assert found.play_mm is not None
    assert min(found.play_mm) > 0
    size = envelopes()[name]
    smaller = [one for one in envelopes().values() if by_area(one) < by_area(size)]
    long, short = found.room.needed_mm
    assert not any(one.takes(long, short) for one in smaller)


def test_room_is_card_clearance_and_thickness() -> None:
    """3 mm each side, and the depth on the width and on the height (common practice, no source)."""
    found = answer(card(STANDARD))
    # Two plies of 0.23 mm.
    assert found.room.thickness_mm == pytest.approx(0.46)
    assert found.room.needed_mm == pytest.approx((148 + 6 + 0.46, 105 + 6 + 0.46))
    wide = answer(card(f"{STANDARD}\nclearance_each_side = 5"))
    assert wide.room.needed_mm == pytest.approx((148 + 10 + 0.46, 105 + 10 + 0.46))
    # C6 is 114 mm high.
    assert wide.name != "C6"
    flat = answer(card(STANDARD, material=""))
    assert flat.room.needed_mm == pytest.approx((154, 111))
    assert ("envelope-for-a-flat-card", "note") in told(flat)


def test_an_extra_that_reaches_past_the_paper_needs_room() -> None:
    ribbon = (
        '\n[[extra]]\non = "card/panel 1"\nat = [20, 0]\nsize = [10, 16]\nheight = 0.5\nmass = 1\n'
    )
    proof = card(STANDARD, more=ribbon)
    found = answer(proof)
    # It hangs 8 mm below the lower edge.
    assert found.room.card_mm == pytest.approx((156, 105), abs=1e-3)
    assert found.room.thickness_mm == pytest.approx(0.96)


def test_a_flat_card_goes_by_the_list_of_enclosures() -> None:
    """A 5 x 7 in card of 0.46 mm needs 133.46 mm by the rule, and an A7 envelope is 133.35 high."""
    found = answer(card(STANDARD, width="5", height="7", units="in"))
    assert found.room.needed_mm[1] > 133.35
    assert found.name == "A7"
    # A clearance that the design asks for is kept, and thick cards are no flat ones.
    own = answer(card(f'{STANDARD}\nclearance_each_side = "1/8 in"', width="5", height="7",
                      units="in"))  # fmt: skip
    assert own.name != "A7"
    gem = '\n[[extra]]\non = "card/panel 1"\nat = [2, 2]\nsize = "1/2"\nheight = "1/8"\nmass = 1\n'
    thick = answer(card(STANDARD, width="5", height="7", units="in", more=gem))
    assert thick.name not in ("A7", None)


def test_none_takes_it() -> None:
    found = answer(card(STANDARD, width="330", height="330"))
    assert (found.name, found.inside_mm, found.pieces) == (None, None, ())
    (finding,) = found.findings
    assert (finding.rule, str(finding.severity)) == ("envelope-no-standard", "warn")
    # The one that lacks least is named, with what it lacks on its worse side.
    lacks = {
        name: max(336.46 - float(one.long_mm), 336.46 - float(one.short_mm))
        for name, one in envelopes().items()
    }
    nearest = min(lacks, key=lambda name: lacks[name])
    assert finding.measure_mm == pytest.approx(lacks[nearest])
    assert f"the nearest, {nearest}," in finding.message
    assert "make the card 12.46 mm smaller" in finding.mend


def test_one_is_asked_for_by_name() -> None:
    assert answer(card(f'{STANDARD}\nstandard = "C5"')).name == "C5"
    small = answer(card(f'{STANDARD}\nstandard = "DL"'))
    (finding,) = small.findings
    assert (finding.rule, str(finding.severity)) == ("envelope-too-small", "stop")
    assert finding.measure_mm == pytest.approx(111.46 - 110)
    assert finding.mend.startswith("set clearance_each_side to 2.27 mm, or make the card 1.46 mm")
    # The clearance that it names is enough.
    mended = answer(card(f'{STANDARD}\nstandard = "DL"\nclearance_each_side = 2.27'))
    assert (mended.name, mended.findings) == ("DL", ())


@pytest.mark.parametrize("form", ["square-blank", "four-flap"])
def test_a_blank_on_the_sheet_of_its_stock(form: str) -> None:
    found = answer(card(f'form = "{form}"\nstock = "thin"', width="90", height="120"))
    assert (found.sheet, found.findings) == ("A4", ())
    (made,) = found.pieces
    assert (made.kind, made.stock, made.count, made.letter) == (Kind.ENVELOPE, "thin", 1, "")
    assert found.blank_mm == (made.width_mm, made.height_mm)
    left, bottom, right, top = made.piece.outline.box()
    assert (right - left, top - bottom) == pytest.approx(found.blank_mm, abs=1e-6)
    assert envelope_piece(found) is made.piece
    # Paper of 120 g/m²: its mass is that of its net, which is less than that of its box.
    assert found.mass_g is not None
    assert 0.5 < found.mass_g / (found.blank_mm[0] * found.blank_mm[1] * 120 / 1e6) < 1


def test_a_blank_that_fits_no_sheet_says_what_to_change() -> None:
    """A square card of 148 mm needs a square of about 230 mm, which no A4 has."""
    found = answer(card('form = "square-blank"\nstock = "thin"', width="148", height="148"))
    (finding,) = found.findings
    assert (finding.rule, str(finding.severity), found.sheet) == ("blank-no-sheet", "warn", None)
    assert found.blank_mm is not None
    assert finding.measure_mm == pytest.approx(found.blank_mm[0] - 210)
    assert finding.mend == "use a sheet of 12 x 12 in"
    # A long card has a four-flap blank that is smaller the other way.
    long = answer(card('form = "square-blank"\nstock = "thin"', width="90", height="200"))
    (finding,) = long.findings
    assert 'write form = "four-flap"' in finding.mend
    other = answer(card('form = "four-flap"\nstock = "thin"', width="90", height="200"))
    assert (other.sheet, other.findings) == ("A4", ())
    # Where less clearance is enough the clearance is named, and it is.
    near = answer(card('form = "square-blank"\nstock = "thin"', width="110", height="158"))
    (finding,) = near.findings
    clearance = finding.mend.partition(" mm")[0].removeprefix("set clearance_each_side to ")
    less = card(
        f'form = "square-blank"\nstock = "thin"\nclearance_each_side = {clearance}',
        width="110",
        height="158",
    )
    assert answer(less).sheet == "A4"
    # Without a sheet of one's own the smallest that takes it is named.
    free = answer(card('form = "square-blank"', width="148", height="148"))
    assert (free.sheet, free.findings) == ("12 x 12 in", ())


def test_flaps_that_do_not_meet_are_told() -> None:
    found = answer(card('form = "square-blank"\ncorner = 0', width="120", height="120"))
    assert told(found) == [("envelope-flaps-short", "warn")]
    (finding,) = found.findings
    assert finding.mend.startswith("set corner to ")
    corner = finding.mend.removeprefix("set corner to ").removesuffix(" mm")
    mended = answer(card(f'form = "square-blank"\ncorner = {corner}', width="120", height="120"))
    assert mended.findings == ()


def test_a_thick_card_gets_walls() -> None:
    foam = '\n[[extra]]\non = "card/panel 1"\nat = [50, 50]\nsize = 20\nheight = 6\nmass = 2\n'
    found = answer(card('form = "four-flap"', more=foam))
    assert found.room.thickness_mm == pytest.approx(6.46)
    # A millimetre of air, on the ruler of half millimetres.
    assert found.depth_mm == 7.5
    # The walls have room for the thickness, so the pocket need not.
    assert found.inside_mm == pytest.approx((154, 111))
    assert answer(card('form = "square-blank"', more=foam)).inside_mm == (160.5, 117.5)


def test_no_envelope_no_answer() -> None:
    assert envelope_of(card('form = "none"')) is None


ROOMS = st.builds(
    Room,
    card_mm=st.tuples(st.floats(60, 300), st.floats(60, 300)).map(
        lambda sides: (max(sides), min(sides))
    ),
    thickness_mm=st.floats(0, 12),
    clearance_mm=st.floats(0, 10),
)


@settings(deadline=None)
@given(ROOMS, st.sampled_from([Form.SQUARE_BLANK, Form.FOUR_FLAP]), st.sampled_from(list(Unit)))
def test_the_pocket_takes_the_card(room: Room, form: Form, units: Unit) -> None:
    blank = blank_of(form, room, 12.0, units)
    thick = room.thickness_mm or 0.0
    walls = isinstance(blank, FourFlap) and blank.depth_mm > 0
    if isinstance(blank, FourFlap) and walls:
        assert blank.depth_mm > thick
    for pocket, side in zip((blank.long_mm, blank.short_mm), room.card_mm, strict=True):
        free = pocket - side - 2 * room.clearance_mm - (0.0 if walls else thick)
        # No more than a step of the ruler is given away.
        step = Fraction(127, 80) if units is Unit.IN else Fraction(1, 2)
        assert -1e-3 <= free <= float(step)
        steps = pocket / float(step)
        assert steps == pytest.approx(round(steps), abs=1e-9)
    assert blank.overlap_mm >= 10
