"""This module judges names that file names are made of: those of designs and pieces."""

from __future__ import annotations

from ..problems import Place, Problem, problem

LONGEST_NAME = 80
# A file name may hold 255 bytes; a number, a face and an ending are added to the name.
LONGEST_NAME_BYTES = 200

# Names that one widespread family of systems keeps for devices, whatever the ending.
_DEVICES = frozenset(
    ["con", "prn", "aux", "nul"]
    + [f"{port}{number}" for port in ("com", "lpt") for number in "123456789¹²³"]
)


def name_fault(name: str) -> str | None:
    """Why a name cannot be part of a file name on every system; None where it can."""
    if not name.strip():
        return "it is empty"
    if len(name) > LONGEST_NAME:
        return f"it has {len(name)} characters"
    if len(name.encode("utf-8", "surrogatepass")) > LONGEST_NAME_BYTES:
        return f"it has more than {LONGEST_NAME_BYTES} bytes"
    if "/" in name or "\\" in name:
        return "it has a path in it"
    if ".." in name:
        return "it has two full stops in a row"
    if name.startswith("."):
        return "it begins with a full stop"
    if name.endswith("."):
        return "it ends with a full stop"
    if name != name.strip():
        return "it begins or ends with a space"
    for character in name:
        if not character.isprintable():
            return f"it holds the unprintable character U+{ord(character):04X}"
        if character in '<>:"|?*':
            return f"it holds {character}, which not every file name may hold"
    if name.partition(".")[0].strip().lower() in _DEVICES:
        return "some systems keep it for a device"
    return None


def name_problem(name: str, *, place: Place | None = None) -> Problem | None:
    """The problem `unsafe-name` where a name cannot be part of a file name, else None."""
    fault = name_fault(name)
    if fault is None:
        return None
    shown = name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}..."
    return problem("unsafe-name", place=place, name=shown, reason=fault, most=LONGEST_NAME)
