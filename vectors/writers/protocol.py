"""This module says what a writer is: the protocol that svg, dxf, plain and plug-ins keep.

A writer turns a `Drawing` into the bytes of one file and reads such bytes back.
Anybody's writer is found through the entry-point group `foldwright.writers`.

Must: `name`, `suffix`, `about`, `largest_sweep`, `write`, `read_back` and
`carries_our_mark`.  `read_back` must not share code with `write`: it is there to
catch the faults of `write`, so it goes through somebody else's reader.

May: heed or ignore any field of `WriteOptions` that its format has no use for.

Must not: open files, look at clocks, or let the order of a set or the locale
into the bytes.  The same drawing and options give the same bytes everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, Protocol, get_args, runtime_checkable

from ..drawing import Drawing, Layer, Stroke, Work
from ..geometry import Path
from ..measures.exact import ROUNDING_MM
from ..problems import Collector, FileError, problem

# The first line of every file that we write, as a comment of its format: a file
# that starts with it may be replaced by a later export.
OUR_MARK = "Written by Foldwright; exporting again replaces this file."

UNPROVEN = "Unproven: this design was not found to fold as it should. Try it on scrap first."

# Coordinates beyond this many mm are a fault: 1 km, far past any sheet.
REACH_MM = 1e6

UserUnit = Literal["mm", "px96"]
DxfVersion = Literal["R2000", "R12"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Style:
    """How strokes look: a colour and an index colour for each layer, one stroke width in mm.

    A layer is told by its name; its colour only helps.  `colours` are `#rrggbb`.
    `indices` are the colours of a DXF layer, 1 to 255, near the colours.
    """

    colours: Mapping[Layer, str]
    indices: Mapping[Layer, int]
    stroke_width: float = 0.1


# Readable on white and told apart without colour vision.  The index colours are
# the nearest of the 255; for the cut that is 7, the foreground of a program,
# since an index that is black everywhere cannot be seen on a black screen.
DEFAULT_STYLE = Style(
    colours=MappingProxyType({Layer.MARK: "#767676", Layer.SCORE: "#CC79A7", Layer.CUT: "#000000"}),
    indices=MappingProxyType({Layer.MARK: 8, Layer.SCORE: 241, Layer.CUT: 7}),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class WriteOptions:
    """What a user may choose about a file; a writer ignores what its format lacks.

    `user_unit` is the unit of bare numbers in an SVG: a millimetre, or 1/96 inch
    for programs that ignore the stated size.  `dxf_version` is R2000, or R12 for
    programs that read nothing newer.  Raises ValueError for any other value.
    """

    user_unit: UserUnit = "mm"
    dxf_version: DxfVersion = "R2000"
    style: Style = DEFAULT_STYLE

    def __post_init__(self) -> None:
        if self.user_unit not in get_args(UserUnit):
            raise ValueError(f"user_unit is mm or px96, not {self.user_unit!r}")
        if self.dxf_version not in get_args(DxfVersion):
            raise ValueError(f"dxf_version is R2000 or R12, not {self.dxf_version!r}")


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadStroke:
    """One stroke as a reader found it: its path in mm, y up, from the page's lower left corner.

    `work` is None where the format does not tell it.
    """

    layer: Layer
    path: Path
    work: Work | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadBack:
    """What a reader found in a file: the page in mm and the strokes in the order of the file.

    `width` and `height` are None where the format has no page.
    """

    strokes: tuple[ReadStroke, ...]
    width: float | None = None
    height: float | None = None


@runtime_checkable
class Writer(Protocol):
    """What every writer has; the docstring of this module says what each part must do."""

    @property
    def name(self) -> str:
        """What a user calls the format: `svg`."""
        ...

    @property
    def suffix(self) -> str:
        """The end of its file names, with the dot: `.svg`."""
        ...

    @property
    def about(self) -> str:
        """One line for the list of writers."""
        ...

    @property
    def largest_sweep(self) -> float:
        """The largest arc it writes in one piece, in degrees; larger ones are cut evenly."""
        ...

    def write(self, drawing: Drawing, options: WriteOptions) -> bytes:
        """The bytes of the file, strokes in the order of `in_file_order`.

        Raises FileError for a drawing that no file can hold (`check`).
        """
        ...

    def read_back(self, data: bytes, options: WriteOptions) -> ReadBack:
        """What an independent reader finds in `data`; ReadBackError where it finds a fault."""
        ...

    def carries_our_mark(self, head: bytes) -> bool:
        """Whether a file that starts with these bytes (a few hundred) is one of ours."""
        ...


def check(drawing: Drawing) -> None:
    """Raise FileError, all problems at once, for a drawing that no file can hold.

    Writers call this first: libraries write numbers that are none without complaint.
    """
    found = Collector()
    if not (0.0 < drawing.width < REACH_MM and 0.0 < drawing.height < REACH_MM):
        found.add(
            problem(
                "page-not-sized",
                piece=drawing.piece,
                piece_name=drawing.piece,
                width=f"{drawing.width:g}",
                height=f"{drawing.height:g}",
            )
        )
    for stroke in drawing.strokes:
        code = None
        if len(stroke.path.vertices) < 2:
            code = "stroke-empty"
        elif not _within_reach(stroke.path):
            code = "stroke-not-finite"
        if code is not None:
            found.add(
                problem(code, piece=stroke.piece, role=stroke.role.value, source=stroke.source)
            )
    found.raise_if_stopped(FileError)


def _within_reach(path: Path) -> bool:
    bent = False
    for vertex in path.vertices:
        at = vertex.at
        # A comparison with a number that is none is false, so this catches it too.
        if not (-REACH_MM < at.x < REACH_MM and -REACH_MM < at.y < REACH_MM):
            return False
        if vertex.bulge != 0.0:
            bent = True
    if not bent:
        return True
    # An arc of more than a half turn reaches farther than its ends.
    return math.isfinite(path.vertices[-1].bulge) and all(
        segment.is_line or abs(segment.bulge) * max(segment.chord, ROUNDING_MM) < 2.0 * REACH_MM
        for segment in path.segments
    )


WorkGroups = tuple[tuple[Work, tuple[Stroke, ...]], ...]


def in_file_order(drawing: Drawing) -> tuple[tuple[Layer, WorkGroups], ...]:
    """The strokes as files hold them: layers in the order of work, each grouped by its work.

    Every layer is there, an empty one with no groups.  Groups come in the order
    of first use, strokes within a group in the order of the drawing.
    """
    groups: dict[Layer, dict[Work, list[Stroke]]] = {layer: {} for layer in Layer}
    for stroke in drawing.strokes:
        groups[stroke.layer].setdefault(stroke.work, []).append(stroke)
    return tuple(
        (layer, tuple((work, tuple(strokes)) for work, strokes in works.items()))
        for layer, works in groups.items()
    )


def starts_with_mark(head: bytes, start: str) -> bool:
    """Whether a file opens with `start`, whatever its line ends were changed to since."""
    return head.replace(b"\r\n", b"\n").startswith(start.encode())
