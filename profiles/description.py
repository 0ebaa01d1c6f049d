"""This module tells a profile as plain data, for lists and for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

from .model import Figure, Profile, ToolWay


def described(profile: Profile) -> dict[str, object]:
    """The profile as dicts, texts and numbers; a figure as its value, basis and confidence."""
    return {
        "name": profile.name,
        "about": profile.about,
        "based_on": profile.based_on,
        "made_of": profile.made_of,
        "grain": None if profile.grain is None else profile.grain.value,
        "grammage": _told(profile.grammage),
        "caliper_mm": _told(profile.caliper),
        "gives_mm": _told(profile.gives_mm),
        "tools": {tool.value: _way(profile, way) for tool, way in profile.tools.items()},
    }


def figures(profile: Profile) -> dict[str, Figure]:
    """Every figure of a profile by its path of keys, such as `tool.laser.bridge.pitch`."""
    found = {
        "grammage": profile.grammage,
        "caliper": profile.caliper,
        "gives_mm": profile.gives_mm,
    }
    for tool, way in profile.tools.items():
        found.update(_figures_in(way, f"tool.{tool.value}"))
    return found


def _figures_in(value: object, path: str) -> Mapping[str, Figure]:
    if isinstance(value, Figure):
        return {path: value}
    found: dict[str, Figure] = {}
    for item in fields(value) if hasattr(value, "__dataclass_fields__") else ():  # type: ignore[arg-type]
        found.update(_figures_in(getattr(value, item.name), f"{path}.{item.name}"))
    return found


def _way(profile: Profile, way: ToolWay) -> dict[str, object]:
    told: dict[str, object] = {"refused": way.refused}
    told["kerf_mm"] = _told(way.kerf)
    told["tolerance_mm"] = _told(way.tolerance)
    if way.score is not None:
        score = way.score
        told["score"] = {
            "work": score.work.value,
            "inset_mm": _told(score.inset),
            "allowance_mm": _told(score.allowance),
            "shift_mm": _told(score.shift),
        }
    if way.bridge is not None:
        bridge = way.bridge
        told["bridge"] = {
            "length_mm": _told(bridge.length),
            "pitch_mm": _told(bridge.pitch),
            "clear_mm": _told(bridge.clear),
        }
    if way.perforation is not None:
        told["perforation"] = {
            "cut_mm": _told(way.perforation.cut),
            "tie_mm": _told(way.perforation.tie),
        }
    told["cautions"] = list(profile.cautions_for(way.tool))
    return told


def _told(figure: Figure | None) -> dict[str, object] | None:
    if figure is None:
        return None
    return {"is": figure.value, "basis": figure.basis, "confidence": figure.confidence.value}
