"""This module puts the whole card together: every part to cut, in the order of making.

The pieces of the card come first, in the order of the design; then its mats, stock by
stock and within a stock by letter, as a cutting list has them; then panels for a greeting;
then an envelope of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from foldwright.profiles.post_rules import Service

from ..problems import Problem
from ..proving import Proof
from .envelopes import EnvelopeAnswer, envelope_of
from .mats import PlacedMat, mats_of
from .model import Kind, MadePiece
from .post import PostAnswer, post_of

# In the order of making.
_ORDER = (Kind.BASE, Kind.MAT, Kind.GREETING, Kind.ENVELOPE, Kind.LINER)


@dataclass(frozen=True, kw_only=True, slots=True)
class CardSet:
    """All parts of a card, in the order of making.

    `placed` are the mats on their panels.  `envelope` is None where the card gets none, `post`
    where nothing is asked of the post.  `mat_findings` are those on the mats; what is to be
    said of the envelope and of the post is with them.
    """

    parts: tuple[MadePiece, ...]
    placed: tuple[PlacedMat, ...] = ()
    envelope: EnvelopeAnswer | None = None
    post: PostAnswer | None = None
    mat_findings: tuple[Problem, ...] = ()

    @property
    def is_more_than_base(self) -> bool:
        """Whether it has parts beside the pieces of the card itself."""
        return any(part.kind is not Kind.BASE for part in self.parts)

    def findings_on(self, kinds: Iterable[Kind]) -> tuple[Problem, ...]:
        """What there is to say of parts of some kinds; the post goes with the envelope."""
        wanted = set(kinds)
        found: tuple[Problem, ...] = self.mat_findings if Kind.MAT in wanted else ()
        if Kind.ENVELOPE in wanted:
            if self.envelope is not None:
                found += self.envelope.findings
            if self.post is not None:
                found += self.post.findings
        return found


def set_of(proof: Proof, services: Sequence[Service] = ()) -> CardSet:
    """The set of the card of a proof.

    It is held against `services` of the post where the limits of the design ask for one.
    """
    mats = mats_of(proof)
    envelope = envelope_of(proof)
    limits = proof.resolved.limits
    asked = limits is not None and bool(limits.post)
    made = (*mats.pieces, *(() if envelope is None else envelope.pieces))
    return CardSet(
        parts=in_order(base_pieces(proof), made, tuple(proof.resolved.stocks)),
        placed=mats.placed,
        envelope=envelope,
        post=post_of(proof, envelope, services) if asked else None,
        mat_findings=mats.problems,
    )


def base_pieces(proof: Proof) -> tuple[MadePiece, ...]:
    """The pieces of the card itself, as they are cut."""
    found = []
    for piece in proof.resolved.pieces:
        cut = proof.compiled_piece(piece)
        left, bottom, right, top = cut.outline.rounded().box()
        found.append(
            MadePiece(
                letter="",
                kind=Kind.BASE,
                piece=cut,
                stock=piece.stock,
                count=piece.copies,
                where=(),
                width_mm=right - left,
                height_mm=top - bottom,
            )
        )
    return tuple(found)


def in_order(
    base: Sequence[MadePiece], made: Iterable[MadePiece], stocks: Sequence[str]
) -> tuple[MadePiece, ...]:
    """All parts in the order of making, each with a name that no other one has.

    Stocks come in the order in which the design lists them, parts without a stock last.
    """
    listed = {name: place for place, name in enumerate(stocks)}

    def place(part: MadePiece) -> tuple[int, int, str, int, str]:
        stock = len(listed) if part.stock is None else listed.get(part.stock, len(listed) - 1)
        # A to Z come before AA.
        return _ORDER.index(part.kind), stock, part.stock or "", len(part.letter), part.letter

    taken = {part.piece.name.casefold() for part in base}
    return (*base, *(_named(part, taken) for part in sorted(made, key=place)))


def _named(part: MadePiece, taken: set[str]) -> MadePiece:
    """The part with a name of its own: `mat A`, `envelope`, or `envelope 2` where that is taken."""
    plain = f"{part.kind} {part.letter}".strip()
    name, number = plain, 1
    while name.casefold() in taken:
        number += 1
        name = f"{plain} {number}"
    taken.add(name.casefold())
    return replace(part, piece=replace(part.piece, name=name))
