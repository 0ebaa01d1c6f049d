"""This module gives a card its envelope: the smallest standard one, or one that is cut for it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from foldwright.profiles.paper import Size, by_area, envelopes, sold_sheet, stock_sheets

from ..design.pieces import Envelope, Form, Piece
from ..geometry.moments import moments
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..problems import Problem, problem
from ..proving import Proof, profile_of
from .four_flap import FourFlap
from .model import Kind, MadePiece
from .room import Room, room_of
from .square_blank import CORNER_MM, OVERLAP_MM, SquareBlank
from .wording import size_text

WALLS_FROM_MM = 3.0
"""A four-flap envelope for a card as thick as this gets walls (common practice, no source)."""

AIR_MM = 1.0
"""By how much the walls are higher than the card is thick (common practice, no source)."""

FLAT_CARD_MM = 1.0
"""A card up to this thickness is put into an envelope by the lists of envelopes and their
enclosures, which are for flat cards (common practice, no source)."""

# The paper of a bought envelope where the design does not say: text paper of 120 g/m², 0.15 mm
# thick (common practice, no source).
USUAL_GRAMMAGE = 120.0
USUAL_CALIPER_MM = 0.15

# A bought envelope has so much more paper than its two faces, and so many plies at its seams.
# 0.059 m² for an A7 envelope, whose faces have 0.049 m², is an assumption of the trade.
SEAMS = 1.2
STANDARD_PLIES = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class EnvelopeAnswer:
    """The envelope of a card.

    `inside_mm` is its pocket, the longer side first, `play_mm` by how much that is longer and
    higher than the card.  `name` is that of a standard envelope, and None too where none takes
    the card; the answer then has no pocket.  An envelope of one's own has `pieces`, and `sheet`
    names the one that its blank is cut from: the maker's, or the smallest in which such paper is
    sold; None where none takes it.  `depth_mm` is how
    high its walls are.  `plies` lie on each other at its thickest place.  `mass_g` and
    `ply_mm` are those of its paper, None where it is not known; `assumed` says that nobody
    named a paper.
    """

    form: Form
    room: Room
    name: str | None = None
    series: str | None = None
    inside_mm: tuple[float, float] | None = None
    blank_mm: tuple[float, float] | None = None
    depth_mm: float = 0.0
    pieces: tuple[MadePiece, ...] = ()
    sheet: str | None = None
    plies: int = 0
    mass_g: float | None = None
    ply_mm: float | None = None
    assumed: bool = False
    findings: tuple[Problem, ...] = ()

    @property
    def play_mm(self) -> tuple[float, float] | None:
        """What is free in the pocket beside the card, both sides together."""
        if self.inside_mm is None:
            return None
        long, short = self.room.card_mm
        return self.inside_mm[0] - long, self.inside_mm[1] - short


def envelope_of(proof: Proof) -> EnvelopeAnswer | None:
    """The envelope of a card, with what there is to say of it; None where it gets none."""
    asked = proof.resolved.envelope
    if asked is None:
        return None
    clearance = None if asked.clearance is None else float(asked.clearance)
    room = room_of(proof, clearance)
    if room is None:
        # That its closed size is not known is among the findings of the proof.
        return None
    if asked.form is Form.STANDARD:
        found = _standard(asked, room, proof)
    else:
        found = _own(asked, asked.form, room, proof)
    if room.thickness_mm is None:
        unknown = problem("envelope-for-a-flat-card", place=asked.place)
        found = replace(found, findings=(unknown, *found.findings))
    return found


# A standard envelope.


def _standard(asked: Envelope, room: Room, proof: Proof) -> EnvelopeAnswer:
    known = envelopes()
    if asked.standard is not None:
        known = {asked.standard: known[asked.standard]}
    fits = [size for size in known.values() if _takes(size, room, asked)]
    units = Unit(proof.resolved.units)
    if not fits:
        return EnvelopeAnswer(
            form=Form.STANDARD,
            room=room,
            findings=(_too_small(asked, room, tuple(known.values()), units),),
        )
    size = min(fits, key=by_area)
    profile = None if asked.stock is None else profile_of(proof.profiles, asked.stock)
    if asked.stock is None:
        gsm, ply = USUAL_GRAMMAGE, USUAL_CALIPER_MM
    elif profile is None:
        gsm, ply = None, None
    else:
        gsm, ply = profile.grammage.value, profile.caliper.value
    return EnvelopeAnswer(
        form=Form.STANDARD,
        room=room,
        name=size.name,
        series=size.series,
        inside_mm=(float(size.long_mm), float(size.short_mm)),
        plies=STANDARD_PLIES,
        mass_g=None if gsm is None else 2.0 * SEAMS * float(size.area_mm2) * gsm / 1e6,
        ply_mm=ply,
        assumed=asked.stock is None,
    )


def _takes(size: Size, room: Room, asked: Envelope) -> bool:
    if size.takes(*room.needed_mm, MEETS_MM):
        return True
    # The lists of enclosures hold for flat cards, and where the design asks for no clearance
    # of its own.
    if size.enclosure is None or asked.clearance is not None:
        return False
    if room.thickness_mm is not None and room.thickness_mm > FLAT_CARD_MM:
        return False
    short, long = size.enclosure
    return room.card_mm[0] <= long + MEETS_MM and room.card_mm[1] <= short + MEETS_MM


def _lacks(size: Size, room: Room) -> float:
    """By how much a size is too small for the room, on the side that lacks most."""
    long, short = room.needed_mm
    return max(long - float(size.long_mm), short - float(size.short_mm))


def _too_small(asked: Envelope, room: Room, sizes: tuple[Size, ...], units: Unit) -> Problem:
    nearest = min(sizes, key=lambda size: (_lacks(size, room), *by_area(size)))
    lacks = _lacks(nearest, room)
    clearance = room.clearance_mm - lacks / 2.0
    mends = [] if clearance < 0.0 else [f"set clearance_each_side to {size_text(clearance, units)}"]
    mends.append(f"make the card {size_text(lacks, units)} smaller")
    mends.append('write form = "four-flap" or "square-blank"')
    named = asked.standard is not None
    return problem(
        "envelope-too-small" if named else "envelope-no-standard",
        place=asked.place,
        measure_mm=lacks,
        name=nearest.name,
        needs=" by ".join(size_text(side, units) for side in room.needed_mm),
        size=" by ".join(size_text(float(x), units) for x in (nearest.long_mm, nearest.short_mm)),
        lacks=size_text(lacks, units),
        hint=", or ".join(mends),
    )


# One of one's own.


def _own(asked: Envelope, form: Form, room: Room, proof: Proof) -> EnvelopeAnswer:
    units = Unit(proof.resolved.units)
    blank = blank_of(form, room, _corner(asked), units)
    width, height = _size(blank)
    made = MadePiece(
        letter="",
        kind=Kind.ENVELOPE,
        piece=blank.piece("envelope", asked.stock),
        stock=asked.stock,
        count=1,
        where=(),
        width_mm=width,
        height_mm=height,
    )
    profile = profile_of(proof.profiles, asked.stock)
    own_sheet, sheet = _sheet_of(asked, proof, width, height)
    found: list[Problem] = []
    if sheet is None:
        found.append(_no_sheet(asked, form, room, proof, own_sheet, (width, height)))
    if blank.overlap_mm < OVERLAP_MM - MEETS_MM:
        found.append(_flaps_short(asked, blank, units))
    return EnvelopeAnswer(
        form=form,
        room=room,
        inside_mm=(blank.long_mm, blank.short_mm),
        blank_mm=(width, height),
        depth_mm=blank.depth_mm if isinstance(blank, FourFlap) else 0.0,
        pieces=(made,),
        sheet=sheet,
        plies=blank.plies,
        mass_g=None
        if profile is None
        else moments(made.piece.outline).area * profile.grammage.value / 1e6,
        ply_mm=None if profile is None else profile.caliper.value,
        findings=tuple(found),
    )


def blank_of(
    form: Form, room: Room, corner_mm: float, units: Unit = Unit.MM
) -> SquareBlank | FourFlap:
    """The blank of an envelope for a room, its pocket on the ruler of the units.

    Sides are taken up to the next half millimetre or sixteenth of an inch, that of a square
    blank as well.
    """
    if form is Form.FOUR_FLAP:
        thick = room.thickness_mm or 0.0
        # Walls have room for the thickness; without them both faces of the pocket give it.
        walls = thick >= WALLS_FROM_MM
        long, short = (_up(side, units) for side in (room.flat_mm if walls else room.needed_mm))
        return FourFlap(
            long_mm=long,
            short_mm=short,
            depth_mm=_up(thick + AIR_MM, units) if walls else 0.0,
            step_mm=float(_step(units)),
        )
    long, short = (_up(side, units) for side in room.needed_mm)
    square = SquareBlank(long_mm=long, short_mm=short, corner_mm=corner_mm)
    longer = _up(square.side_mm, units) - square.side_mm
    return replace(square, corner_mm=corner_mm + longer)


def _step(units: Unit) -> Fraction:
    return Fraction(127, 80) if units is Unit.IN else Fraction(1, 2)


def _up(side_mm: float, units: Unit) -> float:
    step = _step(units)
    # What is on the ruler but for rounding stays there.
    return float(math.ceil((side_mm - MEETS_MM) / float(step)) * step)


def _corner(asked: Envelope) -> float:
    return CORNER_MM if asked.corner is None else float(asked.corner)


def _size(blank: SquareBlank | FourFlap) -> tuple[float, float]:
    if isinstance(blank, FourFlap):
        return blank.blank_mm
    return blank.side_mm, blank.side_mm


def _sheet_of(
    asked: Envelope, proof: Proof, width: float, height: float
) -> tuple[tuple[str, float, float] | None, str | None]:
    """The maker's sheet with its sides, and the name of the sheet that the blank is cut from."""
    stock = None if asked.stock is None else proof.resolved.stocks.get(asked.stock)
    if stock is not None and stock.sheet is not None and stock.sheet_mm is not None:
        first, second = stock.sheet_mm
        own = stock.sheet, float(first), float(second)
        return own, stock.sheet if _over(own, width, height) <= MEETS_MM else None
    inches = Unit(proof.resolved.units) is Unit.IN
    size = sold_sheet(width, height, inches=inches)
    return None, None if size is None else size.name


def _over(sheet: tuple[str, float, float], width: float, height: float) -> float:
    """By how much a blank is larger than a sheet, the better way round."""
    _, *sides = sheet
    short, long = sorted(sides)
    low, high = sorted((width, height))
    return max(low - short, high - long)


def _no_sheet(
    asked: Envelope,
    form: Form,
    room: Room,
    proof: Proof,
    sheet: tuple[str, float, float] | None,
    blank: tuple[float, float],
) -> Problem:
    units = Unit(proof.resolved.units)
    if sheet is None:
        largest = max(stock_sheets().values(), key=by_area)
        sheet = largest.name, float(largest.short_mm), float(largest.long_mm)
    over = _over(sheet, *blank)
    return problem(
        "blank-no-sheet",
        place=asked.place,
        measure_mm=over,
        blank=" by ".join(size_text(side, units) for side in blank),
        sheet=sheet[0],
        over=size_text(over, units),
        hint=", or ".join(_ways_onto(asked, form, room, sheet, units, blank)),
    )


def _ways_onto(
    asked: Envelope,
    form: Form,
    room: Room,
    sheet: tuple[str, float, float],
    units: Unit,
    blank: tuple[float, float],
) -> Iterator[str]:
    """What makes the blank fit the sheet: less clearance, another form, another sheet."""
    least = replace(room, clearance_mm=0.0)
    corner = _corner(asked)

    def fits(tried: Form, for_room: Room) -> bool:
        return _over(sheet, *_size(blank_of(tried, for_room, corner, units))) <= MEETS_MM

    if fits(form, least):
        # Every half step of the ruler less on each side, until it fits.
        step = float(Fraction(127, 160) if units is Unit.IN else Fraction(1, 4))
        clearance = math.floor(room.clearance_mm / step) * step
        while clearance > 0.0 and not fits(form, replace(room, clearance_mm=clearance)):
            clearance -= step
        yield f"set clearance_each_side to {size_text(clearance, units)}"
    other = Form.FOUR_FLAP if form is Form.SQUARE_BLANK else Form.SQUARE_BLANK
    if fits(other, room):
        yield f'write form = "{other}"'
    larger = sold_sheet(*blank, inches=units is Unit.IN)
    if larger is not None:
        yield f"use a sheet of {larger.name}"
    elif not fits(form, least) and not fits(other, room):
        yield "make the card smaller"


def _flaps_short(asked: Envelope, blank: SquareBlank | FourFlap, units: Unit) -> Problem:
    lacks = OVERLAP_MM - blank.overlap_mm
    hint = "make the card higher; it is very low for an envelope"
    if isinstance(blank, SquareBlank):
        corner = _up(blank.corner_mm + lacks / math.sqrt(2.0), units)
        hint = f"set corner to {size_text(corner, units)}"
    return problem(
        "envelope-flaps-short",
        place=asked.place,
        measure_mm=lacks,
        overlap=f"overlap by {size_text(blank.overlap_mm, units)}"
        if blank.overlap_mm >= 0.0
        else f"stay {size_text(-blank.overlap_mm, units)} apart",
        least=size_text(OVERLAP_MM, units),
        hint=hint,
    )


def envelope_piece(answer: EnvelopeAnswer) -> Piece | None:
    """The piece of an envelope of one's own, None for a standard one."""
    return answer.pieces[0].piece if answer.pieces else None
