"""This module holds the usual cautions, the gravest first, and what in a job calls for each.

Blades: school and craft safety sheets.  Lasers: safety pages of universities
and of the workplace authorities (never alone, extinguisher, extraction,
interlocks, known materials only); scraps on the bed: a university laboratory's
page; enclosure and goggles for the wavelength: the standards on the safe use of
lasers (from memory).  Light, a stable table and first aid, embers, glue, heat
and candles: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from enum import StrEnum

from .model import LAST_CAUTION, Profile, Tool


class Need(StrEnum):
    """What there can be about a job that calls for a caution."""

    ALWAYS = "always"
    HAND = "hand"
    KNIFE = "knife"
    LASER = "laser"
    LASER_SHUT_IN = "a laser that is not known to stand open"
    LASER_OPEN = "a laser that is known to stand open"
    LASER_MAYBE_OPEN = "a laser of which it is not known whether it is shut in"
    BLADE_SCORES = "scores that a blade cuts half way"
    STANDS = "a card that stands"


@dataclass(frozen=True, kw_only=True, slots=True)
class Caution:
    """A sentence for the person at work; one of `needs` is enough to call for it."""

    text: str
    needs: frozenset[Need]


def _caution(text: str, *needs: Need) -> Caution:
    return Caution(text=text, needs=frozenset(needs))


USUAL: tuple[Caution, ...] = (
    _caution(
        "Never leave a running laser cutter alone, not even for a moment: watch the material for "
        "flames.",
        Need.LASER,
    ),
    _caution(
        "This machine stands open: shut it in before it runs, and let everyone near it wear "
        "goggles made for the wavelength of its laser.",
        Need.LASER_OPEN,
    ),
    _caution(
        "If your machine is open, shut it in before it runs, and let everyone near it wear "
        "goggles made for the wavelength of its laser.",
        Need.LASER_MAYBE_OPEN,
    ),
    _caution(
        "Keep the lid shut while the laser runs, and never defeat an interlock.",
        Need.LASER_SHUT_IN,
    ),
    _caution(
        "Burn only material whose make-up you know; never PVC or vinyl, whose fumes harm lungs "
        "and eat the machine.",
        Need.LASER,
    ),
    _caution(
        "Keep the extraction running during the job and for a while after it.",
        Need.LASER,
    ),
    _caution("Keep a suitable fire extinguisher at hand.", Need.LASER),
    _caution(
        "Take scraps off the bed before every job, and lay one flat sheet at a time.",
        Need.LASER,
    ),
    _caution(
        "Look for embers in sheet, scraps and bed when the laser has stopped, and stay until all "
        "is cold.",
        Need.LASER,
    ),
    _caution(
        "The knife is sharp in and out of the machine: keep fingers, hair and sleeves away while "
        "it moves, and switch the machine off before you change the knife.",
        Need.KNIFE,
    ),
    _caution(
        "Blades are sharp: use a steel ruler with a raised edge and a cutting mat, keep your "
        "fingers behind the blade and cut away from your body and your other hand.",
        Need.HAND,
    ),
    _caution(
        "A half cut is made with a blade: score it with the care that cutting takes.",
        Need.BLADE_SCORES,
    ),
    _caution("Change a dull blade, because force makes it slip.", Need.HAND),
    _caution(
        "Lock the arm of a trimmer, cap or retract a blade between cuts, and put used blades "
        "into a tin.",
        Need.HAND,
    ),
    _caution(
        "Cap a blade when you put it down, and put used blades into a tin.",
        Need.KNIFE,
    ),
    _caution(
        "Cut in good light on a table that does not rock, with first aid at hand.",
        Need.HAND,
    ),
    _caution(
        "An adult cuts: give children pieces that are cut and scored already.",
        Need.HAND,
        Need.KNIFE,
    ),
    _caution(
        "Glue and spray only in moving air and away from flames, and let it dry before a laser "
        "or a heat tool comes near; heat tools and hot glue burn skin and paper.",
        Need.ALWAYS,
    ),
    _caution("Keep a standing card away from candles and other flames.", Need.STANDS),
)


def needs_of(
    tool: Tool, *, enclosed: bool | None = None, blade_scores: bool = False, stands: bool = False
) -> frozenset[Need]:
    """What a job calls for; `enclosed` is that of its machine, None where it is not known."""
    needs = {Need.ALWAYS, Need(tool.value)}
    if tool is Tool.LASER:
        needs.add(Need.LASER_OPEN if enclosed is False else Need.LASER_SHUT_IN)
        if enclosed is None:
            needs.add(Need.LASER_MAYBE_OPEN)
    if blade_scores and tool is not Tool.LASER:
        needs.add(Need.BLADE_SCORES)
    if stands:
        needs.add(Need.STANDS)
    return frozenset(needs)


def cautions_for(
    profile: Profile, tool: Tool, needs: Set[Need], *, machine: tuple[str, ...] = ()
) -> tuple[str, ...]:
    """The cautions of a job, each once: material, tool, machine, the usual ones, the last.

    The usual ones that the job calls for are among them, whoever wrote the profile.
    """
    way = profile.tools.get(tool)
    own = way.cautions if way is not None else ()
    usual = (one.text for one in USUAL if one.needs & needs)
    found = dict.fromkeys((*profile.cautions, *own, *machine, *usual))
    found.pop(LAST_CAUTION, None)
    return (*found, LAST_CAUTION)
