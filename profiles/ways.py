"""This module says whether a tool may be used on a material, and how."""

from __future__ import annotations

from foldwright.problems import Collector, ProfileError, problem

from .make_up import BURNABLE, doubt_in, harm_in, is_burnable
from .model import Profile, Tool, ToolWay


def way_for(profile: Profile, tool: Tool) -> ToolWay:
    """What `tool` needs for the material; its kerf and tolerance are there.

    Raises ProfileError where the profile has nothing for the tool or refuses it,
    and, for a laser, where the make-up is unknown or gives off harmful fumes:
    whoever wrote the profile, and whatever else it says.
    """
    found = Collector()
    way = profile.tools.get(tool)
    if tool is Tool.LASER:
        _judge_make_up(profile, found, refused=way is not None and way.refused is not None)
    if way is None:
        hint = f"use {_usable(profile)}, or add [tool.{tool.value}] to the material's file"
        found.add(
            problem(
                "no-tool-way",
                place=profile.place,
                material=profile.name,
                tool=tool.value,
                hint=hint,
            )
        )
    elif way.refused is not None:
        found.add(
            problem(
                "refused-tool",
                place=profile.place,
                material=profile.name,
                tool=tool.value,
                reason=way.refused,
                hint=f"use {_usable(profile)}",
            )
        )
    elif not found.stopped:
        return way
    raise ProfileError(found.problems)


def _usable(profile: Profile) -> str:
    """The tools that the profile is for, as a list in words."""
    good = [tool.value for tool, way in profile.tools.items() if way.refused is None]
    return " or ".join(good) if good else "another material"


def _judge_make_up(profile: Profile, found: Collector, *, refused: bool) -> None:
    """Collect why a material must not be burned; what its file refuses itself needs no doubts."""
    if profile.made_of:
        told = f'made_of = "{profile.made_of}"'
    elif profile.based_on is not None:
        told = f'made_of is missing, and that of "{profile.based_on}" does not count for it'
    else:
        told = "made_of is missing"
    for named in (profile.harmful, profile.made_of, profile.name):
        harm = harm_in(named)
        if harm is not None:
            found.add(
                problem(
                    "harmful-fumes",
                    place=profile.place,
                    material=profile.name,
                    told=f"{named}",
                    harm=harm,
                )
            )
            return
    if refused:
        return
    for named in (profile.doubtful, profile.made_of, profile.name, profile.about):
        why = doubt_in(named)
        if why is not None:
            found.add(
                problem(
                    "ask-the-workshop",
                    place=profile.place,
                    material=profile.name,
                    told=f"{named}",
                    why=why,
                )
            )
            return
    if not is_burnable(profile.made_of):
        found.add(
            problem(
                "unknown-make-up",
                place=profile.place,
                material=profile.name,
                told=told,
                known=", ".join(BURNABLE),
            )
        )
