"""This package holds the patterns that ship, one a file, and writes the first file of any one."""

from .in_full import in_full
from .starter import starter

__all__ = ["in_full", "starter"]
