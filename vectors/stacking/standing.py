"""This module tells how a card stands: on what, how far from tipping, and how else it can rest.

Space is that of a pose: z up, the table at z = 0.  A card stands on the convex hull
of all that touches the table.  It stays as long as its centre of mass is above that
polygon; tilted about the nearest edge it tips as soon as the centre is above that
edge, at an angle whose tangent is the margin over the height of the centre.  A card
at rest lies on a face of the convex hull of all its corners.

Paper is stiff here, and as thin as nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..design.pieces import Extra
from ..folding import PanelKey
from ..folding.motion import STILL, Motion, Place3
from ..folding.skeleton import first_panel, parts_of, skeleton_of
from ..geometry import Path, Point, circle, polygon
from ..geometry.hull import Place2, convex_hull, margin_in
from ..geometry.hull_faces import Floats, Ints, hull_faces
from ..geometry.offset_check import flattened
from ..measures.exact import MEETS_MM, ROUNDING_MM
from ..panels import Assembly
from .mass import Balance, Masses, balance_of
from .mats import panel_keys

# Ways down that differ by less than this, as a sine, are one.
_SAME_WAY = 1e-6


@dataclass(frozen=True, kw_only=True, slots=True)
class Resting:
    """A way in which a card can be put on the table.

    `onto` is what moves the pose there, STILL for the pose as it is.  All places are those
    after it: `touching` are the panels that touch the table and `lying` those that lie on it in
    full, `polygon` the corners of what the card stands on, anticlockwise, `centre` its centre of
    mass.  `margin_mm` is how far the foot of the centre lies inside the polygon, negative
    outside, `edge` the edge nearest to it and `tip_deg` the tilt about that edge at which the
    card tips, negative where it tips by itself.  `below` is the panel that reaches farthest
    below the table, with what is on it, None where none does, and `below_mm` how far.
    """

    onto: Motion
    touching: tuple[PanelKey, ...]
    lying: tuple[PanelKey, ...]
    polygon: tuple[Place2, ...]
    centre: Place3
    margin_mm: float
    edge: tuple[Place2, Place2]
    tip_deg: float
    below: PanelKey | None = None
    below_mm: float = 0.0

    @property
    def stands(self) -> bool:
        """Whether the card stays as it is put; less than MEETS_MM to spare is nothing."""
        return self.margin_mm > MEETS_MM and self.below is None


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """How a card stands in a pose, and how else it can rest, from the safest on.

    `panels` are those of the card: pieces that nothing ties to it are not.  `asked` is the pose
    on the panels that it names; `others` are the ways in which it stands by itself.
    """

    panels: tuple[PanelKey, ...]
    mass_g: float
    asked: Resting
    others: tuple[Resting, ...]


def standing_of(
    assembly: Assembly,
    placed: Mapping[PanelKey, Motion],
    masses: Masses,
    on: Sequence[PanelKey] = (),
) -> Standing | None:
    """How the card stands in a pose, None where its mass or its centre is not known.

    The card is what is tied to the first of the panels `on`, or to the largest panel of the
    first piece.  It is judged as it is placed, let down where it floats.  Where a panel of `on`
    does not lie on the table so, those panels are meant to stand on it (a tent on two edges, a
    picture and its strut on one each): it is put on the face of its hull that all of them
    touch without lying in it.  Of several that is the one on which the first of them stands most
    upright, y up as it is drawn, and then the safest.  Extras that stand up from their
    panels may touch the table too.  Panels without a place are left out.
    """
    panels = _card(assembly, placed, on)
    balance = balance_of(masses, placed, panels)
    if balance is None:
        return None
    body = _body(assembly, placed, panels, masses.extras)
    lowest = float(body.places[:, 2].min())
    let_down = STILL if lowest <= MEETS_MM else Motion(STILL.rows, (0.0, 0.0, -lowest))
    asked = _resting(body, balance, let_down)
    rests = [_resting(body, balance, onto) for onto in _ways_to_lie(body.places)]
    mine = [key for key in on if key in panels]
    if not set(mine) <= set(asked.lying):
        fitting = [
            rest
            for rest in rests
            if set(mine) <= set(rest.touching) and set(mine).isdisjoint(rest.lying)
        ]
        asked = max(
            fitting,
            key=lambda rest: (_upright(rest.onto @ placed[mine[0]]), rest.margin_mm),
            default=asked,
        )
    others = [rest for rest in rests if rest.stands and not _same(rest, asked)]
    others.sort(key=lambda rest: -rest.tip_deg)
    return Standing(panels=panels, mass_g=balance.mass_g, asked=asked, others=tuple(others))


@dataclass(frozen=True, eq=False)
class _Body:
    """The corners of a card in space, [n, 3], and the number in `panels` of each one's panel.

    The first `paper` corners are those of the panels, the others of what stands up from them.
    """

    places: Floats
    owners: Ints
    paper: int
    panels: tuple[PanelKey, ...]


def _card(
    assembly: Assembly, placed: Mapping[PanelKey, Motion], on: Sequence[PanelKey]
) -> tuple[PanelKey, ...]:
    """The panels with a place that folds and joints tie to the one that says which card it is."""
    below = [key for key in on if key in placed]
    first = below[0] if below else first_panel(assembly)
    for part in parts_of(skeleton_of(assembly)):
        if first in part:
            return tuple(sorted(key for key in part if key in placed))
    return ()


def _body(
    assembly: Assembly,
    placed: Mapping[PanelKey, Motion],
    panels: tuple[PanelKey, ...],
    extras: Sequence[Extra],
) -> _Body:
    places: list[Place3] = []
    owners: list[int] = []
    number = {key: i for i, key in enumerate(panels)}

    def add(key: PanelKey, path: Path, height: float) -> None:
        for x, y in flattened(path, MEETS_MM):
            places.append(placed[key].apply3((x, y, height)))
            owners.append(number[key])

    for key in panels:
        add(key, assembly.divisions[key[0]].panels[key[1]].ring, 0.0)
    paper, keys = len(places), panel_keys(assembly)
    for extra in extras:
        owner = keys.get((extra.piece, extra.panel))
        if owner in number and owner is not None and extra.at is not None and extra.height:
            add(owner, _top(extra, extra.at), float(extra.height))
    flat = np.array(places, dtype=float).reshape(-1, 3)
    return _Body(flat, np.array(owners), paper, panels)


def _top(extra: Extra, at: Point) -> Path:
    """The outline of an extra; its middle alone where its size is not known."""
    x, y = at.floats()
    sizes = [float(size) / 2.0 for size in extra.size]
    if not sizes:
        return polygon(Point(x, y))
    if len(sizes) == 1:
        return circle(Point(x, y), sizes[0])
    across, up = sizes
    return polygon(
        Point(x - across, y - up),
        Point(x + across, y - up),
        Point(x + across, y + up),
        Point(x - across, y + up),
    )


def _resting(body: _Body, balance: Balance, onto: Motion) -> Resting:
    """The card on the table after a motion."""
    places = body.places @ np.array(onto.rows).T + np.array(onto.shift)
    centre = onto.apply3(balance.centre)
    height = places[:, 2]
    down = np.abs(height) <= MEETS_MM
    lowest = int(np.argmin(height))
    below = body.panels[body.owners[lowest]] if height[lowest] < -MEETS_MM else None
    hull = convex_hull(((x, y) for x, y in places[down, :2].tolist()), ROUNDING_MM)
    margin = margin_in(hull, centre[:2])
    count, own = len(body.panels), body.owners[: body.paper]
    touching = np.bincount(body.owners[down], minlength=count) > 0
    off = np.bincount(own[~down[: body.paper]], minlength=count) > 0
    return Resting(
        onto=onto,
        touching=tuple(body.panels[i] for i in np.flatnonzero(touching)),
        lying=tuple(body.panels[i] for i in np.flatnonzero(~off)),
        polygon=hull,
        centre=centre,
        margin_mm=margin.mm,
        edge=margin.edge,
        tip_deg=math.degrees(math.atan2(margin.mm, max(centre[2], 0.0))),
        below=below,
        below_mm=0.0 if below is None else -float(height[lowest]),
    )


def _upright(motion: Motion) -> float:
    """How far up the y axis of flat paper points, as a cosine, to six digits."""
    return round(motion.rows[2][1], 6)


def _ways_to_lie(places: Floats) -> Iterator[Motion]:
    """The motions that put each face of the convex hull on the table, its middle kept in place."""
    # Half the tolerance, so that all of a face touches when its lowest corner does.
    for face in hull_faces(places, MEETS_MM / 2.0):
        rows = _turned_down(face.normal)
        middle = places[list(face.corners)].mean(axis=0)
        shift = middle - rows @ middle
        shift[2] = -float((places @ rows[2]).min())
        (a, b, c), (d, e, f), (g, h, i) = rows.tolist()
        x, y, z = shift.tolist()
        yield Motion(((a, b, c), (d, e, f), (g, h, i)), (x, y, z))


def _turned_down(normal: Floats) -> Floats:
    """A rotation that turns a unit direction straight down, by no more than is needed.

    One that looks up is turned over about the x axis first.
    """
    over = np.diag([1.0, -1.0, -1.0]) if normal[2] > 0.0 else np.eye(3)
    x, y, z = (over @ normal).tolist()
    # From n to -k: with v = n x (-k) it is 1 + [v] + [v]² / (1 + n · (-k)), another form of
    # Rodrigues' formula.
    v = np.array([[0.0, 0.0, x], [0.0, 0.0, y], [-x, -y, 0.0]])
    return np.asarray((np.eye(3) + v + v @ v / (1.0 - z)) @ over)


def _same(one: Resting, other: Resting) -> bool:
    """Whether a card lies on the same face in both: it may have been turned about the vertical."""
    pairs = zip(one.onto.rows[2], other.onto.rows[2], strict=True)
    return all(abs(a - b) <= _SAME_WAY for a, b in pairs)
