"""This module makes the frames of our DXF files: all but the strokes, made once by ezdxf.

Tables and objects that every program accepts are long and dull; ezdxf knows
them.  A frame is made with fixed dates and ids, its page and colours replaced
by tokens such as `@WIDTH@`, and kept as package data, so that writing needs no
ezdxf and gives the same bytes whatever release is installed.  To make the
frames anew: `python -m foldwright.writers.dxf_template`, then run the tests.
"""

from __future__ import annotations

import io
import sys
from functools import cache
from importlib.resources import files
from pathlib import Path

from ..drawing import Layer
from .protocol import DxfVersion

VERSIONS: tuple[DxfVersion, ...] = ("R2000", "R12")

# Numbers that appear nowhere else in a frame, exact in binary, and their tokens.
_SENTINELS = {
    "7001.25": "@WIDTH@",
    "9003.5": "@HEIGHT@",
    "3500.625": "@MIDDLE_X@",
    "4501.75": "@MIDDLE_Y@",
    "8002.125": "@VIEW@",
}
_COLOURS = {Layer.MARK: 201, Layer.SCORE: 202, Layer.CUT: 203}


@cache
def frame(version: DxfVersion) -> tuple[str, int, str]:
    """The kept frame of a version, its first free handle, and the handle of its model space.

    R12 has no owner handles: the last is empty there.
    """
    text = (files(__package__) / _name(version)).read_text("ascii")
    first_line, _, body = text.partition("\n")
    seed, _, owner = first_line.partition(" ")
    return body, int(seed, 16), owner


def _name(version: DxfVersion) -> str:
    return f"frame-{version.lower()}.dxf"


def make(version: DxfVersion) -> str:
    """A frame as the installed ezdxf makes it, with tokens, after a line that tells two handles."""
    from ezdxf import options, units  # type: ignore[attr-defined]  # it has no __all__
    from ezdxf.filemanagement import new

    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        # R12 has no place for the unit and ezdxf warns about one.
        document = new(version, units=units.MM if version != "R12" else 0)
        for layer, colour in _COLOURS.items():
            document.layers.add(layer.upper(), color=colour)
        space = document.modelspace()
        space.reset_extents((0.0, 0.0, 0.0), (7001.25, 9003.5, 0.0))
        space.reset_limits((0.0, 0.0), (7001.25, 9003.5))
        document.header["$MEASUREMENT"] = 1
        document.header["$EXTMIN"] = (0.0, 0.0, 0.0)
        document.header["$EXTMAX"] = (7001.25, 9003.5, 0.0)
        document.set_modelspace_vport(height=8002.125, center=(3500.625, 4501.75))
        stream = io.StringIO()
        document.write(stream)
        seed = str(document.header["$HANDSEED"])
        owner = "" if version == "R12" else str(space.layout_key)
    finally:
        options.write_fixed_meta_data_for_testing = fixed
    return f"{seed} {owner}\n{_with_tokens(stream.getvalue(), seed)}"


def _with_tokens(text: str, seed: str) -> str:
    lines = text.split("\n")
    colours = {str(colour): f"@{layer.upper()}@" for layer, colour in _COLOURS.items()}
    # Group codes stand in every other line; only the values are looked at.
    for at in range(1, len(lines), 2):
        code, value, before = lines[at - 1].strip(), lines[at], lines[at - 2]
        if value in _SENTINELS:
            lines[at] = _SENTINELS[value]
        elif code == "62" and value in colours:
            lines[at] = colours[value]
        elif before == "$HANDSEED":
            lines[at] = "@HANDSEED@"
        elif value == "ENTITIES":
            lines[at] = "ENTITIES\n@ENTITIES@"
    return "\n".join(lines).replace("@ENTITIES@\n", "@ENTITIES@")


def main(folder: Path = Path(__file__).parent) -> int:
    """Write the frames into `folder`: beside this module if left out."""
    for version in VERSIONS:
        (folder / _name(version)).write_text(make(version), "ascii", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
