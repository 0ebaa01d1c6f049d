"""This module chooses the scale of a drawing among the usual ones and says it in words."""

from __future__ import annotations

# The usual drawing scales (ISO 5455:1979) and, so that pieces fill their room,
# some between them; as page mm a mm of the piece.
_SCALES = (5.0, 4.0, 3.0, 2.0, 1.5, 1.0, 1 / 1.5, 0.5, 0.4, 1 / 3, 0.25, 0.2, 1 / 6, 1 / 8, 0.1)


def scale_for(largest: float, room: float) -> float:
    """The largest scale, in mm of the page a mm, at which a length has room; both in mm."""
    return next((one for one in _SCALES if largest * one <= room), room / max(largest, room))


def scale_text(scale: float) -> str:
    """A scale as part of a sentence."""
    if scale == 1.0:
        return "at true size"
    if scale > 1.0:
        return f"{scale:g} times as large"
    return f"at 1 : {round(1.0 / scale, 2):g}"
