"""This module knows the sizes of sheets that a stock may be bought in, by their names.

Known are the sizes A, B and C 0 to 10 of ISO 216 and ISO 269, and any width and
height, such as "12 x 12 in" or "210 x 297 mm"; the unit may stand after both or
after the last, and is the file's where there is none.
"""

from __future__ import annotations

import re

_ISO = re.compile(r"[ABC](?:10|[0-9])", re.IGNORECASE)
_SIDE = r"(?=[0-9 ./]*[1-9])(?:[0-9]{1,5} [0-9]{1,3}/[0-9]{1,3}|[0-9]{1,5}(?:\.[0-9]{1,4})?)"
_UNIT = r'(?: ?(?:mm|cm|in|"))?'
_SIDES = re.compile(rf"{_SIDE}{_UNIT} ?[x\u00d7] ?{_SIDE}{_UNIT}")


def is_sheet(text: str) -> bool:
    """Whether a text names a size of sheet that is known here."""
    return _ISO.fullmatch(text) is not None or _SIDES.fullmatch(text) is not None
