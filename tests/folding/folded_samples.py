"""Pieces and assemblies whose folded form is known beforehand, from a single vertex to glued cards.

Makers only: what a sample must fold to is reckoned beside it in closed form where
that takes a line (`multiplier`, `zigzag_turn`), and in the tests otherwise.
Lengths are mm, angles degrees.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from foldwright.design.pieces import (
    Face,
    Fold,
    Joint,
    JointEnd,
    Opening,
    PanelName,
    Piece,
    Sense,
    Slit,
)
from foldwright.geometry import Path, Point, Vertex, line, polygon
from foldwright.measures.exact import Number
from foldwright.panels import Assembly, assemble, divide

M, V = Sense.MOUNTAIN, Sense.VALLEY
OTHER = {M: V, V: M}

Pair = tuple[float | Fraction, float | Fraction]


@dataclass(frozen=True, kw_only=True, slots=True)
class Sample:
    """Pieces and the joints between them."""

    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...] = ()

    @property
    def assembly(self) -> Assembly:
        """The sample divided and joined.  Fails where that finds any problem."""
        divisions = {piece.name: divide(piece) for piece in self.pieces}
        joined = assemble(divisions, self.joints)
        assert [p for d in divisions.values() for p in d.problems] == []
        assert joined.problems == ()
        return joined


def assembled(*pieces: Piece) -> Assembly:
    """Pieces without joints, divided."""
    return Sample(pieces=pieces).assembly


def at(x: float | Fraction, y: float | Fraction) -> Point:
    """A place; whole numbers are exact."""
    return Point(number(x), number(y))


def number(value: float | Fraction) -> Number:
    """A number as the design would hold it: whole ones exact."""
    return Fraction(value) if isinstance(value, int) else value


def fold(
    name: str,
    *places: Pair,
    sense: Sense | Sequence[Sense] = V,
    angle: float | Fraction = 180,
    still: bool = False,
) -> Fold:
    """A fold along places, in one sense or one for each segment."""
    senses = (sense,) * (len(places) - 1) if isinstance(sense, Sense) else tuple(sense)
    return Fold(
        name=name,
        path=line(*(at(*place) for place in places)),
        senses=senses,
        angle=number(angle),
        still=still,
    )


def rectangle(width: float | Fraction, height: float | Fraction) -> Path:
    """A rectangle from the origin."""
    return polygon(at(0, 0), at(width, 0), at(width, height), at(0, height))


# Single vertices.


def vertex(
    sectors: Sequence[float],
    senses: Sequence[Sense],
    angles: Sequence[float] | None = None,
    *,
    first_deg: float = 0.0,
    half: float = 100.0,
) -> Piece:
    """Folds `crease 1`, ... from the middle of a square, sectors anticlockwise, all but one given.

    `sectors` may leave out the last one.  `angles` are the closed angles, 180 if
    left out.
    """
    folds = []
    turn = first_deg
    for index, sense in enumerate(senses):
        x, y = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        reach = half / max(abs(x), abs(y))
        folds.append(
            fold(
                f"crease {index + 1}",
                (half, half),
                (half + reach * x, half + reach * y),
                sense=sense,
                angle=180 if angles is None else angles[index],
            )
        )
        if index < len(senses) - 1:
            turn += sectors[index]
    return Piece(name="sheet", outline=rectangle(2 * half, 2 * half), folds=tuple(folds))


def multiplier(a1: float, a2: float, mode: str) -> float:
    """tan(r1/2) / tan(r2/2) at a flat-foldable vertex of sectors a1, a2, 180-a1, 180-a2.

    Creases c1 to c4 stand before the sectors of their number; fold angles are
    positive for one sense and negative for the other.  In mode A r3 = -r1 and
    r4 = r2, in mode B r3 = r1 and r4 = -r2.  Source: tests/published, fact F21.
    """
    less, more = math.radians(a1 - a2) / 2.0, math.radians(a1 + a2) / 2.0
    if mode == "A":
        return math.sin(less) / math.sin(more)
    return -math.cos(less) / math.cos(more)


def vertex4_senses(a1: float, a2: float, mode: str) -> tuple[Sense, Sense, Sense, Sense]:
    """The senses of the four creases in a mode of folding, the second one a valley."""
    first = V if multiplier(a1, a2, mode) > 0.0 else M
    return (first, V, OTHER[first], V) if mode == "A" else (first, V, first, M)


def vertex4(a1: float, a2: float, mode: str, *, first_deg: float = 0.0) -> Piece:
    """A flat-foldable vertex of sectors a1, a2, 180-a1, 180-a2 with the senses of a mode."""
    return vertex((a1, a2, 180.0 - a1), vertex4_senses(a1, a2, mode), first_deg=first_deg)


# Grids of vertices.


def zigzag_grid(
    columns: Sequence[int | Fraction],
    rows: Sequence[int | Fraction],
    rises: Sequence[int | Fraction],
) -> Piece:
    """A map fold of straight upright folds and zigzags, with one rise for each zigzag.

    `columns` are the widths of the columns of panels, `rows` the heights of the
    rows; zigzag j rises by rises[j] from each even upright to the odd ones
    beside it, so its acute angle with them is atan(width / rise); for that to
    be the same all along a zigzag, all columns have one width.  Rational
    throughout, so its closing is exact.
    """
    xs = [Fraction(0)]
    for width in columns:
        xs.append(xs[-1] + width)
    ys = [Fraction(0)]
    for height in rows:
        ys.append(ys[-1] + height)
    inner = range(1, len(columns))
    zigzags = range(1, len(rows))

    def place(i: int, j: int) -> Pair:
        return xs[i], ys[j] + (rises[j - 1] if i % 2 else 0)

    def along(j: int) -> Sense:
        return V if j % 2 == 0 else M

    folds = []
    for j in zigzags:
        path = [place(i, j) for i in range(len(columns) + 1)]
        folds.append(fold(f"zigzag {j}", *path, sense=along(j)))
    for i in inner:
        path = [(xs[i], ys[0]), *(place(i, j) for j in zigzags), (xs[i], ys[-1])]
        # The odd man out of a vertex is the upright on the acute side: below a
        # peak (odd uprights), above a dip.
        senses = [along(k) if i % 2 else OTHER[along(k)] for k in range(len(rows))]
        folds.append(fold(f"upright {i}", *path, sense=senses))
    return Piece(name="map", outline=rectangle(xs[-1], ys[-1]), folds=tuple(folds))


def square_grid(side: int, rise: int | Fraction = 12) -> Piece:
    """A zigzag grid of `side` by `side` vertices, cells of 30 by 40 mm, all of one rise."""
    return zigzag_grid([30] * (side + 1), [40] * (side + 1), [rise] * side)


def zigzag_turn(upright_deg: float, width: float, rise: float) -> float:
    """How far a zigzag is turned when the uprights are turned by an angle.

    tan(upright / 2) = cos(g) tan(zigzag / 2), g being the acute angle between
    them.  Source: tests/published, fact F22.
    """
    cosine = rise / math.hypot(width, rise)
    return 2.0 * math.degrees(math.atan2(math.tan(math.radians(upright_deg / 2.0)), cosine))


def miura(columns: int, rows: int, g: float, *, a: float = 30.0, b: float = 25.0) -> Piece:
    """A map fold of equal parallelograms: columns `a` wide, rows `b` high, acute angle g."""
    rise = a / math.tan(math.radians(g))
    return outlined_by_cells(
        columns, rows, lambda i, j: (i * a, j * b + (rise if i % 2 else 0.0)), name="map"
    )


def outlined_by_cells(
    columns: int, rows: int, place: Callable[[int, int], Pair], *, name: str
) -> Piece:
    """A zigzag map whose outline runs along its outer cells, its vertices where `place` says."""
    folds = []
    for j in range(1, rows):
        path = [place(i, j) for i in range(columns + 1)]
        folds.append(fold(f"zigzag {j}", *path, sense=V if j % 2 == 0 else M))
    for i in range(1, columns):
        path = [place(i, j) for j in range(rows + 1)]
        senses = [V if (k + i) % 2 else M for k in range(rows)]
        folds.append(fold(f"upright {i}", *path, sense=senses))
    corners = [
        *(place(i, 0) for i in range(columns + 1)),
        *(place(columns, j) for j in range(1, rows + 1)),
        *(place(i, rows) for i in range(columns - 1, -1, -1)),
        *(place(0, j) for j in range(rows - 1, 0, -1)),
    ]
    return Piece(
        name=name, outline=polygon(*(at(*corner) for corner in corners)), folds=tuple(folds)
    )


def square_twist(
    radius: float | Fraction,
    phi: float = 45.0,
    senses: Sequence[Sense] = (M, M, M, M),
    *,
    half: int = 100,
    brace: bool = False,
) -> Piece:
    """A central square, `radius` half its diagonal, and four pleats that leave it at the angle phi.

    `senses` are those of the square's sides 1 to 4, anticlockwise; every pleat
    takes its own from them so that Maekawa's theorem and the big-little-big
    lemma hold: `pleat n` beside the narrow sector opposite to side n, `pleat n'`
    at its other end like it.  `brace` adds a fold across the square's diagonal,
    flat when closed.  At 45 degrees all places are rational.
    """
    exact = phi == 45.0
    # Corners A, B, C, D with the pleat from side AB leaving towards +x.
    middle = Fraction(half)
    corners: list[Pair] = []
    for k in range(4):
        if exact:
            x, y = ((0, -1), (1, 0), (0, 1), (-1, 0))[k]
            corners.append((middle + radius * x, middle + radius * y))
        else:
            turn = math.radians(phi - 135.0 + 90.0 * k)
            corners.append(
                (middle + radius * math.cos(turn), middle + radius * math.sin(turn)),
            )

    def rim(corner: Pair, k: int) -> Pair:
        x, y = corner
        return ((2 * half, y), (x, 2 * half), (0, y), (x, 0))[k]

    folds = []
    for k, sense in enumerate(senses):
        start, end = corners[k], corners[(k + 1) % 4]
        folds += [
            fold(f"side {k + 1}", start, end, sense=sense),
            fold(f"pleat {k + 1}", start, rim(start, k), sense=OTHER[sense]),
            fold(f"pleat {k + 1}'", end, rim(end, k), sense=sense),
        ]
    if brace:
        folds.append(fold("brace", corners[0], corners[2], sense=V, angle=0))
    return Piece(name="twist", outline=rectangle(2 * half, 2 * half), folds=tuple(folds))


# Bands between slits.


def stair(
    treads: Sequence[int | Fraction],
    risers: Sequence[int | Fraction],
    *,
    wall: int | Fraction | None = None,
    angle: float | Fraction = 180,
) -> Piece:
    """A card 150 wide with a slit at 50 and a band of steps to the right of it.

    The first fold of the band is a valley, then they alternate, treads before
    risers.  `wall` is the height of that fold above the gutter: the sum of the
    risers if left out, so that the card closes.
    """
    up = sum(risers, Fraction(0)) if wall is None else Fraction(wall)
    total = sum(treads, Fraction(0)) + sum(risers, Fraction(0))
    gutter = total - up + 20
    length = total + 40
    places = [gutter + up]
    for tread, riser in zip(treads, risers, strict=True):
        places += [places[-1] - tread, places[-1] - tread - riser]
    folds = [
        fold(f"steps {i + 1}", (50, y), (150, y), sense=M if i % 2 else V, angle=angle)
        for i, y in enumerate(places)
    ]
    return Piece(
        name="base",
        outline=rectangle(150, length),
        slits=(Slit(name="slit 1", path=line(at(50, places[-1]), at(50, places[0]))),),
        folds=(*folds, fold("gutter", (0, gutter), (50, gutter), angle=angle)),
    )


def box_between_slits(depth: int = 30, height: int = 40, *, gutter_off: int = 0) -> Piece:
    """A parallel-fold pop-up in one piece: a band between two slits across the gutter.

    The right-hand gutter lies `gutter_off` higher than the left-hand one.
    """
    gutter = 100
    return Piece(
        name="base",
        outline=rectangle(160, 200),
        slits=tuple(
            Slit(name=f"slit {k + 1}", path=line(at(x, gutter - depth), at(x, gutter + height)))
            for k, x in enumerate((50, 110))
        ),
        folds=(
            fold("top", (50, gutter + height), (110, gutter + height)),
            fold("ridge", (50, gutter + height - depth), (110, gutter + height - depth), sense=M),
            fold("foot", (50, gutter - depth), (110, gutter - depth)),
            fold("left gutter", (0, gutter), (50, gutter)),
            fold("right gutter", (110, gutter + gutter_off), (160, gutter + gutter_off)),
        ),
    )


def accordion(widths: Sequence[int | Fraction], angles: Sequence[float] | None = None) -> Piece:
    """A strip of panels with parallel folds, valley first, then alternating: no loop at all."""
    xs = [Fraction(0)]
    for width in widths:
        xs.append(xs[-1] + width)
    return Piece(
        name="strip",
        outline=rectangle(xs[-1], 60),
        folds=tuple(
            fold(
                f"fold {i + 1}",
                (x, 0),
                (x, 60),
                sense=M if i % 2 else V,
                angle=180 if angles is None else angles[i],
            )
            for i, x in enumerate(xs[1:-1])
        ),
    )


# Glued cards.


def page(width: int | Fraction = 160, length: int | Fraction = 240) -> Piece:
    """A card base with an upright gutter in its middle and its pages named."""
    middle = Fraction(width) / 2
    return Piece(
        name="base",
        outline=rectangle(width, length),
        folds=(fold("gutter", (middle, 0), (middle, length)),),
        panel_names=(
            PanelName(name="left page", at=at(1, 1)),
            PanelName(name="right page", at=at(width - 1, 1)),
        ),
    )


def glued(
    name: str,
    glue: tuple[str, str, Face, Pair, Pair],
    to: tuple[str, str, Face, Pair, Pair],
    *,
    slack: float | Fraction = 0,
) -> Joint:
    """A joint from piece, panel, face and the two ends of a line on each side."""

    def end(piece: str, panel: str, face: Face, first: Pair, last: Pair) -> JointEnd:
        return JointEnd(piece=piece, panel=panel, face=face, start=at(*first), end=at(*last))

    return Joint(name=name, glue=end(*glue), to=end(*to), slack=number(slack))


def parallel_box(
    a: int | Fraction,
    b: int | Fraction,
    first: int | Fraction | None = None,
    second: int | Fraction | None = None,
    *,
    angles: Sequence[float] = (180, 180, 180, 180),
    slack: float | Fraction = 0,
) -> Sample:
    """A strip glued at a and at b from the gutter, its two parts `first` and `second` long.

    Left out, the parts are b at the a side and a at the b side: a parallelogram.
    `angles` are the closed angles of the gutter, the left foot, the ridge and the
    right foot.
    """
    one = Fraction(b if first is None else first)
    two = Fraction(a if second is None else second)
    base = page(2 * (a + b) + 20, 100)
    middle = Fraction(a + b) + 10
    base = replace(base, folds=(replace(base.folds[0], angle=number(angles[0])),))
    foot = 10
    strip = Piece(
        name="strip",
        outline=rectangle(2 * foot + one + two, 40),
        folds=(
            fold("left foot", (foot, 0), (foot, 40), angle=angles[1]),
            fold("ridge", (foot + one, 0), (foot + one, 40), sense=M, angle=angles[2]),
            fold("right foot", (foot + one + two, 0), (foot + one + two, 40), angle=angles[3]),
        ),
        panel_names=(
            PanelName(name="left foot", at=at(1, 1)),
            PanelName(name="left part", at=at(foot + 1, 1)),
            PanelName(name="right part", at=at(foot + one + 1, 1)),
            PanelName(name="right foot", at=at(2 * foot + one + two - 1, 1)),
        ),
    )
    end = foot + one + two
    joints = (
        glued(
            "left",
            ("strip", "left foot", Face.BACK, (foot, 0), (foot, 40)),
            ("base", "left page", Face.FRONT, (middle - a, 30), (middle - a, 70)),
        ),
        glued(
            "right",
            ("strip", "right foot", Face.BACK, (end, 0), (end, 40)),
            ("base", "right page", Face.FRONT, (middle + b, 30), (middle + b, 70)),
            slack=slack,
        ),
    )
    return Sample(pieces=(base, strip), joints=joints)


def v_fold(
    al: float = 45.0,
    be: float = 60.0,
    *,
    ridge: float = 60.0,
    glue_length: float = 50.0,
    right_al: float | None = None,
) -> Sample:
    """A symmetric V-fold pop-up: two wings that meet in a ridge, a foot at each, glued to a page.

    The glue lines stand at `al` to the gutter on both pages and open upwards, the
    ridge at `be` to each.  The feet point away from the gutter, so all four
    folds are turned 180 when shut, the ridge as a mountain.
    """
    apex = (80, 60)

    def out(side: int, angle: float, reach: float, start: Pair = (0, 0)) -> tuple[float, float]:
        """A place at an angle from straight up, to the left (-1) or right (1)."""
        x = float(start[0]) + side * reach * math.sin(math.radians(angle))
        return x, float(start[1]) + reach * math.cos(math.radians(angle))

    def foot(side: int) -> tuple[Pair, Pair]:
        inner, outer = 0.2 * glue_length, 0.8 * glue_length
        return (
            out(side, be + 90.0, 10.0, out(side, be, inner)),
            out(side, be + 90.0, 10.0, out(side, be, outer)),
        )

    ends = {side: out(side, be, glue_length) for side in (-1, 1)}
    right, left = foot(1), foot(-1)
    corners: tuple[Pair, ...] = (
        (0, 0), *right, ends[1], (0, ridge), ends[-1], left[1], left[0],
    )  # fmt: skip
    popup = Piece(
        name="pop-up",
        outline=polygon(*(at(*corner) for corner in corners)),
        folds=(
            fold("left crease", (0, 0), ends[-1]),
            fold("ridge", (0, 0), (0, ridge), sense=M),
            fold("right crease", (0, 0), ends[1]),
        ),
        panel_names=(
            PanelName(name="left wing", at=at(*out(-1, be / 2, glue_length / 2))),
            PanelName(name="right wing", at=at(*out(1, be / 2, glue_length / 2))),
            PanelName(name="left foot", at=at(*out(-1, be + 5, glue_length / 2))),
            PanelName(name="right foot", at=at(*out(1, be + 5, glue_length / 2))),
        ),
    )
    joints = tuple(
        glued(
            word,
            ("pop-up", f"{word} foot", Face.BACK, (0, 0), ends[side]),
            ("base", f"{word} page", Face.FRONT, apex, out(side, angle, glue_length, apex)),
        )
        for word, side, angle in (
            ("left", -1, al),
            ("right", 1, al if right_al is None else right_al),
        )
    )
    return Sample(pieces=(page(), popup), joints=joints)


def tube(width: int = 60, depth: int = 35, height: int = 80) -> Sample:
    """A box without lids: four walls and a glue flap, all folds valleys at right angles."""
    flap = 12
    xs = [flap, flap + width, flap + width + depth, flap + 2 * width + depth]
    end = flap + 2 * (width + depth)
    box = Piece(
        name="box",
        outline=polygon(at(0, 5), at(flap, 0), at(end, 0), at(end, height), at(flap, height),
                        at(0, height - 5)),
        folds=tuple(
            fold(f"edge {k + 1}", (x, 0), (x, height), angle=90) for k, x in enumerate(xs)
        ),
        panel_names=tuple(
            PanelName(name=name, at=at(x, 10))
            for name, x in (
                ("flap", flap - 1),
                ("front", xs[0] + 1),
                ("right side", xs[1] + 1),
                ("rear", xs[2] + 1),
                ("left side", xs[3] + 1),
            )
        ),
    )  # fmt: skip
    seam = glued(
        "seam",
        ("box", "flap", Face.BACK, (flap, 0), (flap, height)),
        ("box", "left side", Face.FRONT, (end, 0), (end, height)),
    )
    return Sample(pieces=(box,), joints=(seam,))


def easel(panel: int = 105, width: int = 75) -> Sample:
    """An easel card: a base folded at its hinge and at its middle, a display on its outer half.

    Shut, the middle fold is flat, so its closed angle is 0.  Seen from the front of
    the base, which is the inside, both folds are valleys.
    """
    half = Fraction(panel, 2)
    base = Piece(
        name="base",
        outline=rectangle(width, 2 * panel),
        folds=(
            fold("hinge", (0, panel), (width, panel)),
            fold("middle", (0, panel + half), (width, panel + half), angle=0),
        ),
        panel_names=(
            PanelName(name="floor", at=at(1, 1)),
            PanelName(name="inner half", at=at(1, panel + 1)),
            PanelName(name="outer half", at=at(1, 2 * panel - 1)),
        ),
    )
    display = Piece(
        name="display",
        outline=rectangle(width, panel),
        panel_names=(PanelName(name="picture", at=at(1, 1)),),
    )
    # The back of the base's upper panel is outside when it is shut; the picture's
    # back is glued on it, its lower edge along the base's far edge.
    on = glued(
        "display",
        ("display", "picture", Face.BACK, (0, 0), (width, 0)),
        ("base", "outer half", Face.BACK, (0, 2 * panel), (width, 2 * panel)),
    )
    return Sample(pieces=(base, display), joints=(on,))


def strut(k: int = 100, length: float = 95.0) -> Sample:
    """A panel with a strut on its back: a foot glued above height k, the strut hanging from it."""
    panel = Piece(
        name="panel",
        outline=rectangle(90, 150),
        panel_names=(PanelName(name="picture", at=at(1, 1)),),
    )
    leg = Piece(
        name="strut",
        outline=rectangle(50, length + 15),
        folds=(fold("pivot", (0, length), (50, length), angle=0),),
        panel_names=(
            PanelName(name="leg", at=at(1, 1)),
            PanelName(name="tongue", at=at(1, length + 1)),
        ),
    )
    # Seen from behind, with the panel's left on the right.
    on = glued(
        "tongue",
        ("strut", "tongue", Face.BACK, (0, length), (50, length)),
        ("panel", "picture", Face.BACK, (70, k), (20, k)),
    )
    return Sample(pieces=(panel, leg), joints=(on,))


# Pieces that something is wrong with.


def apart() -> Sample:
    """Two pieces that nothing joins."""
    return Sample(pieces=(stair([30], [40]), replace(accordion([20, 20]), name="loose")))


def cut_loose() -> Piece:
    """A card from which a closed slit cuts a panel out: a stop of its division."""
    island = polygon(at(60, 20), at(90, 20), at(90, 40), at(60, 40))
    return Piece(
        name="base",
        outline=rectangle(100, 100),
        slits=(Slit(name="slit 1", path=island),),
        folds=(fold("gutter", (0, 50), (100, 50)),),
    )


def bare() -> Piece:
    """A piece without a fold, and with a hole."""
    hole = polygon(at(40, 40), at(60, 40), at(60, 60), at(40, 60))
    return Piece(
        name="plate",
        outline=rectangle(100, 100),
        openings=(Opening(name="window", path=hole),),
    )


# Samples told otherwise.


def mirrored(piece: Piece, *, about: int | Fraction = 0) -> Piece:
    """The piece seen in a mirror that stands on an upright line; its senses stay."""

    def path(old: Path) -> Path:
        return Path(
            tuple(Vertex(over(vertex.at), -vertex.bulge) for vertex in old.vertices), old.closed
        )

    def over(place: Point) -> Point:
        return Point(2 * about - place.x, place.y)

    def closed(old: Path) -> Path:
        turned = path(old)
        return Path(tuple(reversed(turned.vertices)), closed=True)

    assert all(segment.is_line for segment in piece.outline.segments)
    return replace(
        piece,
        outline=closed(piece.outline),
        openings=tuple(replace(one, path=closed(one.path)) for one in piece.openings),
        slits=tuple(replace(one, path=path(one.path)) for one in piece.slits),
        folds=tuple(replace(one, path=path(one.path)) for one in piece.folds),
        panel_names=tuple(replace(one, at=over(one.at)) for one in piece.panel_names),
    )


def mirrored_sample(sample: Sample) -> Sample:
    """All pieces of a sample in a mirror, with their joints."""

    def end(old: JointEnd) -> JointEnd:
        return replace(
            old, start=Point(-old.start.x, old.start.y), end=Point(-old.end.x, old.end.y)
        )

    return Sample(
        pieces=tuple(mirrored(piece) for piece in sample.pieces),
        joints=tuple(
            replace(joint, glue=end(joint.glue), to=end(joint.to)) for joint in sample.joints
        ),
    )
