"""This module fits a design to the size and the hand that a command line asks for.

A scaled design can be written beside the one that was proved; what is written is read
again and proved before its file gets its name.
"""

from __future__ import annotations

from argparse import Namespace
from codecs import BOM_UTF8
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from ..measures import Unit, exact_text
from .tell import number

if TYPE_CHECKING:
    from ..design import Design
    from ..problems import Problem
    from ..proving import Proof
    from ..proving.finished_size import Sized
    from .dressing import Dressed

MARK = "# Scaled by Foldwright; scaling again replaces this file.\n"
"""The last line of a scaled design: a file that ends in it is ours to replace."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Fitted:
    """A design as a command line asks for it, and its options with the measures for that.

    `sized` is None where no other size is asked for.
    """

    design: Design
    options: Namespace
    sized: Sized | None

    @property
    def findings(self) -> tuple[Problem, ...]:
        """What there is to say of the size."""
        return () if self.sized is None else self.sized.findings

    def with_findings(self, card: Dressed) -> Dressed:
        """The card with what there is to say of its size among the findings."""
        if not self.findings:
            return card
        findings = (*self.findings, *card.proof.findings)
        return replace(card, proof=replace(card.proof, findings=findings))

    def json(self, path: str | None = None) -> dict[str, object]:
        """The key `scaled` of the answers; `path` is the file that was written."""
        if self.sized is None:
            return {"scaled": None}
        fit, scaling = self.sized.fit, self.sized.scaling
        return {
            "scaled": {
                "factor": number(scaling.factor),
                "asked_mm": None if fit is None else [number(side) for side in fit.asked],
                "met": None if fit is None else fit.met,
                "measures": [
                    {
                        "measure": one.name,
                        "scale": str(one.scale),
                        "from_mm": number(one.before),
                        "wanted_mm": number(one.wanted),
                        "to_mm": number(one.after),
                        "limit": one.limit,
                    }
                    for one in scaling.measures
                ],
                "path": path,
            }
        }

    def text(self, proof: Proof) -> str:
        """What was scaled, in a few lines; nothing where nothing was asked for."""
        if self.sized is None:
            return ""
        units = Unit(proof.resolved.units)
        scaling = self.sized.scaling
        head = f"scaled by {_factor_text(scaling.factor)}"
        if self.sized.fit is not None:
            head += f", for a closed size of {_sides(self.sized.fit.asked, units)}"
        changes = [
            f"{one.name} from {exact_text(one.before, units)} to {exact_text(one.after, units)}"
            for one in scaling.measures
            if one.after != one.before
        ]
        stays = [one.name for one in scaling.measures if one.after == one.before]
        lines = [f"{head}: {', '.join(changes) or 'no measure changes'}"]
        if stays and changes:
            lines.append(f"as they were: {', '.join(stays)}")
        return "\n".join(lines)


def mirrored_if_asked(design: Design, options: Namespace) -> Design:
    """The design, or the mirror image of all its editions."""
    if not options.mirrored:
        return design
    from ..design.mirroring import mirrored_edition

    return mirrored_edition(design)


def fitted_to(design: Design, options: Namespace, variant: str | None) -> Fitted:
    """One edition of a design at the size that is asked for.

    Raises DesignError for a factor or a size that is none or cannot be reached.
    """
    if options.scale is None and options.scale_to is None:
        return Fitted(design=design, options=options, sized=None)
    given = dict(options.overrides)
    found = sized_as_asked(design, options, variant, given, stay=given)
    changed = Namespace(**{**vars(options), "overrides": list(found.overrides.items())})
    return Fitted(design=design, options=changed, sized=found)


def sized_as_asked(
    design: Design,
    options: Namespace,
    variant: str | None,
    given: Mapping[str, str],
    *,
    stay: Collection[str],
) -> Sized:
    """The scaling of an edition with the measures that are `given`; those that `stay` do not scale.

    Raises DesignError for a factor or a size that is none or cannot be reached.
    """
    from ..design.scaling import factor_of
    from ..proving.finished_size import sized

    return sized(
        design,
        factor=None if options.scale is None else factor_of(options.scale),
        size=options.scale_to,
        materials=getattr(options, "materials", ()),
        variant=variant,
        overrides=given,
        stay=tuple(stay),
    )


def check_scaled_to(options: Namespace) -> None:
    """Raise DesignError where a scaled design is to be written and there is not one."""
    from ..problems import DesignError, problem

    if options.scaled_to is None:
        return
    if options.all_variants:
        raise DesignError(problem("scaled-one-edition"))
    if options.scale is None and options.scale_to is None:
        raise DesignError(problem("nothing-scaled"))
    if options.mend or options.round_to is not None:
        raise DesignError(problem("scaled-and-mended"))


def write_scaled(fitted: Fitted, proof: Proof, target: Path) -> None:
    """Write the scaled design, mirrored where that was asked for.

    A file that is there is replaced when it carries our mark, or with --replace.  Raises
    FileError for whatever keeps it from being written.
    """
    from ..design import parse_design
    from ..design.rewriting import with_measures, with_mirrors
    from ..problems import DesignError, FileError, Place, problem
    from ..proving import prove_design
    from ..proving.materials import files_read
    from ..sources.saving import check_not_read, check_target, replace_file

    design, options = fitted.design, fitted.options
    check_not_read(target, files_read(design, options.materials))
    check_target(target, replace=options.replace, is_ours=lambda: _is_ours(target))
    text = with_measures(design, _texts(fitted, proof), options.variant)
    if options.mirrored:
        text = with_mirrors(text, design)
    end = "\r\n" if text.count("\r\n") * 2 > text.count("\n") else "\n"
    mark = MARK.replace("\n", end)
    text = text.removesuffix(mark)
    text += ("" if not text or text.endswith("\n") else end) + mark
    wrong = problem("scaled-differs", place=Place(file=str(target)))
    try:
        again = prove_design(
            parse_design(text, str(target)), materials=options.materials, variant=options.variant
        )
    except DesignError as error:
        raise FileError((wrong, *error.problems)) from None
    if _figures(again) != _figures(proof):
        raise FileError(wrong)
    begin = b""
    if design.source is not None:
        with Path(design.source.file).open("rb") as stream:
            begin = BOM_UTF8 if stream.read(len(BOM_UTF8)) == BOM_UTF8 else b""
    replace_file(target, begin + text.encode("utf-8"))


def _texts(fitted: Fitted, proof: Proof) -> dict[str, str]:
    """The measures of the run as they are to stand in the file."""
    from ..design.resolve import edition_in_use
    from ..design.rewriting import measure_text
    from ..proving.literals import lengths_of

    design, variant = fitted.design, fitted.options.variant
    texts = dict(fitted.options.overrides)
    values = proof.resolved.measures
    lengths = lengths_of(design, edition_in_use(design, texts, variant), values)
    for one in lengths:
        if one.name in texts:
            texts[one.name] = measure_text(design, one.name, one.value, variant)
    return texts


def _figures(proof: Proof) -> tuple[object, ...]:
    """What must be the same of the design as it was proved and as it is read again."""
    closed = proof.closed
    size = None if closed is None else (closed.width_mm, closed.height_mm)
    return proof.verdict, proof.gap_mm, size, proof.resolved.mirrored


def _is_ours(file: Path) -> bool:
    try:
        return file.read_bytes().endswith((MARK.encode(), MARK.replace("\n", "\r\n").encode()))
    except OSError:
        # What this user may not even read, this user did not write.
        return False


def _factor_text(factor: Fraction) -> str:
    decimal = f"{float(factor):.6g}"
    return decimal if Fraction(decimal) == factor else f"{factor} (about {decimal})"


def _sides(sides: tuple[Fraction, Fraction], units: Unit) -> str:
    return " by ".join(exact_text(side, units) for side in sides)
