"""This module is the command prove, which answers: does it fold."""

from __future__ import annotations

from .arguments import WORDS, add_design, add_json, add_material, add_sizes, add_tool

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from ..design import Design
    from ..proving import Proof
    from ..proving.diagnosis import Diagnosis
    from .dressing import Dressed
    from .mending import Mending
    from .sizing import Fitted


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
        "--pose",
        metavar="NAME",
        help="draw the card in this pose in perspective, in place of the flat pieces: flat, open, "
        "or one that the design names; or closed: from both sides, with its plies (layers of "
        "paper); with --picture",
    )
    parser.add_argument(
        "--envelope",
        action="store_true",
        help="draw the blank of the card's own envelope with its measures, in place of the "
        "pieces; with --picture",
    )
    parser.add_argument(
        "--placement",
        action="store_true",
        help="draw the placement map, in place of the pieces with what was found: where each mat "
        "goes, by its letter, which way up; with --picture",
    )
    parser.add_argument(
        "--cutting-list",
        action="store_true",
        help="also print what is cut: pieces and mats (decorative pieces glued on panels), sizes, "
        "counts, where each goes",
    )
    parser.add_argument(
        "--greeting",
        action="store_true",
        help="also print which panels are seen as the card stands, and the largest rectangle on "
        "each for a greeting or for writing",
    )
    parser.add_argument(
        "--post",
        metavar="FILE",
        help="a file with rules of the post (TOML), in place of those that ship",
    )
    parser.add_argument(
        "--replace",
        action="store_true",
        help="replace the file of a picture or of a mended design even if Foldwright did not "
        "write it",
    )
    add_sizes(parser)
    parser.add_argument(
        "--scaled-to",
        metavar="FILE",
        help="with --scale or --scale-to: write the scaled design into this file",
    )
    parser.add_argument(
        "--mend",
        action="store_true",
        help="write the design with its best mend (a change of measures) beside the old one, "
        "as DESIGN.mended.toml",
    )
    parser.add_argument(
        "--ruler",
        metavar="RULER",
        help='the ruler that mends of measures lie on: "1/8 in", "1/16 in", "1/32 in", "1 mm", '
        '"0.5 mm"; the coarsest that will do if left out',
    )
    parser.add_argument(
        "--round-to",
        metavar="RULER",
        help="round every measure that is a plain length to this ruler first; with --mend the "
        "rounded design is written",
    )
    parser.add_argument(
        "--measured",
        metavar="FOLD=PLACE",
        action="append",
        default=[],
        help="where a fold was found on a made card that does not close: the distance of its "
        'line from the lower left corner, as in "steps 2=145"; may be repeated, or several '
        "with commas between",
    )
    parser.add_argument(
        "--hand-load",
        action="store_true",
        help="tell what the card asks of the hand: slits, length of cuts, creases, turns of the "
        "paper, fence settings; and the same with one part fewer, where the design counts them",
    )
    add_json(parser)


def run(options: Namespace) -> int:
    """Prove the design, or all its variants; 1 where one of the proofs has a `stop`."""
    from ..design import read_design
    from .sizing import check_scaled_to, fitted_to, mirrored_if_asked
    from .tell import tell_problems

    design = read_design(options.design, each_by_itself=options.all_variants)
    design = mirrored_if_asked(design, options)
    check_scaled_to(options)
    _check_picture(design, options)
    if options.all_variants:
        return _all_variants(design, options)
    fitted = fitted_to(design, options, options.variant)
    options = fitted.options
    mending = None
    if options.mend or options.round_to is not None:
        from .mending import mended

        mending = mended(design, options)
    if mending is None:
        card = _prove(design, options, options.variant)
    else:
        from .dressing import dressed

        card = dressed(mending.proof, options.post)
    card = fitted.with_findings(card)
    proof = card.proof
    diagnosis = _diagnosed(proof, options)
    picture = _drawn(card, options)
    if options.scaled_to is not None:
        _write_scaled(fitted, proof)
    _tell(card, diagnosis, picture, mending, fitted)
    tell_problems(proof.findings)
    return 0 if proof.proven else 1


def _tell(
    card: Dressed,
    diagnosis: Diagnosis | None,
    picture: dict[str, str | None],
    mending: Mending | None,
    fitted: Fitted,
) -> None:
    from .proofs import proof_json, proof_text
    from .tell import write_json

    proof, options = card.proof, fitted.options
    if options.json:
        of_mending = {"rounded": None, "mended": None} if mending is None else mending.json()
        of_card: dict[str, object] = {"diagnosis": None}
        if diagnosis is not None:
            from .made import diagnosis_json

            of_card = {"diagnosis": diagnosis_json(diagnosis)}
        scaled = fitted.json(options.scaled_to)
        of_hand: dict[str, object] = {}
        if options.hand_load:
            from .hand import fewer_of, hand_json

            of_hand = hand_json(card, fewer_of(card, fitted.design, options))
        write_json(
            {**proof_json(proof, card), **of_hand, **of_card, **picture, **of_mending, **scaled}
        )
        return
    if fitted.sized is not None:
        print(f"{fitted.text(proof)}\n")
    if diagnosis is not None:
        from .made import diagnosis_text

        # What was asked for comes first, the proof of the design after it.
        print(f"{diagnosis_text(diagnosis, proof)}\n")
    if mending is not None and options.round_to is not None:
        print(f"{mending.rounded_text()}\n")
    print(proof_text(proof, card), flush=True)
    if options.cutting_list:
        from .cutting import cutting_list_text

        print(f"\n{cutting_list_text(proof, card.mats)}", flush=True)
    if options.greeting:
        from .words import words_text

        print(f"\n{words_text(proof)}", flush=True)
    if options.hand_load:
        from .hand import fewer_of, hand_text

        print(f"\n{hand_text(card, fewer_of(card, fitted.design, options))}", flush=True)
    if mending is not None and mending.path is not None:
        print(mending.written_text(), flush=True)
    if options.scaled_to is not None:
        print(f"wrote {options.scaled_to}: the scaled design", flush=True)
    if picture["picture"] is not None:
        print(f"wrote {options.picture}: the picture{_of_pose(options)}", flush=True)


def _write_scaled(fitted: Fitted, proof: Proof) -> None:
    from pathlib import Path

    from .sizing import write_scaled

    write_scaled(fitted, proof, Path(fitted.options.scaled_to))


def _diagnosed(proof: Proof, options: Namespace) -> Diagnosis | None:
    """What the measured folds of a made card tell; None without any."""
    if not options.measured:
        return None
    from ..proving.diagnosis import diagnose
    from ..proving.measured import read_measured

    return diagnose(proof, read_measured(options.measured, proof.resolved))


def _check_picture(design: Design, options: Namespace) -> None:
    """Raise FileError where the picture would replace what it is drawn from, or what is mended.

    And where it is not called an SVG file; DesignError where it is to show a pose that
    is not there.  Before anything is proved or written.
    """
    from pathlib import Path

    if options.picture is None:
        if options.pose is not None or options.envelope or options.placement:
            from ..problems import DesignError, problem

            if options.placement:
                raise DesignError(problem("placement-without-picture"))
            if options.envelope:
                raise DesignError(problem("envelope-without-picture"))
            raise DesignError(problem("pose-without-picture", pose=options.pose))
        return
    from ..problems import FileError, Place, problem
    from ..proving.materials import files_read
    from ..sources.saving import check_not_read

    inputs = files_read(design, options.materials)
    if options.post is not None:
        inputs = (*inputs, Path(options.post))
    if options.mend:
        from .mending import mended_path

        inputs = (*inputs, mended_path(Path(options.design)))
    check_not_read(Path(options.picture), inputs)
    if not options.picture.lower().endswith(".svg"):
        raise FileError(problem("picture-not-svg", place=Place(file=options.picture)))
    if options.envelope and options.pose is not None:
        from ..problems import DesignError

        raise DesignError(problem("envelope-in-a-pose", pose=options.pose))
    if options.placement and (options.pose is not None or options.envelope):
        from ..problems import DesignError

        raise DesignError(problem("placement-alone"))
    if options.pose is not None:
        from .drawing import check_pose

        check_pose(options.pose, design, dict(options.overrides), options.variant)


def _drawn(card: Dressed, options: Namespace) -> dict[str, str | None]:
    """Write the picture if one is asked for; what the JSON answer says of it."""
    from pathlib import Path

    if options.picture is None:
        return {"picture": None}
    from .drawing import write_picture

    write_picture(
        card.proof,
        Path(options.picture),
        pose=options.pose,
        envelope=card.envelope,
        of_envelope=options.envelope,
        mats=card.mats,
        of_placement=options.placement,
        replace=options.replace,
    )
    return {"picture": options.picture}


def _of_pose(options: Namespace) -> str:
    if options.envelope:
        return " of the envelope"
    if options.placement:
        return " of where the mats go"
    return "" if options.pose is None else f", in the pose {options.pose}"


def _all_variants(design: Design, options: Namespace) -> int:
    """Prove every edition: 1 where one has a `stop`, 2 where one cannot be worked out."""
    from ..problems import DesignError, problem
    from .editions import editions_json, proved_editions, told_findings
    from .proofs import proof_text
    from .sizing import fitted_to
    from .tell import tell_problems, write_json

    if options.mend or options.round_to is not None:
        raise DesignError(problem("mend-one-edition"))
    if options.measured:
        raise DesignError(problem("measured-one-edition"))
    sizes: dict[str | None, Fitted] = {}

    def prove(variant: str | None) -> Dressed:
        sizes[variant] = fitted_to(design, options, variant)
        return sizes[variant].with_findings(_prove(design, sizes[variant].options, variant))

    editions = proved_editions(design, prove)
    judged = [edition for edition in editions if edition.proof is not None]
    shown = next((edition for edition in judged if not edition.proven), judged[0])
    assert shown.card is not None
    picture = _drawn(shown.card, options)
    if options.json:
        write_json(editions_json(editions, shown, picture["picture"]))
    else:
        for edition in editions:
            if edition.proof is not None:
                size = sizes[edition.variant].text(edition.proof)
                print(f"-- {edition.name}\n" + (f"\n{size}\n" if size else ""))
                print(f"{proof_text(edition.proof, edition.card)}\n")
        if options.hand_load:
            from .hand import fewer_of, hand_text

            for edition in judged:
                if edition.card is not None:
                    fewer = fewer_of(edition.card, design, sizes[edition.variant].options)
                    print(f"{edition.name}: {hand_text(edition.card, fewer)}\n")
        if options.cutting_list:
            from .cutting import cutting_list_text

            for edition in editions:
                if edition.card is not None:
                    listed = cutting_list_text(edition.card.proof, edition.card.mats)
                    print(f"-- {edition.name}\n\n{listed}\n")
        if options.greeting:
            from .words import words_text

            for edition in editions:
                if edition.card is not None:
                    print(f"-- {edition.name}\n\n{words_text(edition.card.proof)}\n")
        print("\n".join(edition.line() for edition in editions), flush=True)
        if picture["picture"] is not None:
            pose = _of_pose(options)
            print(f"wrote {options.picture}: the picture of {shown.name}{pose}", flush=True)
    tell_problems(told_findings(editions))
    if len(judged) < len(editions):
        return 2
    return 0 if all(edition.proven for edition in judged) else 1


def _prove(design: Design, options: Namespace, variant: str | None) -> Dressed:
    from foldwright.profiles.model import Tool

    from ..proving import prove_design
    from .dressing import dressed

    ruler = None
    if options.ruler is not None:
        from .mending import ruler_called

        ruler = ruler_called(options.ruler)
    proof = prove_design(
        design,
        materials=options.materials,
        tool=None if options.tool is None else Tool(options.tool),
        variant=variant,
        overrides=dict(options.overrides),
        ruler=ruler,
    )
    return dressed(proof, options.post)
