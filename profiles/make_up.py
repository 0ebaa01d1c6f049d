"""This module knows what materials are made of: what may be burned and what must not be.

The list of what may be burned is short on purpose: only what it names is
written for a laser.  Materials on which workshops' lists differ, such as felt
and some plastics, are left out: ask the workshop.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

# Paper, board and wood are on the allowed lists of the university workshops
# that were read.
BURNABLE = (
    "paper",
    "cotton paper",
    "kraft paper",
    "translucent paper",
    "board",
    "cotton board",
    "kraft board",
    "greyboard",
    "corrugated board",
    "wood",
    "wood veneer",
    "plywood",
)

_CHLORINE = "gives off hydrogen chloride, which harms lungs and eats the machine"
_CYANIDE = "gives off poisonous fumes, hydrogen cyanide among them"
_SMOKE = "melts, catches fire and gives off harmful smoke"

# Phrases that name what must never be burned.  PVC and vinyl: laser safety pages
# that name hydrogen chloride.  The rest is on the forbidden lists of several
# university workshops; what exactly they give off is from memory.
HARMFUL: Mapping[str, str] = MappingProxyType(
    {
        "pvc": _CHLORINE,
        "vinyl": _CHLORINE,
        "polyvinyl chloride": _CHLORINE,
        "polyvinylchloride": _CHLORINE,
        "artificial leather": _CHLORINE,
        "imitation leather": _CHLORINE,
        "faux leather": _CHLORINE,
        "leatherette": _CHLORINE,
        "chloroprene": _CHLORINE,
        "neoprene": _CHLORINE,
        "chlorinated": _CHLORINE,
        "abs": _CYANIDE,
        "acrylonitrile": _CYANIDE,
        "polyurethane": _CYANIDE,
        "polystyrene": _SMOKE,
        "foam board": _SMOKE,
        "foamboard": _SMOKE,
        "polypropylene foam": _SMOKE,
        "polyethylene foam": _SMOKE,
        "polycarbonate": _SMOKE,
        "epoxy": _SMOKE,
        "fluoropolymer": "gives off poisonous fluorine compounds",
        "ptfe": "gives off poisonous fluorine compounds",
        "brominated": "gives off poisonous bromine compounds",
        "flame retardant": "gives off poisonous bromine compounds",
        "flame retarded": "gives off poisonous bromine compounds",
        "chrome tanned": "leaves poisonous chromium compounds",
    }
)

_LAYER = "has a layer on it that may flare up or give off fumes"
_SHINE = "may throw the beam back at the machine or at eyes"
_OTHER = "is more than paper, board or wood by its words"
_GLUE = "has a layer of glue that may flare up and give off fumes"

# Phrases that name what a workshop must be asked about before it is burned:
# workshops' lists differ on what lies on a paper or behind it, and seldom say
# why; the reasons are common practice, no source.
DOUBTFUL: Mapping[str, str] = MappingProxyType(
    {
        "coated": _LAYER,
        "coating": _LAYER,
        "laminated": _LAYER,
        "laminate": _LAYER,
        "varnished": _LAYER,
        "waxed": _LAYER,
        "pearlescent": _LAYER,
        "glitter": _LAYER,
        "glittered": _LAYER,
        "foil": _SHINE,
        "foiled": _SHINE,
        "mirror": _SHINE,
        "mirrored": _SHINE,
        "metallic": _SHINE,
        "metallised": _SHINE,
        "metallized": _SHINE,
        "holographic": _SHINE,
        "adhesive": _GLUE,
        "self adhesive": _GLUE,
        "adhesive backed": _GLUE,
        "sticker": _GLUE,
        "sticky": _GLUE,
        "glue backed": _GLUE,
        "layer of glue": _GLUE,
        "gummed": _GLUE,
        "plastic film": _LAYER,
        "glossy": _LAYER,
        "flocked": _LAYER,
        "silicone": _LAYER,
        "siliconised": _LAYER,
        "siliconized": _LAYER,
        "acrylic": _OTHER,
        "carbon fibre": _OTHER,
        "carbon fiber": _OTHER,
        "leather": _OTHER,
        "magnetic": _OTHER,
        "rubber": _OTHER,
        "foam": _SMOKE,
    }
)

# Words before a phrase that say it is not so.
_NOT = r"(?<!\bun )(?<!\bnot )(?<!\bno )"


def _any_of(phrases: Mapping[str, str], before: str = "") -> re.Pattern[str]:
    longest_first = sorted(phrases, key=len, reverse=True)
    return re.compile(rf"{before}\b(?:" + "|".join(map(re.escape, longest_first)) + r")s?\b")


_HARM = _any_of(HARMFUL)
_DOUBT = _any_of(DOUBTFUL, _NOT)


def _plain(text: str) -> str:
    """Lower case, words parted by single spaces, for comparing."""
    return " ".join(re.findall(r"\w+", text.casefold().replace("_", " ")))


def is_burnable(made_of: str | None) -> bool:
    """Whether a make-up is on the list of what may be burned."""
    return made_of is not None and _plain(made_of) in BURNABLE


def harm_in(text: str | None) -> str | None:
    """What a make-up or a name gives off if it speaks of something harmful, else None."""
    return _told_by(_HARM, HARMFUL, text)


def doubt_in(text: str | None) -> str | None:
    """Why a workshop must be asked, if a text speaks of a layer or a foam, else None."""
    return _told_by(_DOUBT, DOUBTFUL, text)


def _told_by(pattern: re.Pattern[str], phrases: Mapping[str, str], text: str | None) -> str | None:
    found = pattern.search(_plain(text)) if text is not None else None
    if found is None:
        return None
    phrase = found.group()
    return phrases[phrase] if phrase in phrases else phrases[phrase.removesuffix("s")]
