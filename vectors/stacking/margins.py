"""This module knows the margin of a mat where the design leaves it out.

Usual are 3 mm, and 2 mm on a panel that is nowhere 25 mm wide; in inches an eighth, a
sixteenth and an inch (common practice, no source).  Two mats that come together in
a shut fold need at least as much room beside it as both are thick, or they hold it
open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely

from ..design.pieces import Face, Mat, Sense
from ..folding import PanelKey
from ..geometry.offset_check import flattened
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..panels import Assembly, Panel
from .calipers import caliper_of

# The usual margin, that of a narrow panel, and the width below which a panel is narrow, in mm.
USUAL_MM = {Unit.MM: (3.0, 2.0, 25.0), Unit.IN: (25.4 / 8.0, 25.4 / 16.0, 25.4)}


def usual_margin(panel: Panel, units: Unit) -> float:
    """The margin in mm that a mat on a panel has where the design gives none.

    A panel is as wide as the largest circle that lies on it.
    """
    wide, narrow, width = USUAL_MM[units]
    return narrow if largest_circle(panel) * 2.0 < width - MEETS_MM else wide


def largest_circle(panel: Panel) -> float:
    """The radius in mm of the largest circle that lies on a panel: no margin may reach it.

    It is found to a micrometre.
    """
    whole = shapely.Polygon(flattened(panel.ring), [flattened(hole) for hole in panel.holes])
    return float(shapely.length(shapely.maximum_inscribed_circle(whole, tolerance=MEETS_MM)))


def facing_heights(
    assembly: Assembly, lying: Sequence[tuple[Mat, PanelKey]], calipers: Mapping[str, float]
) -> Mapping[tuple[PanelKey, Face], float]:
    """How thick the mats are that come together in the folds at a face of a panel, in mm.

    The largest of all folds that shut over the face; mats of papers that are not known
    count as nothing.
    """
    own: dict[tuple[PanelKey, Face], float] = {}
    for mat, key in lying:
        thick = caliper_of(mat.stock, calipers) or 0.0
        own[key, mat.face] = own.get((key, mat.face), 0.0) + thick
    found: dict[tuple[PanelKey, Face], float] = {}
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            if float(hinge.angle) < 180.0 - MEETS_MM or division.fold_of(hinge).still:
                continue
            face = Face.FRONT if hinge.sense is Sense.VALLEY else Face.BACK
            sides = (name, hinge.left), (name, hinge.right)
            together = sum(own.get((side, face), 0.0) for side in sides)
            for side in sides:
                found[side, face] = max(found.get((side, face), 0.0), together)
    return found
