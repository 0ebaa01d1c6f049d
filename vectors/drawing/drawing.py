"""This module is the waist for writers: a drawing is strokes on layers, in mm, and nothing above.

Whatever a writer, a gang sheet or a preview needs of a compiled piece is here.
The three layers are worked in their order; `work` says what the tool does, and
`side` which face of the paper lies up while it does it, so that three layers
carry every way of scoring and cutting.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from ..geometry import Path, Vector, union_box


class Layer(StrEnum):
    """The layers of a drawing, in the order in which they are worked."""

    MARK = "mark"
    SCORE = "score"
    CUT = "cut"


class Work(StrEnum):
    """What the tool does along a stroke."""

    DRAWN = "drawn"
    CREASED = "creased"
    HALF_CUT = "half-cut"
    PERFORATED = "perforated"
    THROUGH = "through"


class Side(StrEnum):
    """The face of the paper that lies up while a stroke is worked."""

    FRONT = "front"
    BACK = "back"


class Role(StrEnum):
    """What of the piece a stroke came from."""

    OUTLINE = "outline"
    OPENING = "opening"
    SLIT = "slit"
    FOLD = "fold"
    MARK = "mark"
    SIZE_BAR = "size bar"
    RELIEF = "relief hole"
    REGISTER = "register"


@dataclass(frozen=True, kw_only=True, slots=True)
class Stroke:
    """One run of the tool: a path in mm with float coordinates, y up.

    In a finished drawing strokes of the back lie as they are seen from the back.
    `piece` is the name of the piece and `source` the name of the outline,
    opening, slit, fold or mark that the stroke was made from.
    """

    path: Path
    layer: Layer
    work: Work
    piece: str
    source: str
    role: Role
    side: Side = Side.FRONT

    def along(self, path: Path) -> Stroke:
        """The same stroke along another path."""
        # Named one by one, at a third of what `replace` takes: drawings hold thousands.
        return Stroke(
            path=path,
            layer=self.layer,
            work=self.work,
            piece=self.piece,
            source=self.source,
            role=self.role,
            side=self.side,
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawing:
    """The compiled result for one piece: strokes in the order of work, lower left corner at 0, 0.

    `width` and `height` are the page in mm: what an importing program should
    show as the size of the drawing; both faces have the same page, and the strokes
    of the back lie on it as the machine sees them when the sheet is turned over.
    `cautions` are sentences for the person at the machine; `title` names design and
    piece; `proven` is false only where a user insisted on files of a design that
    does not prove.  `extent` is left, bottom, right and top in mm of the lines, seen
    from the front, before gaps were left in them, None where nobody has looked: a
    page made of what is drawn would be too small where a gap lies at an outermost
    place.
    """

    piece: str
    title: str
    width: float
    height: float
    strokes: tuple[Stroke, ...] = ()
    cautions: tuple[str, ...] = ()
    proven: bool = True
    extent: tuple[float, float, float, float] | None = None

    def on(self, layer: Layer) -> tuple[Stroke, ...]:
        """The strokes of one layer, in order."""
        return tuple(stroke for stroke in self.strokes if stroke.layer is layer)

    def works(self, layer: Layer) -> tuple[Work, ...]:
        """The kinds of work on a layer, in the order of first use."""
        return tuple(dict.fromkeys(stroke.work for stroke in self.on(layer)))

    def length(self, layer: Layer) -> float:
        """The length of all strokes of a layer, in mm."""
        return math.fsum(stroke.path.length for stroke in self.on(layer))

    @property
    def sides(self) -> tuple[Side, ...]:
        """The faces that are worked, front first."""
        used = {stroke.side for stroke in self.strokes}
        return tuple(side for side in Side if side in used)

    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of all strokes, in mm.  Raises ValueError without strokes."""
        return union_box(stroke.path.box() for stroke in self.strokes)

    def with_strokes(self, strokes: tuple[Stroke, ...]) -> Drawing:
        """The drawing with other strokes."""
        return replace(self, strokes=strokes)

    def moved(self, by: Vector) -> Drawing:
        """The drawing with all strokes displaced by `by`; the page stays where it is."""
        extent = self.extent
        if extent is not None:
            x, y = float(by.x), float(by.y)
            extent = (extent[0] + x, extent[1] + y, extent[2] + x, extent[3] + y)
        return replace(
            self,
            strokes=tuple(stroke.along(stroke.path.moved(by)) for stroke in self.strokes),
            extent=extent,
        )
