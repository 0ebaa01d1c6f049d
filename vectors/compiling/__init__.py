"""This package compiles a piece: pass by pass its lines become the strokes that a tool runs."""

from .compile import PASSES, Pass, compile_piece
from .job import Compiled, CompileOptions, Job, Passed, TurnAbout

__all__ = [
    "PASSES",
    "CompileOptions",
    "Compiled",
    "Job",
    "Pass",
    "Passed",
    "TurnAbout",
    "compile_piece",
]
