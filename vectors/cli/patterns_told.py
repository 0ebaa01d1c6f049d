"""This module tells all that a pattern carries, as it ships: as one JSON object, and as text."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..design import Design, Fold, Joint, Mat, Pattern, Piece, Pose, Resolved, resolve
from ..design.editions import edition_of
from ..design.pattern import Parameter, PatternParts, misfit, parts_of
from ..design.resolve import counts_of
from ..measures import Kind, Number, Scope, Unit, as_angle, as_length, as_number, exact_text, parse
from ..patterns.reckoned import Reckoned, reckoned
from ..plugins import PlugIn
from ..problems import FoldwrightError, Problem, problem
from .installed import checked
from .tell import number, table


@dataclass(frozen=True, kw_only=True, slots=True)
class ToldPattern:
    """A pattern in the two forms of the list."""

    json: dict[str, object]
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class _Edition:
    """A pattern as it ships in one edition: its numbers, and its parts worked out."""

    numbers: Reckoned
    resolved: Resolved


def told_pattern(plug_in: PlugIn) -> tuple[ToldPattern | None, tuple[Problem, ...]]:
    """All that a pattern carries, or what is wrong with it.

    Whatever a pattern of somebody else's does as it is asked, it is told as broken.
    """
    pattern, trouble = checked(plug_in, Pattern)
    if trouble:
        return None, trouble
    assert isinstance(pattern, Pattern)
    try:
        reason = misfit(pattern, plug_in.name)
        if reason is not None:
            return None, (_broken(plug_in, reason),)
        parts = _parts(pattern)
        metric, inch = (_edition(pattern, parts, units) for units in (Unit.MM, Unit.IN))
        told = ToldPattern(
            json=_json(pattern, parts, metric, inch), text=_text(pattern, metric, inch)
        )
    except FoldwrightError as error:
        return None, (_broken(plug_in, error.problems[0].message),)
    except Exception as fault:  # foreign code may do anything at all
        return None, (_broken(plug_in, f"{type(fault).__name__}: {fault}"),)
    return told, ()


def _broken(plug_in: PlugIn, reason: str) -> Problem:
    return problem(
        "broken-plug-in",
        kind=plug_in.group.one,
        name=plug_in.name,
        distribution=plug_in.distribution,
        reason=reason,
    )


def _design(pattern: Pattern, units: Unit) -> Design:
    return Design(name=pattern.name, units=units, pattern=pattern.name)


def _parts(pattern: Pattern) -> PatternParts:
    edition = edition_of(_design(pattern, Unit.MM), pattern, None, {})
    return parts_of(pattern, counts_of(pattern, edition))


def _edition(pattern: Pattern, parts: PatternParts, units: Unit) -> _Edition:
    dressed = replace(_design(pattern, units), mats=parts.mats)
    return _Edition(numbers=reckoned(pattern, units), resolved=resolve(dressed))


# As JSON.


def _json(
    pattern: Pattern, parts: PatternParts, metric: _Edition, inch: _Edition
) -> dict[str, object]:
    resolved = metric.resolved
    return {
        "about": pattern.about,
        "closure": pattern.closure,
        "editions": [str(units) for units in (Unit.MM, Unit.IN)],
        "materials": dict(pattern.materials),
        "closed": {
            "width_mm": number(metric.numbers.closed[0]),
            "height_mm": number(metric.numbers.closed[1]),
            "inch_edition": {
                "width_mm": number(inch.numbers.closed[0]),
                "height_mm": number(inch.numbers.closed[1]),
            },
            "written": list(metric.numbers.closed_written),
        },
        "parameters": [
            _parameter_json(parameter, metric.numbers, inch.numbers)
            for parameter in pattern.parameters
        ],
        "pieces": [_piece_json(piece) for piece in resolved.pieces],
        "joints": [_joint_json(joint) for joint in resolved.joints],
        "poses": [_pose_json(pose) for pose in resolved.poses],
        "mats": [_mat_json(mat) for mat in resolved.mats],
    }


def _parameter_json(parameter: Parameter, metric: Reckoned, inch: Reckoned) -> dict[str, object]:
    return {
        "name": parameter.name,
        "meaning": parameter.meaning,
        "kind": str(parameter.kind),
        "scale": str(parameter.scale),
        **_range_json(parameter, metric),
        "inch_edition": _range_json(parameter, inch),
        "written": {
            "default": parameter.default(Unit.MM),
            "default_in": parameter.default(Unit.IN),
            "least": parameter.least,
            "most": parameter.most,
            "step": parameter.step(Unit.MM),
            "step_in": parameter.step(Unit.IN),
        },
    }


def _range_json(parameter: Parameter, found: Reckoned) -> dict[str, object]:
    """A measure and its limits at the defaults: in mm, in degrees, or plain."""
    one = next(one for one in found.ranges if one.name == parameter.name)
    return {
        "default_mm": number(one.value.value),
        "least_mm": number(one.least),
        "most_mm": number(one.most),
        "step_mm": number(_step(parameter, found)),
    }


def _step(parameter: Parameter, found: Reckoned) -> Number | None:
    written = parameter.step(found.units)
    if written is None:
        return None
    values = {one.name: one.value for one in found.ranges}
    step = parse(written).evaluate(Scope.of(found.units, values))
    if parameter.kind is Kind.LENGTH:
        return as_length(step, found.units)
    return as_angle(step) if parameter.kind is Kind.ANGLE else as_number(step)


def _piece_json(piece: Piece) -> dict[str, object]:
    return {
        "name": piece.name,
        "stock": piece.stock,
        "copies": piece.copies,
        "panels": [panel.name for panel in piece.panel_names],
        "folds": [_fold_json(fold) for fold in piece.folds],
    }


def _fold_json(fold: Fold) -> dict[str, object]:
    return {
        "name": fold.name,
        "senses": [str(sense) for sense in fold.senses],
        "angle_deg": number(fold.angle),
        "still": fold.still,
    }


def _joint_json(joint: Joint) -> dict[str, object]:
    ends = {"glue": joint.glue, "to": joint.to}
    return {
        "name": joint.name,
        **{
            key: {"panel": f"{end.piece}/{end.panel}", "face": str(end.face)}
            for key, end in ends.items()
        },
    }


def _pose_json(pose: Pose) -> dict[str, object]:
    def held(piece: str, fold: str, nth: int | None) -> str:
        return f"{piece}/{fold}" if nth is None else f"{piece}/{fold}#{nth}"

    return {
        "name": pose.name,
        "hold": {held(one.piece, one.fold, one.nth): number(one.degrees) for one in pose.holds},
        "on": [f"{piece}/{panel}" for piece, panel in pose.on],
        "view_deg": number(pose.view),
    }


def _mat_json(mat: Mat) -> dict[str, object]:
    return {
        "name": mat.name,
        "on": mat.piece,
        "panels": None if mat.panels is None else list(mat.panels),
        "face": str(mat.face),
        "margin_mm": number(mat.margin),
        "stock": mat.stock,
        "up_deg": number(mat.up),
    }


# As text.


def _text(pattern: Pattern, metric: _Edition, inch: _Edition) -> str:
    rows = [
        (
            f"    {parameter.name}",
            parameter.default(Unit.MM),
            parameter.default(Unit.IN),
            parameter.meaning,
            parameter.least or "",
            parameter.most or "",
        )
        for parameter in pattern.parameters
    ]
    # Limits are formulas and may be long; where they stand last they push nothing away.
    heads = ("    measure", "mm", "in", "meaning", "least", "most")
    sizes = ", or ".join(_size(one.numbers) for one in (metric, inch))
    return "\n".join(
        (
            f"  {pattern.name}: {pattern.about}",
            f"    closure: {pattern.closure}",
            f"    closed: {sizes}",
            table(heads, rows),
        )
    )


def _size(found: Reckoned) -> str:
    return " by ".join(exact_text(side, found.units) for side in found.closed)
