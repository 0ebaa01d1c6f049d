"""This module proves every edition of a design: as it is, then each variant in the file's order.

An edition that cannot be judged at all does not keep the others from being told.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ..design import Design
from ..folding import Verdict
from ..problems import FoldwrightError, Problem
from ..proving import Proof, verdict_sentence
from .dressing import Dressed
from .proofs import proof_json, refused_json


@dataclass(frozen=True, kw_only=True, slots=True)
class Edition:
    """An edition by its variant, None for the design as it is: its proof, or what refused it."""

    design: str
    variant: str | None
    proof: Proof | None
    findings: tuple[Problem, ...]
    card: Dressed | None = None

    @property
    def name(self) -> str:
        """What the edition is called."""
        return "the design as it is" if self.variant is None else f"variant {self.variant}"

    def line(self) -> str:
        """What became of it, in one line."""
        if self.proof is None:
            return f"{self.name}: cannot be worked out; see the findings"
        sentence = verdict_sentence(self.proof)
        said = sentence.removeprefix(f"{self.proof.resolved.name}: ")
        stops = "" if self.proof.proven else " (stop)"
        return f"{self.name}: {said}{stops}"

    @property
    def verdict(self) -> str:
        """The verdict in a word: `unproven` where it cannot be worked out."""
        return str(Verdict.UNPROVEN if self.proof is None else self.proof.verdict)

    @property
    def proven(self) -> bool:
        """Whether it was worked out and nothing in it stops."""
        return self.proof is not None and self.proof.proven

    def json(self) -> dict[str, object]:
        """The keys of `prove --json`."""
        if self.proof is None:
            return refused_json(self.design, self.variant, self.findings)
        return proof_json(self.proof, self.card)


def proved_editions(design: Design, prove: Callable[[str | None], Dressed]) -> tuple[Edition, ...]:
    """Every edition of a design, proved by `prove`, which is given the variant.

    Raises what the first edition raised where none can be worked out.
    """
    found: list[Edition] = []
    first: FoldwrightError | None = None
    for variant in (None, *design.variants):
        try:
            card = prove(variant)
        except FoldwrightError as error:
            first = error if first is None else first
            found.append(
                Edition(design=design.name, variant=variant, proof=None, findings=error.problems)
            )
            continue
        found.append(
            Edition(
                design=design.name,
                variant=variant,
                proof=card.proof,
                findings=card.proof.findings,
                card=card,
            )
        )
    if first is not None and all(edition.proof is None for edition in found):
        # The design as it is and its variants share most of what can be wrong.
        problems = (problem for edition in found for problem in edition.findings)
        raise type(first)(dict.fromkeys(problems))
    return tuple(found)


def editions_json(
    editions: Sequence[Edition], drawn: Edition, picture: str | None
) -> dict[str, object]:
    """The answer of `prove --all-variants --json`: of the first edition, and of all of them.

    `picture` is the file that the edition `drawn` was drawn into.
    """
    first, *others = (
        {**edition.json(), "picture": picture if edition is drawn else None} for edition in editions
    )
    return {
        **first,
        "proven": all(edition.proven for edition in editions),
        "picture": picture,
        "editions": [
            {"variant": edition.variant, "verdict": edition.verdict, "proven": edition.proven}
            for edition in editions
        ],
        "variants": others,
    }


def told_findings(editions: Sequence[Edition]) -> tuple[Problem, ...]:
    """The findings of all editions: those that every one has once, the others with its name."""
    shared = [
        finding
        for finding in editions[0].findings
        if all(finding in edition.findings for edition in editions)
    ]
    own = (
        replace(finding, message=f"{edition.name}: {finding.message}")
        for edition in editions
        for finding in edition.findings
        if finding not in shared
    )
    return (*own, *shared)
