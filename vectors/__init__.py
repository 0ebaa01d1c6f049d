"""Foldwright proves that a fold design closes and writes layered files for the cutter.

Lengths are millimetres, angles degrees (0 flat, 180 folded shut), y points up.
The public names are imported when they are first used, so that starting the
command line costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if __name__ != "foldwright":
    raise ImportError(
        f"this folder is the package foldwright, not {__name__!r}: "
        "install it with 'pip install .' and 'import foldwright'"
    )

if TYPE_CHECKING:
    from .problems import (
        DesignError,
        FileError,
        FoldwrightError,
        PlugInError,
        ProfileError,
        ReadBackError,
    )

# Public name -> module that holds it.
_HOMES = {
    "DesignError": "problems",
    "FileError": "problems",
    "FoldwrightError": "problems",
    "PlugInError": "problems",
    "ProfileError": "problems",
    "ReadBackError": "problems",
}

__all__ = [
    "DesignError",
    "FileError",
    "FoldwrightError",
    "PlugInError",
    "ProfileError",
    "ReadBackError",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'foldwright' has no attribute {name!r}")
    return getattr(import_module(f".{home}", __name__), name)


def __dir__() -> list[str]:
    return sorted(__all__)
