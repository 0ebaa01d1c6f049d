"""Scenes posed by hand: every fold is turned as the test says, panel after panel from the first."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from pathlib import Path as FilePath

from foldwright.design import parse_design, read_design, resolve
from foldwright.design.pieces import Resolved, Sense
from foldwright.folding import PanelKey
from foldwright.folding.motion import STILL, Motion, Place3, rotation
from foldwright.geometry import Point, Segment
from foldwright.measures import Unit
from foldwright.panels import Division, assemble, divide
from foldwright.pictures.scene import Crease, Glued, Passing, Scene
from tests.pictures.cards import HEAD, glued_strap, step_card

HARBOUR = FilePath(__file__).parents[1] / "designs" / "harbour-steps.toml"


def shifted(x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Motion:
    return Motion(STILL.rows, (x, y, z))


def turned(degrees: float, start: tuple[float, float], end: tuple[float, float]) -> Motion:
    """A turn about a line of the table, right-handed about its direction."""
    return rotation(Segment(Point(*start), Point(*end)), degrees)


def posed(
    division: Division, degrees: Mapping[str, float] | float, first: Motion = STILL, root: int = 0
) -> tuple[dict[PanelKey, Motion], list[Crease]]:
    """Where the panels of a piece are and its creases, by the degrees of each fold."""
    piece = division.piece.name

    def angle(label: str) -> float:
        return degrees if isinstance(degrees, float) else degrees.get(label, 0.0)

    placed = {root: first}
    waiting = deque([root])
    while waiting:
        here = waiting.popleft()
        for number, beyond in division.neighbours[here]:
            if beyond in placed:
                continue
            hinge = division.hinges[number]
            rises = (beyond == hinge.left) == (hinge.sense is Sense.VALLEY)
            turn = angle(hinge.label)
            placed[beyond] = placed[here] @ rotation(hinge.line, turn if rises else -turn)
            waiting.append(beyond)
    creases = [
        Crease(
            key=(piece, hinge.index),
            label=hinge.label,
            first=(piece, hinge.left),
            second=(piece, hinge.right),
            start=hinge.start,
            end=hinge.end,
            sense=hinge.sense,
            turned=angle(hinge.label),
        )
        for hinge in division.hinges
    ]
    return {(piece, index): motion for index, motion in placed.items()}, creases


def scene(
    design: Resolved | str,
    degrees: Mapping[str, Mapping[str, float] | float] | float = 0.0,
    *,
    pose: str = "standing",
    first: Mapping[str, Motion] | None = None,
    root: Mapping[str, int] | None = None,
    view: float = 270.0,
    passing: tuple[tuple[PanelKey, PanelKey, Place3], ...] = (),
    words: tuple[str, ...] = (),
) -> Scene:
    """A scene of a design; `degrees`, `first` and `root` go by the name of a piece."""
    resolved = resolve(parse_design(design)) if isinstance(design, str) else design
    divisions = {piece.name: divide(piece) for piece in resolved.pieces}
    assembly = assemble(divisions, resolved.joints)
    placed: dict[PanelKey, Motion] = {}
    creases: list[Crease] = []
    for name, division in assembly.divisions.items():
        turns = degrees if isinstance(degrees, float) else degrees.get(name, 0.0)
        more, lines = posed(
            division, turns, (first or {}).get(name, STILL), (root or {}).get(name, 0)
        )
        placed |= more
        creases += lines
    panels = {
        (name, panel.index): panel
        for name, division in assembly.divisions.items()
        for panel in division.panels
    }
    return Scene(
        design=resolved.name,
        pose=pose,
        units=Unit(resolved.units),
        panels=panels,
        placed=placed,
        creases=tuple(creases),
        glued=tuple(
            Glued(label=one.joint.name, glued=one.glued, to=one.to, face=one.joint.to.face)
            for one in assembly.joints
        ),
        scores=tuple(
            (piece.name, fold.path)
            for piece in resolved.pieces
            for fold in piece.folds
            if fold.still
        ),
        given=frozenset(
            key for key, panel in panels.items() if not panel.name.startswith("panel ")
        ),
        passing=tuple(Passing(first=a, second=b, at=at) for a, b, at in passing),
        words=words,
        view_deg=view,
    )


def sheet(name: str, width: float, height: float, more: str = "") -> str:
    return f'[[piece]]\nname = "{name}"\noutline = {{ rectangle = [{width}, {height}] }}\n{more}'


def fold(name: str, sense: str, *points: tuple[float, float]) -> str:
    told = ", ".join(f"[{x}, {y}]" for x, y in points)
    return f'[[piece.fold]]\nname = "{name}"\nsense = "{sense}"\npoints = [{told}]\n'


def tent(angle: float = 120.0, view: float = 270.0) -> Scene:
    """A half fold on its two edges, its front outside."""
    text = HEAD.format(name="Tent", units="mm") + sheet(
        "card", 120, 160, fold("ridge", "mountain", (0, 80), (120, 80))
    )
    return scene(
        text,
        {"card": {"ridge": angle}},
        first={"card": turned(angle / 2.0, (0, 0), (1, 0))},
        view=view,
    )


def half_fold(angle: float, view: float = 300.0, sense: str = "valley") -> Scene:
    """A card that stands like a book, its spine upright."""
    text = HEAD.format(name="Half fold", units="mm") + sheet(
        "card", 200, 140, fold("spine", sense, (100, 0), (100, 140))
    )
    return scene(
        text,
        {"card": {"spine": angle}},
        first={"card": turned(90.0, (0, 0), (1, 0))},
        view=view,
    )


def harbour(angle: float = 90.0, view: float = 270.0) -> Scene:
    return scene(resolve(read_design(HARBOUR)), float(angle), view=view)


def box(view: float = 300.0) -> Scene:
    """An open box with a door and a port hole, its outside the paper's front."""
    corners = (
        (0, 40), (60, 40), (60, 0), (120, 0), (120, 40), (240, 40), (240, 140), (0, 140)
    )  # fmt: skip
    outline = ", ".join(f"[{x}, {y}]" for x, y in corners)
    text = HEAD.format(name="Lantern", units="mm") + (
        f'[[piece]]\nname = "box"\noutline = {{ polygon = [{outline}] }}\n'
        '[[piece.opening]]\nname = "door"\nrectangle = [75, 55, 30, 60]\n'
        '[[piece.opening]]\nname = "port hole"\ncircle = [30, 100, 15]\n'
    )
    for i in (1, 2, 3):
        text += fold(f"edge {i}", "mountain", (60 * i, 40), (60 * i, 140))
    text += fold("floor", "mountain", (60, 40), (120, 40))
    wall = turned(90.0, (0, 40), (1, 40))
    return scene(text, 90.0, view=view, first={"box": wall}, root={"box": 1})


def crossing(view: float = 290.0) -> Scene:
    """Two sheets that pass through each other, upright and slanting."""
    text = (
        HEAD.format(name="Crossing", units="mm") + sheet("wall", 120, 90) + sheet("ramp", 80, 140)
    )
    return scene(
        text,
        first={
            "wall": shifted(0, 60) @ turned(90.0, (0, 0), (1, 0)),
            "ramp": shifted(20, 0) @ turned(30.0, (0, 0), (1, 0)),
        },
        passing=((("ramp", 0), ("wall", 0), (60.0, 60.0, 34.6)),),
        view=view,
    )


def strap(angle: float = 90.0, view: float = 300.0) -> Scene:
    """A strap glued across the gutter of a half fold: its feet lie on the pages."""
    return scene(
        glued_strap(25),
        {"base": float(angle), "strap": {"strap 1": angle, "strap 2": angle, "strap 3": angle}},
        first={"strap": shifted(45, 45)},
        view=view,
    )


def accordion(angle: float = 120.0, view: float = 290.0) -> Scene:
    text = HEAD.format(name="Accordion", units="mm") + sheet(
        "strip",
        240,
        100,
        "".join(
            fold(f"pleat {i}", "mountain" if i % 2 else "valley", (40 * i, 0), (40 * i, 100))
            for i in range(1, 6)
        ),
    )
    start = turned(90.0, (0, 0), (1, 0))
    return scene(text, float(angle), first={"strip": start}, view=view)


def steps(angle: float = 90.0, view: float = 270.0) -> Scene:
    return scene(step_card().replace("107", "105"), float(angle), view=view)


SCENES = {
    "tent": tent(),
    "tent-from-behind": tent(90.0, 115.0),
    "book": half_fold(110.0),
    "book-back": half_fold(110.0, 120.0),
    "book-mountain": half_fold(110.0, 270.0, "mountain"),
    "book-shut": half_fold(180.0),
    "harbour": harbour(),
    "harbour-left": harbour(view=225.0),
    "harbour-behind": harbour(view=70.0),
    "harbour-open": harbour(0.0),
    "harbour-closed": harbour(180.0),
    "harbour-120": harbour(60.0, 300.0),
    "box": box(),
    "box-behind": box(60.0),
    "crossing": crossing(),
    "strap": strap(),
    "accordion": accordion(),
    "accordion-shut": accordion(180.0),
}
