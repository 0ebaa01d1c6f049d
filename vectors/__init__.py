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
    from .compiling import Compiled, CompileOptions, compile_piece
    from .design import Design, Resolved, read_design
    from .design.resolve import resolve
    from .drawing import Drawing, Stroke
    from .problems import (
        DesignError,
        FileError,
        FoldwrightError,
        PlugInError,
        Problem,
        ProfileError,
        ReadBackError,
    )
    from .profiles.load import load_material
    from .profiles.model import Profile, Tool
    from .proving import Proof, prove_design
    from .writers import WriteOptions, WrittenFile, write_files

# Public name -> module that holds it: the verbs in the order of the work, what
# they give and take, and the errors.
_HOMES = {
    "read_design": "design",
    "resolve": "design",
    "prove_design": "proving",
    "load_material": "profiles.load",
    "compile_piece": "compiling",
    "write_files": "writers",
    "CompileOptions": "compiling",
    "Compiled": "compiling",
    "Design": "design",
    "Drawing": "drawing",
    "Problem": "problems",
    "Profile": "profiles.model",
    "Proof": "proving",
    "Resolved": "design",
    "Stroke": "drawing",
    "Tool": "profiles.model",
    "WriteOptions": "writers",
    "WrittenFile": "writers",
    "DesignError": "problems",
    "FileError": "problems",
    "FoldwrightError": "problems",
    "PlugInError": "problems",
    "ProfileError": "problems",
    "ReadBackError": "problems",
}

__all__ = [
    "CompileOptions",
    "Compiled",
    "Design",
    "DesignError",
    "Drawing",
    "FileError",
    "FoldwrightError",
    "PlugInError",
    "Problem",
    "Profile",
    "ProfileError",
    "Proof",
    "ReadBackError",
    "Resolved",
    "Stroke",
    "Tool",
    "WriteOptions",
    "WrittenFile",
    "compile_piece",
    "load_material",
    "prove_design",
    "read_design",
    "resolve",
    "write_files",
]


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'foldwright' has no attribute {name!r}")
    return getattr(import_module(f".{home}", __name__), name)


def __dir__() -> list[str]:
    return sorted(__all__)
