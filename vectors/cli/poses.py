"""This module tells the poses of a proof: as the keys of the JSON answer, and as text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..panels import Assembly, Hinge
from ..proving import Proof
from ..proving.judging import figure
from .tell import number, table

if TYPE_CHECKING:
    from ..folding.gaps import PoseGap
    from ..folding.motion import Motion
    from ..folding.poses import TouchGap
    from ..proving.model import PoseProof
    from ..stacking import Clash, Contact

# So many folds are told of a pose; all are in the JSON answer.
_MOST_NAMES = 12

# What meets within 1 µm has no gap.
_GAP_DECIMALS = 3

# A matrix has so many decimals: far finer than paper, and the same on every machine.
_DECIMALS = 6


def poses_json(proof: Proof) -> list[dict[str, object]]:
    """The poses for `prove --json`: flat, open, closed, then those of the design."""
    return [_pose_json(pose, proof.assembly) for pose in proof.poses]


def _pose_json(pose: PoseProof, assembly: Assembly) -> dict[str, object]:
    folded = pose.folded
    found = folded.outcome != "not converged"
    return {
        "name": pose.name,
        "reached": folded.reached,
        "outcome": str(folded.outcome),
        "gap_mm": number(folded.gap_mm) if found else None,
        "gap": None if folded.worst is None or _closed(folded.worst) else _gap_json(folded.worst),
        "untouched": None if folded.untouched is None else _untouched_json(folded.untouched),
        "share": _rounded(folded.share),
        "held": [_label(key, assembly) for key in sorted(folded.held)],
        "folds": {
            _label(key, assembly): {
                "sense": str(_hinge(key, assembly).sense),
                "degrees": _rounded(degrees),
            }
            for key, degrees in folded.turned.items()
        },
        **_standing_json(pose, assembly),
        "floppy": None if pose.freedom is None else pose.freedom.count,
        "moving": []
        if pose.freedom is None
        else [_label(key, assembly) for key in pose.freedom.moving],
        "bends": None
        if folded.bends is None or folded.bends_share is None
        else {**_gap_json(folded.bends), "share": _rounded(folded.bends_share)},
        "clashes": [_clash_json(clash, assembly) for clash in pose.clashes],
        "clashes_on_way": [
            {**_clash_json(one.clash, assembly), "share": _rounded(one.share)}
            for one in pose.clashes_on_way
        ],
        "order": None
        if pose.order is None
        else [[_label(key, assembly) for key in step] for step in pose.order],
        "contacts": [_contact_json(one, assembly) for one in pose.contacts],
        "on": [assembly.panel_called(key) for key in pose.on],
        "view_deg": _rounded(pose.view_deg),
        "panels": [
            {"name": assembly.panel_called(key), "matrix": _matrix(motion)}
            for key, motion in pose.placed.items()
        ],
    }


def _standing_json(pose: PoseProof, assembly: Assembly) -> dict[str, object]:
    if pose.standing is None:
        keys = ("stands", "margin_mm", "tip_deg", "centre", "stands_on", "rests", "moved")
        return dict.fromkeys(keys)
    rest = pose.standing.asked
    return {
        "stands": rest.stands,
        "margin_mm": _rounded(rest.margin_mm),
        "tip_deg": _rounded(rest.tip_deg),
        "centre": [_rounded(value) for value in rest.centre],
        "stands_on": [assembly.panel_called(key) for key in rest.touching],
        "rests": [
            {
                "on": [assembly.panel_called(key) for key in other.touching],
                "margin_mm": _rounded(other.margin_mm),
                "tip_deg": _rounded(other.tip_deg),
            }
            for other in pose.standing.others
        ],
        "moved": [
            {"extra": one.extra.name, "by_mm": [_rounded(value) for value in one.by]}
            for one in pose.moved
        ],
    }


def gluing_json(proof: Proof) -> list[dict[str, object]]:
    """The joints in the order in which they are glued, and the state of the card for each."""
    return [{"joint": step.joint.joint.name, "while": str(step.state)} for step in proof.gluing]


def _gap_json(gap: PoseGap) -> dict[str, object]:
    step = gap.loop.steps[gap.step]
    return {
        "around": gap.loop.name,
        "piece": step.after[0],
        "fold": step.label,
        "at": [number(gap.at.x), number(gap.at.y)],
        "gap_mm": number(gap.mm),
        "turn_deg": number(gap.turn_deg),
    }


def _closed(gap: PoseGap) -> bool:
    """Whether a gap is none: where it would be is then up to rounding."""
    return gap.mm <= MEETS_MM


def _untouched_json(gap: TouchGap) -> dict[str, object]:
    return {"touch": gap.touch.touch.name, "gap_mm": number(gap.mm)}


def _clash_json(clash: Clash, assembly: Assembly) -> dict[str, object]:
    return {
        "panels": [assembly.panel_called(clash.first), assembly.panel_called(clash.second)],
        "at": [_rounded(value) for value in clash.at],
        "length_mm": _rounded(clash.length_mm),
    }


def _contact_json(contact: Contact, assembly: Assembly) -> dict[str, object]:
    return {
        "edge": assembly.panel_called(contact.edge),
        "face": assembly.panel_called(contact.face),
        "start": [_rounded(value) for value in contact.start],
        "end": [_rounded(value) for value in contact.end],
    }


def _matrix(motion: Motion) -> list[list[float]]:
    return [
        [*(_rounded(value) for value in row), _rounded(shift)]
        for row, shift in zip(motion.rows, motion.shift, strict=True)
    ]


def _rounded(value: float) -> float:
    return round(value, _DECIMALS) + 0.0


def _hinge(key: tuple[str, int], assembly: Assembly) -> Hinge:
    return assembly.divisions[key[0]].hinges[key[1]]


def _label(key: tuple[str, int], assembly: Assembly) -> str:
    return f"{key[0]}/{_hinge(key, assembly).label}"


def poses_text(proof: Proof) -> Iterator[str]:
    """The poses that the design names in a table, then the order of gluing."""
    units = Unit(proof.resolved.units)
    named = [pose for pose in proof.poses if pose.asked is not None]
    if named:
        rows = [_row(pose, proof.assembly, units) for pose in named]
        yield table(("pose", "", "gap", "stands", "floppy", "held", "the folds that follow"), rows)
    if proof.gluing:
        steps = [
            f"  {number_}. {step.joint.joint.name}, {_WHILE[str(step.state)]}"
            for number_, step in enumerate(proof.gluing, start=1)
        ]
        yield "\n".join(["glue, in this order:", *steps])


_WHILE: Mapping[str, str] = {
    "flat": "while the pieces lie flat",
    "closed": "while it is shut",
    "neither": "in a pose in which the lines meet: neither flat nor closed",
}


def _stands(pose: PoseProof, units: Unit) -> str:
    if pose.standing is None:
        return ""
    rest = pose.standing.asked
    if not rest.stands:
        return "tips"
    return f"{figure(round(rest.margin_mm, 1), units)} to spare, tips at {rest.tip_deg:.0f}°"


def _some(names: list[str]) -> str:
    """The first of many, the rest counted."""
    more = len(names) - _MOST_NAMES
    return ", ".join(names[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def _row(pose: PoseProof, assembly: Assembly, units: Unit) -> tuple[str, ...]:
    folded = pose.folded
    held: list[str] = []
    others: list[str] = []
    for key, degrees in folded.turned.items():
        hinge = _hinge(key, assembly)
        name = f"{key[0]}/{hinge.label}" if len(assembly.divisions) > 1 else hinge.label
        told = f"{name} {round(degrees, 1) + 0.0:g}°"
        (held if key in folded.held else others).append(told)
    count = None if pose.freedom is None else pose.freedom.count
    return (
        pose.name,
        str(folded.outcome),
        figure(round(folded.gap_mm, _GAP_DECIMALS), units) if folded.turned else "",
        _stands(pose, units),
        "undecided" if count is None else str(count),
        _some(held),
        _some(others),
    )
