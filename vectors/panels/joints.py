"""This module puts the joints of a design into its hinge graph."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence

from ..design.pieces import Joint, JointEnd
from ..geometry import Point
from ..geometry.meetings import share_of
from ..measures.exact import MEETS_MM
from ..problems import Collector, Problem, problem
from .curves import told
from .faces import contains
from .model import Assembly, Division, GluedPanels, Panel


def assemble(divisions: Mapping[str, Division], joints: Sequence[Joint]) -> Assembly:
    """Join divided pieces, by name, with the design's joints.

    A joint that names no panel, or whose line leaves its panel, is a stop and is
    left out of the graph; lines of different length are a warning.
    """
    collector = Collector()
    glued = []
    for joint in joints:
        ends = [_panel(joint, end, divisions, collector) for end in (joint.glue, joint.to)]
        first, second = ends
        if first is None or second is None:
            continue
        lengths = [end.start.distance(end.end) for end in (joint.glue, joint.to)]
        if abs(lengths[0] - lengths[1]) > MEETS_MM:
            collector.add(
                problem(
                    "joint-lines-differ",
                    place=joint.place,
                    piece=joint.glue.piece,
                    at=joint.glue.start.floats(),
                    measure_mm=abs(lengths[0] - lengths[1]),
                    joint=told("joint", joint.name),
                    first=f"{lengths[0]:g}",
                    second=f"{lengths[1]:g}",
                )
            )
        glued.append(
            GluedPanels(
                joint=joint,
                glued=(joint.glue.piece, first.index),
                to=(joint.to.piece, second.index),
            )
        )
    return Assembly(divisions=divisions, joints=tuple(glued), problems=collector.problems)


def _panel(
    joint: Joint, end: JointEnd, divisions: Mapping[str, Division], collector: Collector
) -> Panel | None:
    division = divisions.get(end.piece)
    known = {panel.name: panel for panel in division.panels} if division is not None else {}
    panel = known.get(end.panel)
    if panel is None:
        collector.add(_unknown(joint, end, division, list(known), list(divisions)))
        return None
    for at in (end.start, end.end):
        if not lies_on(panel, at.rounded()):
            collector.add(
                problem(
                    "joint-off-panel",
                    place=joint.place,
                    piece=end.piece,
                    at=at.floats(),
                    joint=told("joint", joint.name),
                    name=f"{end.piece}/{end.panel}",
                )
            )
            return None
    return panel


def _unknown(
    joint: Joint, end: JointEnd, division: Division | None, panels: list[str], pieces: list[str]
) -> Problem:
    wanted, known = (end.piece, pieces) if division is None else (end.panel, panels)
    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.5)
    kind = "piece" if division is None else "panel"
    hint = (
        f'did you mean the {kind} "{near[0]}"?' if near else f"the {kind}s are: {', '.join(known)}"
    )
    return problem(
        "joint-names-no-panel",
        place=joint.place,
        piece=end.piece,
        joint=told("joint", joint.name),
        name=f"{end.piece}/{end.panel}",
        hint=hint,
    )


def lies_on(panel: Panel, at: Point) -> bool:
    """Whether a place lies on a panel, its boundary included."""
    paths = (panel.ring, *panel.holes)
    if any(share_of(s, at, MEETS_MM) is not None for path in paths for s in path.segments):
        return True
    return contains(panel.ring, at) and not any(contains(hole, at) for hole in panel.holes)
