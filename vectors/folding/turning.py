"""This module turns paper about a hinge, each fold in its own sense."""

from __future__ import annotations

from ..design.pieces import Sense
from ..panels import Hinge
from .motion import Axis, Motion, axis_along, turned_about


def turned_over(hinge: Hinge, beyond: int) -> Motion:
    """The motion of the panel `beyond` a hinge when it is turned by its closed angle."""
    return turned_by(hinge, beyond, float(hinge.angle))


def turned_by(hinge: Hinge, beyond: int, degrees: float) -> Motion:
    """The motion of the panel `beyond` a hinge that is turned by `degrees` in its own sense.

    A valley raises the panel beyond it towards the viewer of the front.  Seen
    along the line from start to end, the panel on the left rises with a
    right-handed turn, the one on the right with a left-handed one.
    """
    return turned_about(axis_beyond(hinge, beyond), degrees)


def axis_beyond(hinge: Hinge, beyond: int) -> Axis:
    """The axis about which the panel `beyond` a hinge turns, right-handed in the fold's sense."""
    axis = axis_along(hinge.line)
    rises = (beyond == hinge.left) == (hinge.sense is Sense.VALLEY)
    return axis if rises else Axis(-axis.ux, -axis.uy, axis.x, axis.y)
