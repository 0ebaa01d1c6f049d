"""This package is the waist for writers: the compiled drawing and its strokes."""

from .drawing import Drawing, Layer, Role, Side, Stroke, Work

__all__ = ["Drawing", "Layer", "Role", "Side", "Stroke", "Work"]
