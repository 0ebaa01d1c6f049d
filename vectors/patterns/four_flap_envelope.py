"""This module is the pattern four-flap-envelope: a pocket with two side flaps, a lower, an upper.

The pocket lies in the middle; folded in, each flap lies on it, so the closed envelope is as large
as the pocket.  Sides of flaps start a little away from the corners of the pocket and lean in, so
that they neither jam nor tear.  The lower flap is glued on the side flaps; with the upper one it
is higher than the pocket by their overlap.  With two creases a flap, a wall `depth` high between
them, the same pocket takes a thick card.

A flap loses depth * tan(taper) of its width at each side.  The limits keep the side flaps from
meeting (3/10 of the width each) and from narrowing to a point (half of the height deep), let the
upper flap lie on the lower one by 10 mm at least, keep each short of the opposite side, and leave
the end of each at least 10 mm wide.
Usual are side flaps of 15 to 25 mm, a lower flap of 2/3 to 3/4 of the height, an upper one of 1/3
to 1/2, corners relieved by 1 to 2 mm and tapers of 5 to 15 degrees (all common practice, no
source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..design.model import (
    FoldDraft,
    JointDraft,
    JointEndDraft,
    PanelDraft,
    PieceDraft,
    PolygonDraft,
    PoseDraft,
    Scale,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from ..measures import Kind
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="card_width",
        meaning="width of the card that goes in",
        default_mm="148",
        default_in="5 1/2",
        least="60 mm",
        most="400 mm",
    ),
    Parameter(
        name="card_height",
        meaning="height of the card that goes in",
        default_mm="105",
        default_in="4 1/4",
        least="40 mm",
        # A tall card, of the third of a sheet for one, goes in at a short side.
        most="min(3 * card_width, 600 mm)",
    ),
    Parameter(
        name="clearance",
        meaning="room for the card on each side",
        default_mm="3",
        default_in="1/8",
        least="1 mm",
        most="10 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="width",
        meaning="width of the pocket",
        default_mm="card_width + 2 * clearance",
        default_in="card_width + 2 * clearance",
        least="card_width + 2 mm",
        most="card_width + 20 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the pocket",
        default_mm="card_height + 2 * clearance",
        default_in="card_height + 2 * clearance",
        least="card_height + 2 mm",
        most="card_height + 20 mm",
    ),
    Parameter(
        name="creases",
        meaning="creases of a flap; 2 give it walls for a thick card",
        kind=Kind.NUMBER,
        default_mm="1",
        default_in="1",
        least="1",
        most="2",
    ),
    Parameter(
        name="depth",
        meaning="height of the walls where a flap has two creases",
        default_mm="5",
        default_in="1/4",
        least="3 mm",
        most="20 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="side_flap",
        meaning="depth of the flaps at the two sides",
        default_mm="min(20 mm, width * 3 / 10)",
        default_in="min(3/4 in, width * 3 / 10)",
        least="10 mm",
        most="min(width * 3 / 10, height / 2)",
    ),
    Parameter(
        name="lower_flap",
        meaning="depth of the lower flap, glued on the side flaps",
        default_mm="height * 2 / 3",
        default_in="height * 2 / 3",
        least="height / 2",
        most="height - 5 mm",
    ),
    Parameter(
        name="upper_flap",
        meaning="depth of the upper flap, which closes the envelope",
        default_mm="height + 15 mm - lower_flap",
        default_in="height + 5/8 in - lower_flap",
        least="height + 10 mm - lower_flap",
        most="height - 5 mm",
    ),
    Parameter(
        name="relief",
        meaning="distance of the flaps from the pocket's corners",
        default_mm="1.5",
        default_in="1/16",
        least="1 mm",
        most="3 mm",
        scale=Scale.FIXED,
        step_mm="0.5 mm",
    ),
    Parameter(
        name="side_taper",
        meaning="how far the sides of a side flap lean in",
        kind=Kind.ANGLE,
        default_mm="10",
        default_in="10",
        least="5 deg",
        most="15 deg",
    ),
    Parameter(
        name="taper",
        meaning="how far the sides of the other flaps lean in",
        kind=Kind.ANGLE,
        default_mm="5",
        default_in="5",
        least="3 deg",
        most="min(10 deg, atan((width / 2 - relief - 5 mm) / max(lower_flap, upper_flap)))",
    ),
)

WALLED = 2
"""With so many creases a flap, a wall lies between them."""


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer; `counts` has the creases of a flap."""
    walled = counts["creases"] == WALLED
    wall = "depth" if walled else ""
    left, bottom = _plus("side_flap", wall), _plus("lower_flap", wall)
    right, top = f"{left} + width", f"{bottom} + height"
    middle = f"{left} + width / 2", f"{bottom} + height / 2"
    flaps = (
        _Flap("lower", left, right, bottom, "-", False, "lower_flap", "taper", wall),
        _Flap("right", bottom, top, right, "+", True, "side_flap", "side_taper", wall),
        _Flap("upper", right, left, top, "+", False, "upper_flap", "taper", wall),
        _Flap("left", top, bottom, left, "-", True, "side_flap", "side_taper", wall),
    )
    envelope = PieceDraft(
        name="envelope",
        stock="paper",
        outline=PolygonDraft(points=[at for flap in flaps for at in flap.outline()]),
        folds=[fold for flap in flaps for fold in flap.folds()],
        panels=[
            PanelDraft(name="pocket", at=middle, cover=True),
            *(panel for flap in flaps for panel in flap.panels(middle)),
        ],
    )
    turned = "90 deg" if walled else "180 deg"
    return PatternParts(
        pieces=(envelope,),
        joints=(_glued(flaps[0], flaps[1]), _glued(flaps[0], flaps[3])),
        poses=(
            PoseDraft(
                name="flap up",
                hold={
                    f"envelope/{fold}": "0 deg" if fold in ("upper", "upper outer") else turned
                    for flap in flaps
                    for fold in flap.creases
                },
            ),
        ),
        closed=("width", "height"),
    )


def _plus(*lengths: str) -> str:
    return " + ".join(length for length in lengths if length)


@dataclass(frozen=True, slots=True)
class _Flap:
    """A flap: its side of the pocket from `start` to `end`, at `side`, and `out` the sign beyond.

    An `upright` side runs along y.  `wall` is empty where there is none.
    """

    name: str
    start: str
    end: str
    side: str
    out: str
    upright: bool
    deep: str
    taper: str
    wall: str

    def at(self, along: str, out: str = "") -> tuple[str, str]:
        """A place by where it is along the side and how far out of the pocket."""
        across = self.side
        if out:
            across = f"{across} {self.out} ({out})" if " " in out else f"{across} {self.out} {out}"
        return (across, along) if self.upright else (along, across)

    @property
    def creases(self) -> tuple[str, ...]:
        return (f"{self.name} inner", f"{self.name} outer") if self.wall else (self.name,)

    def along(self, end: bool, inward: str) -> str:
        """A place along the side, so far from its start or from its end."""
        # The sides go round the pocket anticlockwise.
        forward = self.name in ("lower", "right")
        return f"{self.end if end else self.start} {'-' if forward == end else '+'} {inward}"

    def outline(self) -> Iterator[tuple[str, str]]:
        """From its corner of the pocket round the flap to the next corner, which is left out."""
        far = _plus(self.wall, self.deep)
        lean = f"(relief + {self.deep} * tan({self.taper}))"
        yield self.at(self.start)
        yield self.at(self.along(False, "relief"))
        if self.wall:
            yield self.at(self.along(False, "relief"), self.wall)
        yield self.at(self.along(False, lean), far)
        yield self.at(self.along(True, lean), far)
        if self.wall:
            yield self.at(self.along(True, "relief"), self.wall)
        yield self.at(self.along(True, "relief"))

    def folds(self) -> Iterator[FoldDraft]:
        for name, out in zip(self.creases, ("", self.wall), strict=False):
            yield FoldDraft(
                name=name,
                sense=Sense.VALLEY,
                points=[
                    self.at(self.along(False, "relief"), out),
                    self.at(self.along(True, "relief"), out),
                ],
                angle="90" if self.wall else "180",
            )

    def panels(self, middle: tuple[str, str]) -> Iterator[PanelDraft]:
        along = middle[1] if self.upright else middle[0]
        if self.wall:
            yield PanelDraft(name=f"{self.name} wall", at=self.at(along, f"{self.wall} / 2"))
        yield PanelDraft(
            name=f"{self.name} flap", at=self.at(along, _plus(self.wall, f"{self.deep} / 2"))
        )


def _glued(lower: _Flap, side: _Flap) -> JointDraft:
    """The lower flap, glued on a side flap along the middle of that, a line up the pocket.

    On the side flap the line keeps off its leaning side, on the lower flap off its own.
    """
    half = "side_flap / 2"
    near = f"relief + {half} * tan(side_taper)"
    far = f"min(lower_flap, ({half} - relief) / tan(taper))"
    ends = f"(({near}) * 3 + {far}) / 4", f"({near} + {far} * 3) / 4"
    across = f"{side.side} {'-' if side.out == '+' else '+'} {half}"
    return JointDraft(
        name=f"{side.name} seam",
        glue=JointEndDraft(
            panel="envelope/lower flap",
            face=Face.FRONT,
            line=[(across, lower.at("", _plus(lower.wall, at))[1]) for at in ends],
        ),
        to=JointEndDraft(
            panel=f"envelope/{side.name} flap",
            face=Face.BACK,
            line=[side.at(f"{lower.side} + {at}", _plus(side.wall, half)) for at in ends],
        ),
    )


pattern = Parametric(
    name="four-flap-envelope",
    about="A straight envelope of four flaps: two at the sides, a lower one that is glued on them,"
    " an upper one that closes it.  For a thick card each flap gets a wall between two creases.",
    closure="The lower and the upper flap together are higher than the pocket by 10 mm or more;"
    " the side flaps do not meet.",
    materials={"paper": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
