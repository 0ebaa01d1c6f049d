"""This module says what the parts of a piece are called, and finds the parts that a name refers to.

A part without a name is called by its kind and its place in the file,
`fold 3`; a band counts there with all of its folds, which themselves are called
by the band's name, `steps 1`.  A fold elsewhere is `piece/fold`, or the bare
name where only one piece has it; `#2` picks one of its hinges.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ..problems import likely
from .model import (
    BandDraft,
    ExtraDraft,
    FoldDraft,
    JointDraft,
    MarkDraft,
    MatDraft,
    OpeningDraft,
    PieceDraft,
    SlitDraft,
    TouchDraft,
)

_HINGE = re.compile(r"(?P<fold>.*)#(?P<hinge>[1-9][0-9]{0,5})", re.DOTALL)
_UNNAMED_PANEL = re.compile(r"panel [1-9][0-9]{0,5}")


Part = SlitDraft | OpeningDraft | MarkDraft | JointDraft | TouchDraft | MatDraft | ExtraDraft
"""What may be without a name, and is then called by its kind and its place in the file."""


def called(kind: str, parts: Sequence[Part]) -> tuple[str, ...]:
    """The names of the parts of one kind; those without are called by their place in the file."""
    return tuple(
        f"{kind} {index}" if part.name is None else part.name
        for index, part in enumerate(parts, start=1)
    )


def fold_names(piece: PieceDraft) -> tuple[tuple[FoldDraft | BandDraft, tuple[str, ...]], ...]:
    """Each fold and band of a piece in the order of the file, with the names of its folds."""
    found: list[tuple[FoldDraft | BandDraft, tuple[str, ...]]] = []
    count = 0
    for crease in piece.creases:
        lines = len(crease.walk) + 1 if isinstance(crease, BandDraft) else 1
        if crease.name is None:
            names = tuple(f"fold {count + index}" for index in range(1, lines + 1))
        elif isinstance(crease, BandDraft):
            names = tuple(f"{crease.name} {index}" for index in range(1, lines + 1))
        else:
            names = (crease.name,)
        found.append((crease, names))
        count += lines
    return tuple(found)


def names_of_folds(pieces: Iterable[PieceDraft]) -> dict[str, list[str]]:
    """The names of the folds of each piece, those of its bands among them."""
    return {piece.name: [n for _, names in fold_names(piece) for n in names] for piece in pieces}


def panel_names(pieces: Iterable[PieceDraft]) -> dict[str, list[str]]:
    """The names that a person gave to panels, by piece."""
    return {piece.name: [panel.name for panel in piece.panels] for piece in pieces}


@dataclass(frozen=True, kw_only=True, slots=True)
class FoldReference:
    """A fold that another part speaks of; `hinge` counts from 1, None is all of them."""

    piece: str
    fold: str
    hinge: int | None = None


class Unfound(LookupError):
    """A name that refers to nothing, with the mend."""

    def __init__(self, hint: str) -> None:
        super().__init__(hint)
        self.hint = hint


def nearest(name: str, known: Collection[str], noun: str) -> str:
    """The mend for a name that is not known."""
    near = likely(name, known)
    if near:
        return f'did you mean "{near}"?'
    if not known:
        return f"there is no {noun} here: leave it out"
    listed = ", ".join(f'"{item}"' for item in list(known)[:8])
    return f"known here: {listed}" + (", ..." if len(known) > 8 else "")


def find_fold(reference: str, folds: Mapping[str, Collection[str]]) -> FoldReference:
    """The fold that `reference` names among the `folds` of each piece.  Raises Unfound."""
    hinge: int | None = None
    name = reference
    match = _HINGE.fullmatch(reference)
    if match is not None:
        name, hinge = match["fold"], int(match["hinge"])
    piece, fold = _find(name, folds, "fold")
    return FoldReference(piece=piece, fold=fold, hinge=hinge)


def find_panel(reference: str, panels: Mapping[str, Collection[str]]) -> tuple[str, str]:
    """The piece and the panel that `reference` names among the named `panels` of each piece.

    A panel without a name, `piece/panel 2`, is taken on trust: which panels
    there are is known only after the piece has been divided.  Raises Unfound.
    """
    piece, slash, panel = reference.partition("/")
    if slash and piece in panels and _UNNAMED_PANEL.fullmatch(panel):
        return piece, panel
    if not slash and len(panels) == 1 and _UNNAMED_PANEL.fullmatch(reference):
        return next(iter(panels)), reference
    return _find(reference, panels, "panel")


def _find(name: str, parts: Mapping[str, Collection[str]], noun: str) -> tuple[str, str]:
    piece, slash, part = name.partition("/")
    full = [f"{owner}/{known}" for owner, names in parts.items() for known in names]
    if slash and piece not in parts and not difflib.get_close_matches(name, full, n=1, cutoff=0.6):
        raise Unfound(f'there is no piece "{piece}": {nearest(piece, parts, "piece")}')
    if slash:
        if piece not in parts or part not in parts[piece]:
            raise Unfound(nearest(name, full, noun))
        return piece, part
    owners = [owner for owner, known in parts.items() if name in known]
    if len(owners) == 1:
        return owners[0], name
    if owners:
        choices = " or ".join(f'"{owner}/{name}"' for owner in owners)
        raise Unfound(f"more than one piece has it: write {choices}")
    bare = {known: None for names in parts.values() for known in names}
    if difflib.get_close_matches(name, list(bare), n=1, cutoff=0.6):
        raise Unfound(nearest(name, bare, noun))
    raise Unfound(nearest(name, full, noun))
