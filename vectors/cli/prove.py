"""This module is the command prove, which answers: does it fold."""

from __future__ import annotations

from .arguments import WORDS, add_design, add_json, add_material, add_tool

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from ..design import Design
    from ..problems import Problem
    from ..proving import Proof


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    parser.epilog = WORDS
    add_design(parser)
    add_material(parser, gloss="what it is made of, for caliper (paper thickness) and mass")
    add_tool(parser, required=False)
    edition = parser.add_mutually_exclusive_group()
    edition.add_argument("--variant", metavar="NAME", help="prove this variant of the design")
    edition.add_argument(
        "--all-variants", action="store_true", help="prove the design as it is and every variant"
    )
    add_json(parser)


def run(options: Namespace) -> int:
    """Prove the design, or all its variants; 1 where one of the proofs has a `stop`."""
    from ..design import read_design
    from .proofs import proof_json, proof_text
    from .tell import tell_problems, write_json

    design = read_design(options.design)
    if options.all_variants:
        proofs = _all_variants(design, options)
    else:
        proofs = (_prove(design, options, options.variant),)
    if options.json:
        first, *others = proofs
        answer = proof_json(first)
        if options.all_variants:
            answer["variants"] = [proof_json(proof) for proof in others]
        write_json(answer)
    for proof in proofs:
        if not options.json:
            if options.all_variants:
                print(f"-- {_edition(proof)}\n")
            print(proof_text(proof), flush=True)
        tell_problems(proof.findings)
    return 0 if all(proof.proven for proof in proofs) else 1


def _edition(proof: Proof) -> str:
    variant = proof.resolved.variant
    return "the design as it is" if variant is None else f"variant {variant}"


def _all_variants(design: Design, options: Namespace) -> tuple[Proof, ...]:
    from ..problems import DesignError

    proofs: list[Proof] = []
    problems: list[Problem] = []
    for variant in (None, *design.variants):
        try:
            proofs.append(_prove(design, options, variant))
        except DesignError as error:
            problems.extend(error.problems)
    if problems:
        # The design as it is and its variants share most of what can be wrong.
        raise DesignError(tuple(dict.fromkeys(problems)))
    return tuple(proofs)


def _prove(design: Design, options: Namespace, variant: str | None) -> Proof:
    from foldwright.profiles.model import Tool

    from ..proving import prove_design

    return prove_design(
        design,
        materials=options.materials,
        tool=None if options.tool is None else Tool(options.tool),
        variant=variant,
        overrides=dict(options.overrides),
    )
