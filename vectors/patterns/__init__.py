"""This package holds the patterns that ship, one a file, and writes the first file of any one."""

from .starter import starter

__all__ = ["starter"]
