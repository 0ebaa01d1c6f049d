"""This module draws a piece as it lies flat: its lines, a loop of it, its gap and its mend."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..design.pieces import Fold, How, JointEnd, Piece, Sense
from ..folding import Closing, Sides, Step, Verdict, VertexFolds
from ..geometry import Path, Point, Segment, Vector, Vertex, circle, path_of, polygon
from ..measures import Unit, exact_text
from ..panels import Division, Hinge
from ..proving import Mend
from . import pens
from .labels import SIZE, Box, Label
from .lettering import shortened, width_of
from .model import Anchor, Area, Hatch, Line, Part, Pen, Words
from .sums import degrees_text, letter_of

# How wide the longest label may get, in mm.
_LONGEST = 58.0
# However long the words after it, a name has so much of it.
_LEAST_OF_NAME = 30.0
_HEAD = 1.8


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a piece lies on the page: its `corner` at the page's origin, `scale` page mm a mm."""

    corner: Point
    scale: float

    def point(self, at: Point) -> Point:
        """Where a place of the piece lies on the page."""
        x, y = at.floats()
        corner_x, corner_y = self.corner.floats()
        return Point((x - corner_x) * self.scale, (y - corner_y) * self.scale)

    def path(self, path: Path) -> Path:
        """A path of the piece on the page; arcs keep their bulges."""
        return Path(
            tuple(Vertex(self.point(v.at), v.bulge) for v in path.vertices), closed=path.closed
        )


def placing_of(piece: Piece, scale: float) -> Placing:
    """The placing that puts the lower left corner of a piece's box at the page's origin."""
    left, bottom, _, _ = piece.outline.box()
    return Placing(Point(left, bottom), scale)


def box_of(piece: Piece, placing: Placing) -> Box:
    """The box that a piece fills on the page."""
    return placing.path(piece.outline).box()


def lines_of(piece: Piece, placing: Placing) -> Iterator[Line]:
    """All lines of a piece: each fold once, with the dashes of its sense."""
    for mark in piece.marks:
        if mark.path is not None:
            yield Line(path=placing.path(mark.path), pen=pens.MARK)
    for fold in piece.folds:
        for path, pen in _runs(fold):
            yield Line(path=placing.path(path), pen=pen)
    for slit in piece.slits:
        pen = pens.TEAR if slit.how is How.TEAR else pens.SLIT
        yield Line(path=placing.path(slit.path), pen=pen)
    for opening in piece.openings:
        yield Line(path=placing.path(opening.path), pen=pens.OUTLINE)
    yield Line(path=placing.path(piece.outline), pen=pens.OUTLINE)


def _runs(fold: Fold) -> Iterator[tuple[Path, Pen]]:
    """The stretches of a fold that look alike, in order."""
    run: list[Segment] = []
    before: Pen | None = None
    for segment, sense in zip(fold.path.segments, fold.senses, strict=True):
        pen = _pen(fold, segment, sense)
        if before is not None and pen is not before:
            yield path_of(run, closed=False), before
            run = []
        run.append(segment)
        before = pen
    if before is not None:
        yield path_of(run, closed=False), before


def _pen(fold: Fold, segment: Segment, sense: Sense) -> Pen:
    if fold.still or not segment.is_line:
        return pens.SCORED
    return pens.VALLEY if sense is Sense.VALLEY else pens.MOUNTAIN


def labels_of(piece: Piece, placing: Placing, units: Unit) -> Iterator[Label]:
    """The names of folds with sense and place, of slits and of openings."""
    for fold in piece.folds:
        place = place_of(fold)
        where = "" if place is None else f", {exact_text(place, units)}"
        tail = f": {_sense_text(fold)}{where}"
        name = shortened(fold.name, _room_beside(tail), SIZE)
        yield Label(text=f"{name}{tail}", places=_ends(fold.path, placing))
    for slit in piece.slits:
        name = shortened(slit.name, _LONGEST, SIZE)
        yield Label(text=name, places=_ends(slit.path, placing))
    for opening in piece.openings:
        name = shortened(opening.name, _LONGEST, SIZE)
        yield Label(text=name, places=_ends(opening.path, placing))


def _room_beside(tail: str) -> float:
    """The room for a name with these words after it."""
    return max(_LONGEST - width_of(tail, SIZE), _LEAST_OF_NAME)


def _ends(path: Path, placing: Placing) -> tuple[Point, ...]:
    if path.closed:
        return tuple(placing.point(segment.middle) for segment in path.segments)
    return placing.point(path.start), placing.point(path.end)


def _sense_text(fold: Fold) -> str:
    if fold.still:
        return "scored only"
    senses = " and ".join(dict.fromkeys(str(sense) for sense in fold.senses))
    return senses if fold.angle == 180 else f"{senses} {float(fold.angle):g} degrees"


def place_of(fold: Fold) -> float | None:
    """The height of a level fold, or how far to the right an upright one is; None for others."""
    vertices = fold.path.vertices
    if any(vertex.bulge for vertex in vertices):
        return None
    for values in ([v.at.y for v in vertices], [v.at.x for v in vertices]):
        if all(value == values[0] for value in values):
            return float(values[0])
    return None


@dataclass(frozen=True, kw_only=True, slots=True)
class Ring:
    """The panels of a loop that lie on one piece, by index: of each side, and of neither."""

    longer: tuple[int, ...]
    shorter: tuple[int, ...]
    others: tuple[int, ...]


def ring_of(closing: Closing, sides: Sides | None, piece: str) -> Ring:
    """The panels of a loop, told apart by the side that they lie on."""
    steps = closing.loop.steps
    ring = list(dict.fromkeys(i for name, i in (step.after for step in steps) if name == piece))
    longer: list[int] = []
    shorter: list[int] = []
    if sides is not None:
        longer = _between(steps, sides.other)
        shorter = [i for i in _between(steps, sides.reference) if i not in longer]
    return Ring(
        longer=tuple(longer),
        shorter=tuple(shorter),
        others=tuple(i for i in ring if i not in longer and i not in shorter),
    )


def _between(steps: Sequence[Step], side: Sequence[Step]) -> list[int]:
    """The panels met from the first fold of a side to its last."""
    count = len(steps)
    start = steps.index(side[0])
    found: list[int] = []
    for i in range(count):
        step = steps[(start + i) % count]
        if step is side[-1] or step == side[-1]:
            break
        found.append(step.after[1])
    return found


def shades_of(division: Division, ring: Ring, placing: Placing) -> Iterator[Area]:
    """The panels of a loop, each side in a hatching of its own."""
    for panels, hatch in (
        (ring.longer, Hatch.RISING),
        (ring.shorter, Hatch.FALLING),
        (ring.others, Hatch.DOTS),
    ):
        for index in panels:
            panel = division.panels[index]
            paths = (panel.ring, *panel.holes)
            yield Area(paths=tuple(placing.path(path) for path in paths), fill=hatch)


def side_letters(sides: Sides, placing: Placing) -> Iterator[Part]:
    """A and B on the two sides: between the first folds of a side, or on its only one."""
    for letter, steps in (("A", sides.other), ("B", sides.reference)):
        at = _on_fold(steps[0], placing)
        if len(steps) > 1:
            at = at.between(_on_fold(steps[1], placing), 0.5)
        yield from _badge(letter, at)


def _on_fold(step: Step, placing: Placing) -> Point:
    hinge = step.hinge
    if hinge is None:
        raise ValueError("a joint has no fold line")
    # Folds run either way; the same share of all of them is nearest to the left,
    # or to the foot.
    ends = sorted((hinge.start.floats(), hinge.end.floats()))
    start, end = (placing.point(Point(x, y)) for x, y in ends)
    return start.between(end, 0.25)


def _badge(letter: str, at: Point) -> Iterator[Part]:
    yield Area(paths=(circle(at, 2.3),), fill=pens.PAPER)
    yield Line(path=circle(at, 2.3), pen=pens.FRAME)
    yield Words(
        text=letter,
        at=Point(float(at.x), float(at.y) - 1.1),
        size=SIZE,
        anchor=Anchor.MIDDLE,
        bold=True,
    )


def sector_letters(folds: VertexFolds, placing: Placing) -> Iterator[Part]:
    """A letter in each sector of a vertex, as far out as its angle asks for."""
    middle = placing.point(folds.at)
    rays = [_ray(step, placing) for step in folds.steps]
    for index, (ray, sector) in enumerate(zip(rays, folds.sectors, strict=True)):
        half = math.radians(sector) / 2.0
        far = max(5.0, 2.6 / max(math.sin(min(half, math.pi / 2.0)), 1e-6))
        nearest = min(float(ray.length), float(rays[(index + 1) % len(rays)].length))
        if far > max(nearest, 5.0):
            # There is no room for the letter; the sums name the sector anyway.
            continue
        # Sectors follow each other clockwise.
        turn = math.atan2(float(ray.y), float(ray.x)) - half
        at = Point(
            float(middle.x) + far * math.cos(turn), float(middle.y) + far * math.sin(turn) - 1.1
        )
        yield Words(text=letter_of(index), at=at, size=SIZE, anchor=Anchor.MIDDLE, bold=True)


def _ray(step: Step, placing: Placing) -> Vector:
    hinge = step.hinge
    if hinge is None:
        raise ValueError("a joint is no fold of a vertex")
    start, end = placing.point(hinge.start), placing.point(hinge.end)
    return end - start if step.outward else start - end


def glue_lines(closing: Closing, piece: str, placing: Placing) -> Iterator[Line]:
    """The lines on a piece along which the joints of a loop are glued."""
    for _, end in _glued(closing, piece):
        line = Path((Vertex(placing.point(end.start)), Vertex(placing.point(end.end))))
        yield Line(path=line, pen=pens.GLUE)


def glue_labels(closing: Closing, piece: str, placing: Placing) -> Iterator[Label]:
    """The names of these joints, and on which face of the piece the glue is."""
    for name, end in _glued(closing, piece):
        tail = f", on the {end.face}"
        text = shortened(name, _room_beside(tail), SIZE) + tail
        yield Label(text=text, places=(placing.point(end.start), placing.point(end.end)))


def _glued(closing: Closing, piece: str) -> Iterator[tuple[str, JointEnd]]:
    for step in closing.loop.steps:
        if step.joint is not None:
            joint = step.joint.joint
            for end in (joint.glue, joint.to):
                if end.piece == piece:
                    yield step.label, end


def gap_parts(closing: Closing, placing: Placing) -> Iterator[Part]:
    """A ring with a cross at the place of the gap."""
    at = placing.point(closing.at)
    x, y = at.floats()
    yield Line(path=circle(at, 2.0), pen=pens.GAP)
    for dx, dy in ((3.2, 0.0), (0.0, 3.2)):
        ends = Point(x - dx, y - dy), Point(x + dx, y + dy)
        yield Line(path=Path(tuple(Vertex(end) for end in ends)), pen=pens.GAP)


def gap_label(closing: Closing, placing: Placing, units: Unit) -> Label:
    """The label of the place of the gap."""
    gap = exact_text(closing.gap_mm or 0.0, units)
    what = "too long" if closing.verdict is Verdict.BUCKLES else "apart"
    return Label(text=f"gap: {gap} {what}", places=(placing.point(closing.at),), bold=True)


def mend_parts(
    division: Division, closing: Closing, mend: Mend, placing: Placing, units: Unit
) -> tuple[tuple[Part, ...], tuple[Label, ...]]:
    """The new lines of a mend, an arrow to each from the old one, and a label each."""
    parts: list[Part] = []
    labels: list[Label] = []
    for move in mend.moves:
        hinges = [hinge for hinge in division.hinges if _is_meant(division, hinge, move.line)]
        if not hinges:
            continue
        new = placing.point(move.ends[0]), placing.point(move.ends[1])
        parts.append(Line(path=Path((Vertex(new[0]), Vertex(new[1]))), pen=pens.NEW))
        start, end = placing.point(hinges[0].start), placing.point(hinges[0].end)
        tail = start.between(end, _share_of_arrow(closing, placing, start, end))
        parts += _arrow(tail, _nearest_on(new, tail))
        name = shortened(move.line, 24.0, SIZE)
        if move.turn_deg:
            way = "anticlockwise" if move.turn_deg > 0.0 else "clockwise"
            text = f"mend: {name} turned {degrees_text(abs(move.turn_deg))} degrees {way}"
        else:
            old, place = (exact_text(value, units) for value in (move.from_mm, move.to_mm))
            text = f"mend: {name} from {old} to {place}"
        labels.append(Label(text=text, places=new, bold=True))
    return tuple(parts), tuple(labels)


def _is_meant(division: Division, hinge: Hinge, line: str) -> bool:
    return line in (hinge.label, division.fold_of(hinge).name)


def _nearest_on(line: tuple[Point, Point], at: Point) -> Point:
    """The place of a line between two points that is nearest to a third."""
    start, end = line
    along = end - start
    share = float((at - start).dot(along)) / float(along.dot(along))
    return start.between(end, min(max(share, 0.0), 1.0))


def _share_of_arrow(closing: Closing, placing: Placing, start: Point, end: Point) -> float:
    # The arrow keeps away from the mark of the gap, which lies at an end of a
    # fold, and at a vertex it stands where the lines are farther apart.
    gap = placing.point(closing.at)
    return 0.6 if start.distance(gap) > end.distance(gap) else 0.7


def _arrow(start: Point, end: Point) -> Iterator[Part]:
    """An arrow that ends on the new line; a short one gets a tail behind the old line."""
    along = end - start
    length = float(along.length)
    if length == 0.0:
        return
    unit = along.unit()
    tail = start if length > 2.0 * _HEAD else start + unit * (length - 3.0 * _HEAD)
    base = end + unit * -_HEAD
    yield Line(path=Path((Vertex(tail), Vertex(base))), pen=pens.ARROW)
    side = unit.left * (_HEAD * 0.45)
    yield Area(paths=(polygon(end, base + side, base + -side),), fill=pens.ARROW.colour)
