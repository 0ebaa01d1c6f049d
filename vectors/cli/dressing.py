"""This module tells what goes on and round a card: its mats, its envelope, and the post."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from foldwright.profiles.paper import envelopes
from foldwright.profiles.post_rules import load_services, shipped_services

from ..dressing.envelopes import EnvelopeAnswer, envelope_of, envelope_piece
from ..dressing.post import Answer, PostAnswer, Verdict, post_of
from ..measures import Unit, exact_text
from ..proving import Proof
from .tell import number

TYPE_CHECKING = False
if TYPE_CHECKING:
    # Their modules need shapely.
    from ..dressing.mats import Mats


@dataclass(frozen=True, kw_only=True, slots=True)
class Dressed:
    """A proof with the findings of what goes on and round its card, and that itself."""

    proof: Proof
    mats: Mats | None = None
    envelope: EnvelopeAnswer | None = None
    post: PostAnswer | None = None


def dressed(proof: Proof, post_file: str | None = None) -> Dressed:
    """A proof with its mats, its envelope and the post.

    `post_file` takes the place of the rules of the post that ship.

    Raises FileError and ProfileError for a file of rules that cannot be used.
    """
    mats = None
    if proof.resolved.mats and proof.closed is not None:
        from ..dressing.mats import mats_of

        mats = mats_of(proof)
        proof = replace(proof, findings=(*proof.findings, *mats.problems))
    limits = proof.resolved.limits
    asks = limits is not None and bool(limits.post)
    if proof.resolved.envelope is None and not asks:
        if post_file is not None:
            # What is wrong with it is told, whether it is used or not.
            load_services(post_file)
        return Dressed(proof=proof, mats=mats)
    envelope = envelope_of(proof)
    if post_file is None:
        post = post_of(proof, envelope, shipped_services())
    else:
        post = post_of(proof, envelope, load_services(post_file), file=post_file)
    own = () if envelope is None else envelope.findings
    return Dressed(
        proof=replace(proof, findings=(*proof.findings, *own, *post.findings)),
        mats=mats,
        envelope=envelope,
        post=post,
    )


def dressing_json(card: Dressed | None) -> dict[str, object]:
    """The keys `mats`, `greeting`, `visible`, `envelope` and `post` of `prove --json`."""
    mats = None if card is None else card.mats
    if mats is None:
        own: list[dict[str, object]] = []
    else:
        from .cutting import mats_json

        own = mats_json(mats)
    envelope = None if card is None else card.envelope
    post = None if card is None else card.post
    return {
        "mats": own,
        **_words_json(card),
        "envelope": None if envelope is None else _envelope_json(envelope),
        "post": [] if post is None else [_answer_json(answer) for answer in post.answers],
    }


def _words_json(card: Dressed | None) -> dict[str, object]:
    """The keys `greeting` and `visible`: where there is room for words, and what is seen."""
    # Only the closed size says that all pieces have panels, and what they need of libraries.
    if card is None or card.proof.closed is None:
        return {"greeting": None, "visible": []}
    from .words import words_json

    return words_json(card.proof)


def _envelope_json(answer: EnvelopeAnswer) -> dict[str, object]:
    piece = envelope_piece(answer)
    return {
        "form": str(answer.form),
        "name": answer.name,
        "series": answer.series,
        "needed_mm": _pair(answer.room.needed_mm),
        "inside_mm": _pair(answer.inside_mm),
        "play_mm": _pair(answer.play_mm),
        "blank_mm": _pair(answer.blank_mm),
        "depth_mm": number(answer.depth_mm),
        "folds": []
        if piece is None
        else [
            {
                "name": fold.name,
                "sense": str(fold.senses[0]),
                "angle": number(fold.angle),
                "points": [[number(v.at.x), number(v.at.y)] for v in fold.path.vertices],
            }
            for fold in piece.folds
        ],
        "sheet": answer.sheet,
        "mass_g": number(answer.mass_g),
    }


def _pair(sides: tuple[float, float] | None) -> list[int | float | None] | None:
    return None if sides is None else [number(side) for side in sides]


def _answer_json(answer: Answer) -> dict[str, object]:
    return {
        "service": answer.service.name,
        "about": answer.service.about,
        "dated": answer.service.dated,
        "verdict": str(answer.verdict),
        "fails": [
            {
                "rule": str(failure.measure),
                "too": failure.too,
                "by": number(failure.by),
                "unit": failure.measure.unit,
                "verdict": str(failure.fails),
            }
            for failure in answer.failures
        ],
    }


def dressing_text(card: Dressed) -> Iterator[str]:
    """The envelope in a line, the post in a few."""
    units = Unit(card.proof.resolved.units)
    if card.envelope is not None:
        yield f"envelope: {_envelope_text(card.envelope, units)}"
    if card.post is not None and card.post.answers:
        days = sorted({answer.service.dated for answer in card.post.answers})
        lines = [f"post, by rules of {' and '.join(days)}; they change, so ask your post:"]
        for answer in card.post.answers:
            told = ", ".join(failure.text(units) for failure in answer.failures)
            word = {Verdict.GOOD: "good", Verdict.SURCHARGE: "surcharge", Verdict.NO: "no"}
            tail = f": {told}" if told else ""
            lines.append(f"  {answer.service.name}: {word[answer.verdict]}{tail}")
        yield "\n".join(lines)


def _envelope_text(answer: EnvelopeAnswer, units: Unit) -> str:
    if answer.inside_mm is None or answer.play_mm is None:
        return "no standard one takes the card"
    size = _by(answer.inside_mm, units)
    play = " and ".join(exact_text(round(side, 6), units) for side in answer.play_mm)
    if answer.name is not None:
        series = envelopes()[answer.name].series
        return f"{answer.name} ({series}), {size}; play {play}"
    assert answer.blank_mm is not None
    walls = f", walls {exact_text(answer.depth_mm, units)} high" if answer.depth_mm else ""
    sheet = "" if answer.sheet is None else f" from {answer.sheet}"
    return (
        f"{answer.form}, inside {size}{walls}; play {play}; "
        f"blank {_by(answer.blank_mm, units)}{sheet}"
    )


def _by(sides: tuple[float, float], units: Unit) -> str:
    return " by ".join(exact_text(round(side, 6), units) for side in sides)
