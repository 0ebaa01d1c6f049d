"""This module lists the occasions, the design files in this folder, and loads them as text.

An occasion is called as its file.  The first paragraph of the comment at the head of a file is
one sentence: what the card is for, a colon, and what it is.  The rest of the file is a design
like any other, and is read by whoever uses it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_SUFFIX = ".toml"


@dataclass(frozen=True, kw_only=True, slots=True)
class Occasion:
    """A finished design: what it is called and is for, what it is in a sentence, its text."""

    name: str
    occasion: str
    about: str
    text: str


@cache
def names() -> tuple[str, ...]:
    """What the occasions are called, in the order of the alphabet."""
    found = (file.name for file in files(__package__).iterdir())
    return tuple(sorted(name.removesuffix(_SUFFIX) for name in found if name.endswith(_SUFFIX)))


def find(name: str) -> Occasion | None:
    """The occasion of that name, None where there is none."""
    return _loaded(name) if name in names() else None


def shipped() -> tuple[Occasion, ...]:
    """All occasions, in the order of their names."""
    return tuple(map(_loaded, names()))


def told(text: str) -> tuple[str, str]:
    """What a design is for and what it is, by the first paragraph of the comment at its head."""
    paragraph: list[str] = []
    for line in text.splitlines():
        said = line.removeprefix("#").strip()
        if not line.startswith("#") or not said:
            break
        paragraph.append(said)
    occasion, _, about = " ".join(paragraph).partition(": ")
    return occasion, about[:1].upper() + about[1:]


@cache
def _loaded(name: str) -> Occasion:
    text = (files(__package__) / f"{name}{_SUFFIX}").read_text(encoding="utf-8")
    occasion, about = told(text)
    return Occasion(name=name, occasion=occasion, about=about, text=text)
