"""This package finds what is installed: writers, patterns and materials, built-in ones included."""

from .registry import Group, PlugIn, find, listed, load, names

__all__ = ["Group", "PlugIn", "find", "listed", "load", "names"]
