"""This module lists the mats of a card as parts to cut: equal ones once, with a letter and a count.

Each part lies as it is cut: seen from the side that shows, with its print upright
where it has a print direction, its lower left corner at the origin.  Two are equal
where one can be laid on the other without turning it over; where the paper has a print
direction, without turning it at all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely

from ..design.pieces import Face, LShape, Mark, Mat, Opening, Piece
from ..folding import PanelKey
from ..geometry import Point, union_box
from ..geometry.inside import inside
from ..geometry.offset_check import flattened
from ..lettering import set_text
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..panels import told
from ..problems import Problem, problem
from ..proving import Proof
from ..proving.materials import calipers_of
from ..stacking.mats import MatShape, mat_shapes
from .covered import Glued, covered_texts
from .directions import Seen, pose_seen, up_on
from .l_shapes import two_rectangles
from .letters import letter
from .model import Kind, MadePiece
from .shapes import Shape, same_shape, shape_of, tilt

# How tall the letter on the back of a mat is, how tall at least, and what is left free for
# the width of the pen, in mm.
_LETTER_MM = 6.0
_LEAST_LETTER_MM = 2.0
_PEN_MM = 0.5

# Print directions that differ by less than this, in degrees, are one.
_SAME_UP_DEG = 1e-3


@dataclass(frozen=True, kw_only=True, slots=True)
class PlacedMat:
    """A mat, or one part of it, on its panel.

    `shape` lies on the flat panel as it is seen from the front of the paper, `up` is the
    print direction there in degrees, None where the mat has none.  `margin` is in mm.
    """

    letter: str
    mat: Mat
    panel: PanelKey
    shape: Shape
    margin: float
    up: float | None

    @property
    def face(self) -> Face:
        """The face of the panel that it is glued on."""
        return self.mat.face


@dataclass(frozen=True, kw_only=True, slots=True)
class Mats:
    """All mats of a card: the parts to cut, where each one goes, what there is to say of them.

    `seen_in` is the name of the pose in which print directions count, None without any.
    """

    pieces: tuple[MadePiece, ...]
    placed: tuple[PlacedMat, ...]
    problems: tuple[Problem, ...]
    seen_in: str | None = None


def mat_pieces(proof: Proof) -> tuple[tuple[MadePiece, ...], tuple[Problem, ...]]:
    """The mats of a card as parts to cut, in the order of their letters, and what is to be told.

    Panels of which a margin leaves nothing have none; the findings of the proof say so.
    """
    mats = mats_of(proof)
    return mats.pieces, mats.problems


def mats_of(proof: Proof) -> Mats:
    """The mats of a card, and where each one goes; none where a piece has no panels."""
    if proof.closed is None or not proof.resolved.mats:
        return Mats(pieces=(), placed=(), problems=())
    shapes = mat_shapes(
        proof.assembly,
        proof.resolved.mats,
        Unit(proof.resolved.units),
        calipers_of(proof.profiles),
    )
    directed = any(mat.up is not None for mat in proof.resolved.mats)
    seen = pose_seen(proof) if directed else None
    placed = [one for shape in shapes for one in _placed(shape, seen)]
    pieces, lettered = _merged(placed, proof)
    return Mats(
        pieces=pieces,
        placed=lettered,
        problems=(
            *_of_print(seen),
            *_of_l_shapes(shapes, proof),
            *covered_texts(
                proof.resolved.pieces,
                [Glued(one.letter, one.panel[0], one.face, one.shape) for one in lettered],
            ),
        ),
        seen_in=None if seen is None else seen.pose.name,
    )


def _placed(found: MatShape, seen: Seen | None) -> Iterator[PlacedMat]:
    """The parts of one mat on one panel, without letters yet."""
    mat = found.mat
    up = None
    if mat.up is not None and seen is not None:
        up = up_on(seen, found.panel, mat.face) + float(mat.up) - 90.0
        # As it lies on the panel, seen from the front.
        up = (up if mat.face is Face.FRONT else 180.0 - up) % 360.0
    for shape in _parts(found):
        yield PlacedMat(
            letter="", mat=mat, panel=found.panel, shape=shape, margin=found.margin, up=up
        )


def _parts(found: MatShape) -> Iterator[Shape]:
    for shape in _whole(found):
        halves = two_rectangles(shape, found.margin) if found.mat.l_shape is LShape.TWO else None
        yield from (shape,) if halves is None else halves


def _whole(found: MatShape) -> Iterator[Shape]:
    """The parts in which a mat comes, each with the holes that lie in it."""
    for outline in found.outlines:
        holes = [
            hole
            for hole in found.openings
            if len(found.outlines) == 1 or inside(outline, *hole.segments[0].middle.floats())
        ]
        yield shape_of(outline, holes)


def _merged(
    placed: Sequence[PlacedMat], proof: Proof
) -> tuple[tuple[MadePiece, ...], tuple[PlacedMat, ...]]:
    """The parts to cut, equal ones together, and the parts on their panels with their letters."""
    pieces: list[MadePiece] = []
    shapes: list[Shape] = []
    lettered = []
    copies = {name: division.piece.copies for name, division in proof.assembly.divisions.items()}
    for one in placed:
        shape, up = as_cut(one)
        count = copies[one.panel[0]]
        where = (proof.assembly.panel_called(one.panel),) * count
        for place, (piece, known) in enumerate(zip(pieces, shapes, strict=True)):
            if _equal(piece, known, one, shape, up):
                pieces[place] = replace(
                    piece, count=piece.count + count, where=(*piece.where, *where)
                )
                break
        else:
            place = len(pieces)
            pieces.append(_piece(letter(place), one, shape, up, count, where))
            shapes.append(shape)
        lettered.append(replace(one, letter=pieces[place].letter))
    return tuple(pieces), tuple(lettered)


def as_cut(one: PlacedMat) -> tuple[Shape, float | None]:
    """A mat as it is cut, seen from the side that shows, and its print direction in degrees.

    It lies square to the trimmer as far as it can, and with a print direction so that up is
    within 45 degrees of upright.
    """
    shape, up = one.shape, one.up
    if one.face is Face.BACK:
        shape, up = shape.turned_over(), None if up is None else 180.0 - up
    turn = -tilt(shape)
    if up is not None:
        turn += 90.0 * round((90.0 - up - turn) / 90.0)
        up = round((up + turn) % 360.0, 6)
    return shape.turned(turn).at_home(), up


def _equal(piece: MadePiece, known: Shape, one: PlacedMat, shape: Shape, up: float | None) -> bool:
    if piece.stock != one.mat.stock or (piece.up is None) != (up is None):
        return False
    if piece.up is not None and up is not None and abs(piece.up - up) > _SAME_UP_DEG:
        return False
    return same_shape(shape, known, turning=up is None)


def _piece(
    called: str,
    one: PlacedMat,
    shape: Shape,
    up: float | None,
    count: int,
    where: tuple[str, ...],
) -> MadePiece:
    width, height = (round(side, 6) for side in shape.size)
    return MadePiece(
        letter=called,
        kind=Kind.MAT,
        piece=Piece(
            name=f"mat {called}",
            outline=shape.outline,
            openings=tuple(
                # It is no line of the file: what is told of it is told of its mat.
                Opening(name=f"opening {number}", path=path.reversed, place=one.mat.place)
                for number, path in enumerate(shape.openings, start=1)
            ),
            marks=_letter_marks(called, shape),
            stock=one.mat.stock,
            place=one.mat.place,
        ),
        stock=one.mat.stock,
        count=count,
        where=where,
        width_mm=width,
        height_mm=height,
        up=up,
        way=None if up is None else "lengthwise" if height >= width else "crosswise",
    )


def _letter_marks(called: str, shape: Shape) -> tuple[Mark, ...]:
    """The letter of a mat on its back, where there is most room; none on one too small for it."""
    whole = shapely.Polygon(flattened(shape.outline), [flattened(path) for path in shape.openings])
    circle = shapely.maximum_inscribed_circle(whole, tolerance=MEETS_MM * 10.0)
    (x, y), (rim_x, rim_y) = circle.coords
    room = math.hypot(rim_x - x, rim_y - y)
    strokes = set_text(called, at=Point(0.0, 0.0), height=1.0).strokes
    left, bottom, right, top = union_box(path.box() for path in strokes)
    # The corners of the letters keep within the circle, and a pen's width from its rim.
    height = (room - _PEN_MM) * 2.0 / math.hypot(right - left, top - bottom)
    height = min(_LETTER_MM, math.floor(height * 10.0) / 10.0)
    if height < _LEAST_LETTER_MM:
        return ()
    at = Point(
        round(x - (left + right) / 2.0 * height, 3), round(y - (bottom + top) / 2.0 * height, 3)
    )
    return (Mark(name="letter", text=called, at=at, height=height, face=Face.BACK),)


def _of_print(seen: Seen | None) -> Iterator[Problem]:
    if seen is None:
        return
    if seen.asked is None:
        yield problem("print-seen-flat")
    elif seen.is_missed:
        yield problem("print-pose-missed", pose=seen.asked)


def _of_l_shapes(shapes: Sequence[MatShape], proof: Proof) -> Iterator[Problem]:
    """Tells of mats that are to be cut as two rectangles and cannot be.

    A rectangle among the panels of a mat is no slip, as long as one of them is an L.
    """
    for mat in proof.resolved.mats:
        if mat.l_shape is LShape.ONE:
            continue
        own = [(found, shape) for found in shapes if found.mat is mat for shape in _whole(found)]
        odd = [pair for pair in own if two_rectangles(pair[1], pair[0].margin) is None]
        spared = len(odd) < len(own)
        for found, shape in odd:
            if spared and shape.is_rectangle:
                continue
            piece, index = found.panel
            yield problem(
                "mat-not-an-l",
                place=mat.place,
                piece=piece,
                what=told("mat", mat.name),
                panel=proof.assembly.divisions[piece].panels[index].name,
            )
