"""This module lists the curves that divide a piece of many lines, as columns of numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ..design.pieces import Piece
from ..geometry import Point, Segment
from ..geometry.box_pairs import Floats, Indices
from ..measures.exact import Number
from .curves import Curve, Kind, Owner
from .on_demand import OnDemand

# The kind of a curve, as the columns hold it.
KINDS = tuple(Kind)
NUMBER_OF = {kind: number for number, kind in enumerate(KINDS)}

Kinds = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Every segment of a piece, in the order of `curves_of`: outline, openings, slits, folds.

    `lines` has a row each: start x and y, end x and y, in mm.  `kind` is a number
    in `KINDS`, `index` which one among its like a curve belongs to, `number` its
    place on that path.  `starts` and `ends` are its ends as designed.
    """

    piece: Piece
    lines: Floats
    bulge: Floats
    kind: Kinds
    index: Indices
    number: Indices
    starts: list[Point]
    ends: list[Point]

    def __len__(self) -> int:
        return len(self.starts)

    @property
    def curves(self) -> OnDemand[Curve]:
        """The curves themselves."""
        return OnDemand(len(self), self.curve)

    def curve(self, number: int) -> Curve:
        """One curve with its owner."""
        return Curve(self.owner(number), int(self.number[number]), self.segment(number))

    def segment(self, number: int) -> Segment:
        """A curve's segment as designed, exact where the design is."""
        return Segment(self.starts[number], self.ends[number], float(self.bulge[number]))

    def owner(self, number: int) -> Owner:
        """What a curve belongs to."""
        kind, index = KINDS[self.kind[number]], int(self.index[number])
        piece = self.piece
        if kind is Kind.OUTLINE:
            return Owner(kind, index, "outline", piece.place)
        if kind is Kind.OPENING:
            opening = piece.openings[index]
            return Owner(kind, index, opening.name, opening.place)
        if kind is Kind.SLIT:
            slit = piece.slits[index]
            return Owner(kind, index, slit.name, slit.place)
        fold = piece.folds[index]
        return Owner(kind, index, fold.name, fold.place)


def columns_of(piece: Piece) -> Columns:
    """Every segment of a piece."""
    groups = (
        [piece.outline],
        [opening.path for opening in piece.openings],
        [slit.path for slit in piece.slits],
        [fold.path for fold in piece.folds],
    )
    paths = [path for group in groups for path in group]
    vertices = [vertex for path in paths for vertex in path.vertices]
    counts = np.array([len(path.vertices) for path in paths], dtype=np.int64)
    closed = np.array([path.closed for path in paths], dtype=np.bool_)
    at = [vertex.at for vertex in vertices]
    x, y = _floats([place.x for place in at]), _floats([place.y for place in at])
    # The last vertex of an open path starts no segment; that of a closed one leads
    # back to the first.
    begins = np.cumsum(counts) - counts
    following = np.arange(1, len(at) + 1)
    last = begins + counts - 1
    following[last[counts > 0]] = begins[counts > 0]
    starts = np.ones(len(at), dtype=np.bool_)
    starts[last[(counts > 0) & ~closed]] = False
    first = np.flatnonzero(starts)
    second = following[first]
    of_path = np.repeat(np.arange(len(paths)), counts)[first]
    bulge = np.array([vertex.bulge for vertex in vertices], dtype=np.float64)[first]
    sizes = [len(group) for group in groups]
    of_kind = np.repeat(
        np.array([NUMBER_OF[kind] for kind in tuple(Kind)[:4]], dtype=np.int8), sizes
    )
    of_index = np.concatenate([np.arange(size) for size in sizes])
    kind = of_kind[of_path]
    index = of_index[of_path]
    still = np.array([fold.still for fold in piece.folds], dtype=np.bool_)
    folds = kind == NUMBER_OF[Kind.FOLD]
    scored = np.zeros(len(first), dtype=np.bool_)
    scored[folds] = still[index[folds]] | (bulge[folds] != 0.0)
    kind[scored] = NUMBER_OF[Kind.SCORE]
    return Columns(
        piece=piece,
        lines=np.stack((x[first], y[first], x[second], y[second]), axis=1),
        bulge=bulge,
        kind=kind,
        index=index,
        number=first - begins[of_path],
        starts=[at[number] for number in first.tolist()],
        ends=[at[number] for number in second.tolist()],
    )


def _floats(numbers: list[Number]) -> Floats:
    """Numbers as floats; -0 as 0, so that one place has one pair of them.

    Raises ValueError for one that is infinite or not a number: it would end as a
    panel that is not there.
    """
    # What a fraction does when it is made a float, without the calls that lead there.
    plain = [n if isinstance(n, float) else n.numerator / n.denominator for n in numbers]
    found = np.array(plain, dtype=np.float64) + 0.0
    if not np.isfinite(found).all():
        raise ValueError("a line has a place that is not a number")
    return found
