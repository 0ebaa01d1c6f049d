"""What the tests of poses ask of a folded pose, by names in place of keys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from foldwright.design import read_design, resolve
from foldwright.design.pieces import Touch, TouchEnd
from foldwright.folding.freedom import Freedom, freedom
from foldwright.folding.holds import hinges_of, panel_of, pose_problems
from foldwright.folding.linkage import TouchEnds, linkage_of, with_touches
from foldwright.folding.loops import PanelKey
from foldwright.folding.poses import FoldedPose, Outcome, PoseRequest, Start, fold_to
from foldwright.folding.skeleton import HingeKey
from foldwright.geometry import Point
from foldwright.panels import Assembly
from tests.folding.folded_samples import Pair, Sample, at

Array = NDArray[np.float64]

# A touch as the tests write it: panel and two places, panel and two places.
TouchText = tuple[str, Pair, Pair, str, Pair, Pair]


@dataclass(frozen=True, eq=False)
class Posed:
    """A folded pose and the assembly that it is one of."""

    folded: FoldedPose
    assembly: Assembly

    @property
    def outcome(self) -> Outcome:
        return self.folded.outcome

    @cached_property
    def every(self) -> Mapping[str, float]:
        """The degrees of every hinge by its label, the piece before it where that is needed."""
        return {label: self.folded.turned[key] for label, key in hinge_keys(self.assembly).items()}

    @cached_property
    def panels(self) -> Mapping[str, PanelKey]:
        """Every panel by its name, with the piece before it where that is needed."""
        return panel_keys(self.assembly)

    def turned(self, label: str) -> float:
        """The degrees of one hinge; a fold of several may be named without a number."""
        return self.every[label] if label in self.every else self.every[f"{label}#1"]

    def point(self, panel: str, place: Point) -> Array:
        """Where a place of a panel is in space."""
        return np.array(self.folded.placed[self.panels[panel]].apply(place))

    def frame(self, panel: str) -> Array:
        """The directions of a panel's x, y and front, as columns."""
        return np.array(self.folded.placed[self.panels[panel]].rows)

    def height_over(self, panel: str, way: Array) -> float:
        """How far a displacement leads away from a panel's front."""
        return float(way @ self.frame(panel)[:, 2])

    def panel_at(self, x: float, y: float) -> str:
        """The panel of a single piece whose middle is nearest to a place."""

        def away(name: str) -> float:
            piece, index = self.panels[name]
            ring = self.assembly.divisions[piece].panels[index].ring
            corners = np.array([vertex.at.floats() for vertex in ring.vertices])
            return float(np.linalg.norm(corners.mean(axis=0) - (x, y)))

        return min(self.panels, key=away)


def hinge_keys(assembly: Assembly) -> dict[str, HingeKey]:
    """The hinges by label, with the piece before it where pieces share one."""
    found = [
        (hinge.label, (name, hinge.index))
        for name, division in assembly.divisions.items()
        for hinge in division.hinges
    ]
    return _shortest(found)


def panel_keys(assembly: Assembly) -> dict[str, PanelKey]:
    """The panels by name, with the piece before it where pieces share one."""
    found = [
        (panel.name, (name, panel.index))
        for name, division in assembly.divisions.items()
        for panel in division.panels
    ]
    return _shortest(found)


def _shortest(found: Sequence[tuple[str, tuple[str, int]]]) -> dict[str, tuple[str, int]]:
    names = [name for name, _ in found]
    return {name if names.count(name) == 1 else f"{key[0]}/{name}": key for name, key in found}


def held_keys(assembly: Assembly, holds: Mapping[str, float]) -> dict[HingeKey, float]:
    """The hinges that are held; a fold of several hinges is held as one."""
    keys = hinge_keys(assembly)
    found: dict[HingeKey, float] = {}
    for name, degrees in holds.items():
        named = [key for label, key in keys.items() if label == name]
        named = named or [key for label, key in keys.items() if label.split("#")[0] == name]
        assert named, name
        found |= dict.fromkeys(named, float(degrees))
    return found


def usual_start(assembly: Assembly) -> Start:
    """Paper begins flat, glued pieces begin shut."""
    return Start.CLOSED if assembly.joints else Start.FLAT


def posed(
    assembly: Assembly,
    holds: Mapping[str, float],
    *,
    touches: Sequence[TouchText] = (),
    steps: int | None = None,
    start: Start | None = None,
) -> Posed:
    """Fold an assembly with some folds, by label, held at degrees in their own sense."""
    request = PoseRequest(
        name="asked",
        holds=held_keys(assembly, holds),
        touches=touch_ends(assembly, touches),
        start=usual_start(assembly) if start is None else start,
    )
    linkage = linkage_of(assembly)
    folded = fold_to(linkage, request) if steps is None else fold_to(linkage, request, steps=steps)
    return Posed(folded=folded, assembly=assembly)


def touch_ends(assembly: Assembly, touches: Sequence[TouchText]) -> tuple[TouchEnds, ...]:
    """Touches with the panels they speak of."""
    panels = panel_keys(assembly)

    def end(panel: str, first: Pair, last: Pair) -> TouchEnd:
        return TouchEnd(piece=panels[panel][0], panel=panel, start=at(*first), end=at(*last))

    return tuple(
        TouchEnds(
            touch=Touch(name=f"touch {i + 1}", line=end(*one[:3]), to=end(*one[3:])),
            line=panels[one[0]],
            to=panels[one[3]],
        )
        for i, one in enumerate(touches)
    )


def posed_design(path: Path, name: str) -> Posed:
    """Fold a design into one of the poses that it names."""
    resolved = resolve(read_design(path))
    assembly = Sample(pieces=resolved.pieces, joints=resolved.joints).assembly
    (pose,) = [pose for pose in resolved.poses if pose.name == name]
    assert list(pose_problems(pose, assembly)) == []
    touches = []
    for touch in pose.touches:
        line = panel_of(touch.line.piece, touch.line.panel, assembly)
        to = panel_of(touch.to.piece, touch.to.panel, assembly)
        assert line is not None
        assert to is not None
        touches.append(TouchEnds(touch=touch, line=line, to=to))
    request = PoseRequest(
        name=name,
        holds={
            key: float(hold.degrees) for hold in pose.holds for key in hinges_of(hold, assembly)
        },
        touches=tuple(touches),
        start=usual_start(assembly),
    )
    return Posed(folded=fold_to(linkage_of(assembly), request), assembly=assembly)


def freedom_in(
    pose: Posed, holds: Sequence[str] = (), *, touches: Sequence[TouchText] = ()
) -> Freedom:
    """The freedom of an assembly in a pose, some folds held."""
    linkage = linkage_of(pose.assembly)
    if touches:
        linkage = with_touches(linkage, touch_ends(pose.assembly, touches))
    turned = np.radians([pose.folded.turned[key] for key in linkage.hinges])
    held = held_keys(pose.assembly, dict.fromkeys(holds, 0.0))
    columns = np.array([linkage.column[key] for key in held], dtype=np.intp)
    return freedom(linkage, turned, columns)


def moving(pose: Posed, found: Freedom) -> set[str]:
    """The labels of the folds that move."""
    return {label for label, key in hinge_keys(pose.assembly).items() if key in found.moving}
