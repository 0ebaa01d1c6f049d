"""This package holds the occasions: finished designs that ship, each a file to go on with."""

from .catalogue import Occasion, find, names, shipped

__all__ = ["Occasion", "find", "names", "shipped"]
