"""This module compiles the parts of a card's set for export, and tells what each of them is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from foldwright.profiles.machine import Machine

from ..compiling import CompileOptions, compile_piece
from ..design.pieces import Form, Piece
from ..drawing import Drawing
from ..dressing.back_marks import marked_back, unmarked
from ..dressing.card_set import CardSet
from ..dressing.model import Kind, MadePiece
from ..dressing.placement_marks import with_placement
from ..dressing.sense_marks import with_senses
from ..problems import Collector, Place, Problem, ProfileError, Severity, problem
from ..proving import Proof, profile_of
from ..proving.names import in_a_row
from ..writers import WrittenFile
from ..writers.names import stem
from .dressing import Dressed, dressing_json
from .tell import number

# What a word of --only stands for, what it is called, and the table that a design has for it.
_KINDS = {
    "base": ((Kind.BASE,), "[[piece]]"),
    "mats": ((Kind.MAT, Kind.GREETING), "[[mat]]"),
    "envelope": ((Kind.ENVELOPE, Kind.LINER), "[envelope]"),
}

# In a heading; parts of other kinds have none.
_HEADINGS = {
    Kind.BASE: "the card",
    Kind.MAT: "mats",
    Kind.GREETING: "greeting panels",
    Kind.ENVELOPE: "envelope",
    Kind.LINER: "liner",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Cut:
    """A part of the set as it is cut: `number` is its place by order of making, from 1."""

    number: int
    part: MadePiece
    drawing: Drawing


class Marks(NamedTuple):
    """Which aids are drawn: letters on the backs of mats, where mats go, senses of folds."""

    letters: bool = False
    placement: bool = False
    senses: bool = False


def compiled_parts(
    proof: Proof,
    card: CardSet,
    choices: CompileOptions,
    *,
    only: Sequence[str] | None,
    marks: Marks,
) -> tuple[tuple[Cut, ...], tuple[Problem, ...]]:
    """The parts that are to be written, each for the material of its own stock, with findings.

    `only` are words of --only, None for the whole set.  A part beside the card itself
    whose stock has no material is left out and told.  Raises ProfileError where a piece
    of the card has none, and where nothing that was asked for can be written.
    """
    kinds = [kind for name in only or _KINDS for kind in _KINDS[name][0]]
    asked = [(place, part) for place, part in enumerate(card.parts, start=1) if part.kind in kinds]
    found = [*card.findings_on(kinds), *_without_parts(only, card, alone=not asked)]
    if not asked and found:
        raise ProfileError(tuple(found))
    lacking = [part for _, part in asked if profile_of(proof.profiles, part.stock) is None]
    if any(part.kind is Kind.BASE for part in lacking) or len(lacking) == len(asked):
        raise ProfileError(tuple(_needed(part) for part in _worst(lacking)))
    found += _left_out(lacking)
    cuts: list[Cut] = []
    dressed, told = _marked([part for _, part in asked if part not in lacking], card, proof, marks)
    found += told
    wrong = Collector()
    for place, part in asked:
        profile = profile_of(proof.profiles, part.stock)
        if profile is None:
            continue
        assert proof.tool is not None
        name = part.piece.name
        try:
            made = compile_piece(
                dressed[name], profile, proof.tool, choices, title=f"{proof.resolved.name}: {name}"
            )
        except ProfileError as error:
            wrong.extend(error)
            continue
        cuts.append(Cut(number=place, part=part, drawing=made.drawing))
        found += made.findings
    wrong.raise_if_stopped(ProfileError)
    mats = {cut.part.piece.name for cut in cuts if cut.part.kind is not Kind.BASE}
    return tuple(cuts), tuple(_told_once(found, mats))


def _told_once(found: Sequence[Problem], names: Collection[str]) -> Iterator[Problem]:
    """How to turn a sheet over is the same for all mats with letters: one note for all of them."""
    rest: dict[tuple[str, str], list[Problem]] = {}
    for one in found:
        if one.rule == "second-face" and one.piece in names:
            rest.setdefault((_after_name(one), one.mend), []).append(one)
    told = {id(one) for group in rest.values() for one in group[1:]}
    for one in found:
        if id(one) in told:
            continue
        group = rest.get((_after_name(one), one.mend), [])
        if len(group) > 1 and group[0] is one:
            pieces = in_a_row([f'"{other.piece}"' for other in group])
            yield replace(one, message=f"marks of pieces {pieces}{_after_name(one)}")
        else:
            yield one


def _after_name(one: Problem) -> str:
    """What a message says after the name of its piece."""
    return one.message.partition(f'piece "{one.piece}"')[2]


def _worst(lacking: Sequence[MadePiece]) -> Sequence[MadePiece]:
    """The pieces of the card itself, where some of them lack a material."""
    return [part for part in lacking if part.kind is Kind.BASE] or lacking


def _needed(part: MadePiece) -> Problem:
    name = part.piece.name
    hint = None
    if part.kind is not Kind.BASE and part.stock is not None:
        hint = (
            f"add --material {part.stock}=card-200 or another one; "
            "foldwright list materials shows them"
        )
    return problem("material-needed", place=part.piece.place, piece=name, name=name, mend=hint)


def _without_parts(only: Sequence[str] | None, card: CardSet, *, alone: bool) -> Iterator[Problem]:
    """Tells of words of --only that name no part of this set."""
    for name in only or ():
        kinds, table = _KINDS[name]
        if any(part.kind in kinds for part in card.parts):
            continue
        why = (
            f"the design has no {name}"
            if name == "mats"
            else f"the design has no {name} of its own"
        )
        if name == "envelope" and card.envelope is not None and card.envelope.form is Form.STANDARD:
            why = f"the envelope is a standard one, {card.envelope.name}, and is bought"
            table = 'form = "square-blank" or "four-flap" there, not "standard"'
        yield problem(
            "no-such-part",
            severity=Severity.STOP if alone else None,
            place=Place(file=f"--only {name}"),
            why=why,
            table=table,
        )


def _left_out(lacking: Sequence[MadePiece]) -> Iterator[Problem]:
    """Tells of parts that have no material, stock by stock."""
    for stock in dict.fromkeys(part.stock for part in lacking):
        mine = [part for part in lacking if part.stock == stock]
        if stock is None:
            name = "it names" if len(mine) == 1 else "they name"
            why = f"{name} no stock, and no material is given for all stocks"
            them = "it" if len(mine) == 1 else "them"
            hint = f"give {them} a stock in the design, or add --material NAME for every stock"
        else:
            why = f'no material is named for their stock "{stock}"'
            if len(mine) == 1:
                why = why.replace("their", "its")
            hint = (
                f"add --material {stock}=card-200 or another one (foldwright list materials shows "
                "them)"
            )
        yield problem(
            "part-without-material",
            place=mine[0].piece.place,
            piece=mine[0].piece.name if len(mine) == 1 else None,
            parts=_in_a_row(mine),
            why=why,
            hint=hint,
        )


def _in_a_row(parts: Sequence[MadePiece]) -> str:
    """Parts as a person lists them: `mats A, B and C and the envelope`."""
    mats = [part.letter for part in parts if part.letter]
    told = [f"the {part.piece.name}" for part in parts if not part.letter]
    if mats:
        *before, last = mats
        row = f"{', '.join(before)} and {last}" if before else last
        told.insert(0, f"mats {row}" if before else f"mat {row}")
    return " and ".join(told)


def _marked(
    parts: Sequence[MadePiece], card: CardSet, proof: Proof, marks: Marks
) -> tuple[dict[str, Piece], list[Problem]]:
    """The pieces by name, with the marks that are asked for."""
    found: list[Problem] = []
    dressed: dict[str, Piece] = {}
    crowded: list[MadePiece] = []
    for part in parts:
        piece = part.piece
        if part.letter:
            # A file of the back for every mat is a burden, and most makers take a pencil: letters
            # are drawn where they are asked for.
            piece, lettered = marked_back(part) if marks.letters else (unmarked(part), True)
            if not lettered:
                crowded.append(part)
        if marks.placement and part.kind is Kind.BASE:
            piece = with_placement(piece, card.placed, proof)
        if marks.senses:
            piece, told = with_senses(piece)
            found += told
        dressed[part.piece.name] = piece
    if crowded:
        have = "has" if len(crowded) == 1 else "have"
        found.append(problem("letter-no-room", parts=_in_a_row(crowded), have=have))
    mats = any(part.letter for part in parts)
    for option, does, why in (
        ("--letters", not marks.letters or mats, "no mat is written"),
        ("--placement", not marks.placement or bool(card.placed), "the design has no mats"),
        (
            "--senses",
            not marks.senses or any(p.folds for p in dressed.values()),
            "no fold is written",
        ),
    ):
        if not does:
            found.append(problem("nothing-to-place", option=option, why=why))
    return dressed, found


def left_alone(card: CardSet, cuts: Iterable[Cut]) -> list[str]:
    """The starts of the names of the files of all parts that are not written now."""
    written = {cut.number for cut in cuts}
    count = len(card.parts)
    return [
        f"{stem(part.piece.name, place, count)}-"
        for place, part in enumerate(card.parts, start=1)
        if place not in written
    ]


# What is told of a set.


def manifest_facts(
    proof: Proof,
    card: CardSet,
    files: Sequence[WrittenFile],
    findings: Iterable[Problem],
    machine: Machine | None,
) -> dict[str, object]:
    """What the manifest tells, after whose it is."""
    found = [one.severity for one in findings]
    return {
        "design": proof.resolved.name,
        "version": proof.resolved.version,
        "variant": proof.resolved.variant,
        "verdict": str(proof.verdict),
        "proven": Severity.STOP not in found,
        "tool": None if proof.tool is None else str(proof.tool),
        "machine": None if machine is None else machine.name,
        "parts": parts_json(proof, card, files),
        **round_json(proof, card),
        "findings": {str(severity): found.count(severity) for severity in Severity},
    }


def parts_json(
    proof: Proof, card: CardSet, files: Sequence[WrittenFile]
) -> list[dict[str, object]]:
    """All parts of the set by order of making; `files` has those that were written of each."""
    return [
        {
            "letter": part.letter or None,
            "kind": str(part.kind),
            "name": part.piece.name,
            "stock": part.stock,
            "material": _material(proof, part),
            "count": part.count,
            "width_mm": number(part.width_mm),
            "height_mm": number(part.height_mm),
            "up_deg": number(part.up),
            "way": part.way,
            "where": list(part.where),
            "files": [file.path.name for file in files if file.piece == part.piece.name],
        }
        for part in card.parts
    ]


def _material(proof: Proof, part: MadePiece) -> str | None:
    profile = profile_of(proof.profiles, part.stock)
    return None if profile is None else profile.name


def round_json(proof: Proof, card: CardSet) -> dict[str, object]:
    """The keys `envelope` and `post`, as prove has them."""
    told = dressing_json(Dressed(proof=proof, envelope=card.envelope, post=card.post))
    return {key: told[key] for key in ("envelope", "post")}


def under_headings(lines: Iterable[str], parts: Sequence[MadePiece], proof: Proof) -> list[str]:
    """Lines of files under a heading for each kind of part and stock."""
    found: list[str] = []
    last = ""
    for line, part in zip(lines, parts, strict=True):
        stock = "without a stock" if part.stock is None else part.stock
        heading = f"{_HEADINGS[part.kind]}, {stock} ({_material(proof, part)}):"
        if heading != last:
            found.append(heading)
            last = heading
        goes = f"; goes on {_places(part)}" if part.where else ""
        found.append(f"  {line}{goes}")
    return found


_MOST_PLACES = 3


def _places(part: MadePiece) -> str:
    places = [
        place if copies == 1 else f"{place} ({copies})"
        for place, copies in Counter(part.where).items()
    ]
    told = ", ".join(places[:_MOST_PLACES])
    more = len(places) - _MOST_PLACES
    return f"{told} and {more} more" if more > 0 else told
