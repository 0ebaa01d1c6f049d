"""This module writes the mended design beside the one that was proved.

A mended design is read again and proved before its file gets its name.
"""

from __future__ import annotations

from codecs import BOM_UTF8
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from foldwright.profiles.model import Tool

from ..design import Design, parse_design
from ..design.resolve import edition_in_use
from ..design.rewriting import measure_text, with_measures
from ..folding import Verdict
from ..measures import Ruler, Unit
from ..problems import DesignError, FileError, FoldwrightError, Place, Problem, Severity, problem
from ..proving import MeasureChange, Mend, Proof, change_text, move_text, prove_design
from ..proving.literals import lengths_of
from ..proving.materials import files_read
from ..proving.rounding import Rounding, rounded
from ..sources.saving import check_not_read, check_target, replace_file, told_as_problem
from .proofs import change_json

if TYPE_CHECKING:
    from argparse import Namespace

MARK = "# Mended by Foldwright; mending again replaces this file.\n"
"""The last line of a mended design: a file that ends in it is ours to replace."""


_MARKS = (MARK, MARK.replace("\n", "\r\n"))


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """The edition of a design that was asked for: what `prove_design` takes."""

    design: Design
    materials: Sequence[str]
    tool: Tool | None
    variant: str | None
    overrides: Mapping[str, str]
    ruler: Ruler | None

    def prove(self) -> Proof:
        """The proof of the edition."""
        return prove_design(
            self.design,
            materials=self.materials,
            tool=self.tool,
            variant=self.variant,
            overrides=self.overrides,
            ruler=self.ruler,
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Mending:
    """What came of rounding and mending: the proof to be told, and the file that was written.

    `rounded` are the measures that were rounded, None where that was not asked
    for, `left` names those that could not be.  `written` are the measures that the
    file has otherwise than the design.
    """

    proof: Proof
    rounded: tuple[MeasureChange, ...] | None
    round_to: Ruler | None
    left: tuple[str, ...]
    path: Path | None
    written: Mapping[str, str]

    def json(self) -> dict[str, object]:
        """The keys that it adds to `prove --json`."""
        return {
            "rounded": None if self.rounded is None else [change_json(c) for c in self.rounded],
            "mended": None
            if self.path is None
            else {"path": str(self.path), "measures": dict(self.written)},
        }

    def rounded_text(self) -> str:
        """What was rounded, in one line."""
        ruler = "" if self.round_to is None else f"the {self.round_to.value} ruler"
        if not self.rounded and self.left:
            return f"no length was rounded to {ruler}: see the findings for why"
        if not self.rounded:
            return f"every length that may change lies on {ruler} already"
        units = Unit(self.proof.resolved.units)
        changes = ", ".join(change_text(change, units) for change in self.rounded)
        return f"rounded to {ruler}: {changes}"

    def written_text(self) -> str:
        """What was written, in one line."""
        changes = ", ".join(f"{name} = {text}" for name, text in self.written.items())
        return f"wrote {self.path}: with {changes}; it closes"


def mended(design: Design, options: Namespace) -> Mending:
    """Round and mend the design of a command line, as it asks for.

    Raises DesignError and the like for a design or a ruler that cannot be used,
    FileError for whatever keeps the mended design from being written.
    """
    asked = Asked(
        design=design,
        materials=options.materials,
        tool=None if options.tool is None else Tool(options.tool),
        variant=options.variant,
        overrides=dict(options.overrides),
        ruler=ruler_called(options.ruler),
    )
    round_to = ruler_called(options.round_to)
    rounding: tuple[MeasureChange, ...] | None = None
    left: tuple[str, ...] = ()
    if round_to is None:
        proof = asked.prove()
    else:
        asked, proof, found = _rounded(asked, round_to)
        rounding, left = found.changes, (*found.left, *found.closing)
    path, written = None, {}
    if options.mend:
        why = _why_not(design, proof, rounding or ())
        if why is None:
            path = mended_path(Path(options.design))
            written = _texts(asked, proof)
            file = write_mended(asked, proof, written, path, replacing=options.replace)
            proof = replace(proof, findings=(*proof.findings, *_still_open(file)))
        else:
            proof = replace(proof, findings=(*proof.findings, why))
    return Mending(
        proof=proof, rounded=rounding, round_to=round_to, left=left, path=path, written=written
    )


def ruler_called(text: str | None) -> Ruler | None:
    """The ruler of an option, None where there is none.  Raises DesignError for an unknown one."""
    if text is None:
        return None
    for ruler in Ruler:
        if ruler.value.replace(" ", "") == text.replace(" ", ""):
            return ruler
    known = ", ".join(f'"{ruler.value}"' for ruler in Ruler)
    raise DesignError(problem("unknown-ruler", found=text, known=known))


def _rounded(asked: Asked, ruler: Ruler) -> tuple[Asked, Proof, Rounding]:
    """The edition rounded to a ruler, its proof with notes, and what was rounded."""
    rounding = rounded(
        asked.design,
        ruler,
        materials=asked.materials,
        tool=asked.tool,
        variant=asked.variant,
        overrides=asked.overrides,
    )
    notes = (
        _not_rounded(
            asked.design,
            rounding.left,
            f"whose step and limits leave no line of the {ruler.value} ruler near by",
            "widen the limits, change the step, or choose another ruler",
        ),
        _not_rounded(
            asked.design,
            rounding.closing,
            f"because the card closes only with these off the {ruler.value} ruler",
            "choose another ruler, or change the measures that are to be kept",
        ),
    )
    findings = (*rounding.proof.findings, *(note for note in notes if note is not None))
    proof = replace(rounding.proof, findings=findings)
    return replace(asked, overrides=rounding.overrides, ruler=ruler), proof, rounding


def _not_rounded(design: Design, names: Sequence[str], why: str, mend: str) -> Problem | None:
    if not names:
        return None
    told = ", ".join(f'"{name}"' for name in names)
    # A measure of a pattern that only this run states has no place in the file.
    draft = design.measures.get(names[0])
    place = design.place if draft is None else draft.place
    return problem("not-rounded", place=place, names=told, why=why, mend=mend)


def mended_path(design: Path) -> Path:
    """The file beside a design that its mended form is written to."""
    return design.with_name(f"{design.stem}.mended{design.suffix or '.toml'}")


def write_mended(
    asked: Asked, proof: Proof, texts: Mapping[str, str], target: Path, *, replacing: bool
) -> Asked:
    """Write a design with these measures; what is written is read again and proved first.

    A file that is there is replaced when it carries our mark, or with
    `replacing`.  Lines end, and a byte order mark stands, as in the design.
    Returns the edition as the file has it.  Raises FileError for whatever keeps
    it from being written.
    """
    check_not_read(target, files_read(asked.design, asked.materials))
    check_target(target, replace=replacing, is_ours=lambda: _is_ours(target))
    text = with_measures(asked.design, texts, asked.variant)
    end = "\r\n" if text.count("\r\n") * 2 > text.count("\n") else "\n"
    for mark in _MARKS:
        text = text.removesuffix(mark)
    newline = "" if not text or text.endswith("\n") else end
    text = f"{text}{newline}{MARK.replace(chr(10), end)}"
    again = replace(asked, design=parse_design(text, str(target)), overrides={})
    _check(again, proof, target)
    replace_file(target, _byte_order_mark(asked.design) + text.encode("utf-8"))
    return again


def _byte_order_mark(design: Design) -> bytes:
    """The mark that the design's own file begins with, nothing where it has none."""
    if design.source is None:
        return b""
    file = Path(design.source.file)
    with told_as_problem(file), file.open("rb") as stream:
        return BOM_UTF8 if stream.read(len(BOM_UTF8)) == BOM_UTF8 else b""


def _still_open(written: Asked) -> tuple[Problem, ...]:
    """A warning for each other edition of a mended design that does not close."""
    found = []
    for variant in (None, *written.design.variants):
        if variant == written.variant:
            continue
        try:
            closes = replace(written, variant=variant).prove().verdict is Verdict.CLOSES
        except FoldwrightError:
            # One that cannot even be judged, for want of a material perhaps.
            closes = False
        if not closes:
            edition = "the design as it is" if variant is None else f'variant "{variant}"'
            again = "" if variant is None else f" with --variant {variant}"
            found.append(
                problem("edition-open", place=written.design.place, edition=edition, again=again)
            )
    return tuple(found)


def _texts(asked: Asked, proof: Proof) -> dict[str, str]:
    """What is to stand in the file: the measures of this run and of its best mend, as texts."""
    design, variant = asked.design, asked.variant
    edition = edition_in_use(design, asked.overrides, variant)
    values = proof.resolved.measures
    lengths = {one.name for one in lengths_of(design, edition, values)}
    texts = {}
    for name, text in asked.overrides.items():
        if name in lengths:
            text = measure_text(design, name, Fraction(values[name]), variant)
        # Any other one is an expression or a number in the edition's own units, which
        # are those of the table that it is written into.
        texts[name] = text
    for change in proof.measure_mends[0].changes if proof.measure_mends else ():
        texts[change.measure] = measure_text(design, change.measure, change.to_mm, variant)
    return texts


def _check(again: Asked, before: Proof, target: Path) -> None:
    """Raise FileError where a mended design that is read again does not close."""
    try:
        proof = again.prove()
    except DesignError as error:
        raise FileError(
            (problem("mended-differs", place=Place(file=str(target))), *error.problems)
        ) from None
    if proof.verdict is not Verdict.CLOSES or _stops(proof) > _stops(before):
        raise FileError(problem("mended-differs", place=Place(file=str(target))))


def _stops(proof: Proof) -> int:
    return sum(found.severity is Severity.STOP for found in proof.findings)


def _why_not(design: Design, proof: Proof, rounding: Sequence[MeasureChange]) -> Problem | None:
    """Why there is no mended design to write, and what to do in its place; None if there is one."""
    if proof.measure_mends or (proof.verdict is Verdict.CLOSES and rounding):
        return None
    if proof.verdict is Verdict.CLOSES:
        return problem("nothing-to-mend", place=design.place)
    if proof.verdict is Verdict.UNPROVEN:
        why, mend = "the lines of the design cannot be judged", "mend what the findings say first"
    elif proof.verdict is Verdict.TURNED:
        why = "a fold is missing, or there is one too many"
        mend = "add it or leave it out in the file by hand"
    else:
        why, mend = "no change of measures closes the card", "change the lengths between its folds"
    place = design.place
    closing = [line for line in proof.mends if line.gap_after_mm == 0.0]
    if closing:
        mend, place = _line_by_hand(closing[0], proof)
    return problem("not-mended", place=place, why=why, mend=mend)


def _line_by_hand(mend: Mend, proof: Proof) -> tuple[str, Place]:
    units = Unit(proof.resolved.units)
    (piece,) = (one.division.piece for one in proof.pieces if one.name == mend.piece)
    told, places = [], []
    for move in mend.moves:
        name = move.line.partition("#")[0]
        place = next((fold.place for fold in piece.folds if fold.name == name), piece.place)
        places.append(place)
        where = "" if place.line is None else f" in line {place.line} of the file"
        told.append(f"{move_text(move, units)}{where}")
    return f"{' and '.join(told)}, by hand", places[0]


def _is_ours(file: Path) -> bool:
    with told_as_problem(file):
        try:
            return file.read_bytes().endswith(tuple(mark.encode() for mark in _MARKS))
        except PermissionError:
            # What this user may not even read, this user did not write.
            return False
