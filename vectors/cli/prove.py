"""This module is the command prove, which answers: does it fold."""

from __future__ import annotations

from .arguments import WORDS, add_design, add_json, add_material, add_tool

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from ..design import Design
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
    parser.add_argument(
        "--picture",
        metavar="FILE",
        help="draw what was found into this SVG file, to look at: folds, loops, gaps, the best "
        "mend; with --variant that edition, with --all-variants the first that does not prove",
    )
    parser.add_argument(
        "--replace",
        action="store_true",
        help="replace the picture's file even if Foldwright did not write it",
    )
    add_json(parser)


def run(options: Namespace) -> int:
    """Prove the design, or all its variants; 1 where one of the proofs has a `stop`."""
    from ..design import read_design
    from .tell import tell_problems

    design = read_design(options.design)
    if options.all_variants:
        return _all_variants(design, options)
    proof = _prove(design, options, options.variant)
    picture = _drawn(proof, options)
    _tell(proof, picture, options)
    tell_problems(proof.findings)
    return 0 if proof.proven else 1


def _tell(proof: Proof, picture: dict[str, str | None], options: Namespace) -> None:
    from .proofs import proof_json, proof_text
    from .tell import write_json

    if options.json:
        write_json({**proof_json(proof), **picture})
        return
    print(proof_text(proof), flush=True)
    if picture["picture"] is not None:
        print(f"wrote {options.picture}: the picture", flush=True)


def _drawn(proof: Proof, options: Namespace) -> dict[str, str | None]:
    """Write the picture if one is asked for; what the JSON answer says of it."""
    from pathlib import Path

    if options.picture is None:
        return {"picture": None}
    from .drawing import write_picture

    write_picture(proof, Path(options.picture), replace=options.replace)
    return {"picture": options.picture}


def _all_variants(design: Design, options: Namespace) -> int:
    """Prove every edition: 1 where one has a `stop`, 2 where one cannot be worked out."""
    from .editions import proved_editions, told_findings
    from .proofs import proof_text
    from .tell import tell_problems, write_json

    editions = proved_editions(design, lambda variant: _prove(design, options, variant))
    proofs = [edition.proof for edition in editions if edition.proof is not None]
    shown = next((proof for proof in proofs if not proof.proven), proofs[0])
    picture = _drawn(shown, options)
    if options.json:
        first, *others = (edition.json() for edition in editions)
        write_json({**first, **picture, "variants": others})
    else:
        for edition in editions:
            if edition.proof is not None:
                print(f"-- {edition.name}\n\n{proof_text(edition.proof)}\n")
        print("\n".join(edition.line() for edition in editions), flush=True)
        if picture["picture"] is not None:
            print(f"wrote {options.picture}: the picture", flush=True)
    tell_problems(told_findings(editions))
    if len(proofs) < len(editions):
        return 2
    return 0 if all(proof.proven for proof in proofs) else 1


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
