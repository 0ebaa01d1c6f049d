"""This package judges panels in space: where they pass through each other, where they touch."""

from .clash import Clash, clashes
from .contacts import Contact, contacts
from .on_the_way import WayClash, WayPoint, clashes_on_way

__all__ = [
    "Clash",
    "Contact",
    "WayClash",
    "WayPoint",
    "clashes",
    "clashes_on_way",
    "contacts",
]
