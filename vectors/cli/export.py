"""This module is the command export: prove, fit to the material, write, read back."""

from __future__ import annotations

from .arguments import add_design, add_json, add_material, add_sizes, add_tool, filled

# What --only takes.
PARTS = ("base", "mats", "envelope")

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from foldwright.profiles.machine import Machine

    from ..compiling import CompileOptions
    from ..drawing import Drawing
    from ..dressing.card_set import CardSet
    from ..problems import Problem
    from ..proving import Proof
    from ..writers import WrittenFile
    from ..writers.files import Companion
    from .card_parts import Cut
    from .sizing import Fitted


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    add_design(parser)
    add_material(parser, gloss="what it is cut from; needed unless the design names it")
    add_tool(parser, required=True)
    parser.add_argument("--to", metavar="FOLDER", required=True, help="the folder for the files")
    parser.add_argument("--variant", metavar="NAME", help="export this variant of the design")
    add_sizes(parser)
    parser.add_argument(
        "--format",
        metavar="NAMES",
        dest="formats",
        type=_names,
        default=("svg", "dxf"),
        help="the writers, separated by commas (foldwright list writers); svg,dxf if left out",
    )
    parser.add_argument(
        "--split",
        choices=("layer",),
        help="a file a layer, for programs that do not keep layers apart",
    )
    parser.add_argument(
        "--user-unit",
        choices=("mm", "px96"),
        default="mm",
        help="unit of the bare numbers in an SVG; px96 is 1/96 in, for programs that ignore the "
        "stated size",
    )
    parser.add_argument(
        "--size-bar", action="store_true", help="add bars of 50 mm and 2 in to measure after import"
    )
    parser.add_argument(
        "--pretrimmed",
        action="store_true",
        help="leave the outline out: the paper is trimmed already",
    )
    parser.add_argument(
        "--machine",
        metavar="FILE",
        help="the machine's file: its work area, rim, origin, which face lies up, speeds",
    )
    parser.add_argument(
        "--turn-about",
        choices=("left", "right", "bottom", "top"),
        help="the edge about which the sheet is turned over to be worked from its other face; "
        "left if left out",
    )
    parser.add_argument(
        "--only",
        metavar="NAMES",
        type=_parts,
        help="write these parts of the set alone, with commas between: base, mats, envelope",
    )
    parser.add_argument(
        "--letters",
        action="store_true",
        help="draw the letter of each mat on its back, with an arrow where its print goes up; "
        "a file of the back each",
    )
    parser.add_argument(
        "--placement", action="store_true", help="draw on the card where its mats go"
    )
    parser.add_argument(
        "--senses",
        action="store_true",
        help="draw M beside each mountain (ridge) and V beside each valley (trough)",
    )
    parser.add_argument(
        "--manifest",
        action="store_true",
        help="write manifest.json, which tells what each file is, for a card of one piece too",
    )
    parser.add_argument(
        "--replace", action="store_true", help="replace files that Foldwright did not write as well"
    )
    parser.add_argument(
        "--anyway",
        action="store_true",
        help="write a design that does not prove: file names end in -unproven, the status stays 1",
    )
    add_json(parser)


def _names(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for part in filled(text).split(",") if (name := part.strip())))


def _parts(text: str) -> tuple[str, ...]:
    from argparse import ArgumentTypeError

    names = _names(text)
    for name in names:
        if name not in PARTS:
            raise ArgumentTypeError(f'"{name}" is no part of a set; take {", ".join(PARTS)}')
    if not names:
        raise ArgumentTypeError("it names no part")
    return names


def run(options: Namespace) -> int:
    """Export the design; 1 where it does not prove or a file fails its read-back."""
    from .patience import told_if_long

    with told_if_long("still proving, fitting, writing and reading back: many lines take a while"):
        return _export(options)


def _export(options: Namespace) -> int:
    from pathlib import Path

    from foldwright.profiles.machine import check_tool
    from foldwright.profiles.machine_file import load_machine
    from foldwright.profiles.model import Tool

    from ..design import read_design
    from ..problems import ReadBackError
    from ..proving import prove_design
    from ..proving.materials import files_read
    from ..writers import WriteOptions, write_files
    from ..writers.earlier import earlier_files
    from ..writers.manifest import MANIFEST, UNPROVEN_MANIFEST, manifest
    from .card_parts import left_alone, manifest_facts
    from .sizing import fitted_to, mirrored_if_asked

    design = mirrored_if_asked(read_design(options.design), options)
    fitted = fitted_to(design, options, options.variant)
    machine = None
    inputs = files_read(design, options.materials)
    if options.machine is not None:
        machine = load_machine(options.machine)
        check_tool(machine, Tool(options.tool))
        inputs = (*inputs, Path(options.machine))
    proof = prove_design(
        design,
        materials=options.materials,
        tool=Tool(options.tool),
        variant=options.variant,
        overrides=dict(fitted.options.overrides),
    )
    card = _card_of(proof)
    cuts, findings = _cuts(proof, card, options, machine)
    findings = (*fitted.findings, *findings)
    good = all(cut.drawing.proven for cut in cuts)
    files: tuple[WrittenFile, ...] = ()
    listed: Path | None = None
    if good or options.anyway:
        folder = Path(options.to)

        def told(written: tuple[WrittenFile, ...]) -> Companion:
            facts = manifest_facts(proof, card, written, findings, machine)
            return manifest(facts, proven=good)

        wanted = options.manifest or card.is_more_than_base
        try:
            files = write_files(
                [cut.drawing for cut in cuts],
                folder,
                formats=options.formats,
                options=WriteOptions(user_unit=options.user_unit),
                split_layers=options.split == "layer",
                replace=options.replace,
                inputs=inputs,
                numbers=[cut.number for cut in cuts],
                among=len(card.parts),
                companion=told if wanted else None,
            )
            if wanted:
                listed = folder / (MANIFEST if good else UNPROVEN_MANIFEST)
            fresh = [file.path for file in files] + ([listed] if listed is not None else [])
            findings += earlier_files(folder, proof.resolved.name, fresh, left_alone(card, cuts))
        except ReadBackError as error:
            good = False
            findings += error.problems
    _tell(proof, card, cuts, findings, files, listed, fitted, machine)
    return 0 if good else 1


def _card_of(proof: Proof) -> CardSet:
    from foldwright.profiles.post_rules import shipped_services

    from ..dressing.card_set import set_of

    limits = proof.resolved.limits
    asked = limits is not None and limits.post
    return set_of(proof, shipped_services() if asked else ())


def _cuts(
    proof: Proof, card: CardSet, options: Namespace, machine: Machine | None
) -> tuple[tuple[Cut, ...], tuple[Problem, ...]]:
    """The compiled parts, and all that was found on the way to them.

    One part that must not be cut makes all of them unproven: they are parts of
    one card.
    """
    from dataclasses import replace

    from ..drawing import Side
    from ..dressing.model import Kind
    from ..problems import Severity, problem
    from .card_parts import Marks, compiled_parts

    marks = Marks(letters=options.letters, placement=options.placement, senses=options.senses)
    cuts, found = compiled_parts(
        proof, card, _choices(proof, options, machine), only=options.only, marks=marks
    )
    findings = (*proof.findings, *found)
    findings += tuple(
        problem(
            "several-to-make",
            place=cut.part.piece.place,
            piece=cut.part.piece.name,
            name=cut.part.piece.name,
            count=cut.part.count,
        )
        for cut in cuts
        if cut.part.kind is Kind.BASE and cut.part.count > 1
    )
    if options.turn_about is not None and not any(Side.BACK in cut.drawing.sides for cut in cuts):
        findings += (problem("nothing-to-turn", edge=options.turn_about),)
    proven = all(found.severity is not Severity.STOP for found in findings)
    return tuple(
        replace(cut, drawing=replace(cut.drawing, proven=proven)) for cut in cuts
    ), findings


def _choices(proof: Proof, options: Namespace, machine: Machine | None) -> CompileOptions:
    from ..compiling import CompileOptions, TurnAbout

    return CompileOptions(
        pretrimmed=options.pretrimmed,
        size_bar=options.size_bar,
        turn_about=TurnAbout(options.turn_about or TurnAbout.LEFT),
        machine=machine,
        stands=any(
            pose.standing is not None and pose.standing.asked.stands for pose in proof.poses
        ),
    )


def _tell(
    proof: Proof,
    card: CardSet,
    cuts: tuple[Cut, ...],
    findings: tuple[Problem, ...],
    files: tuple[WrittenFile, ...],
    listed: Path | None,
    fitted: Fitted,
    machine: Machine | None,
) -> None:
    from ..proving import verdict_sentence
    from .card_parts import parts_json, round_json, under_headings
    from .proofs import material
    from .tell import findings_json, number, tell_problems, write_json

    options = fitted.options
    drawings = [cut.drawing for cut in cuts]
    parts = {cut.part.piece.name: cut.part for cut in cuts}
    times = [_seconds(file, drawings, machine) for file in files]
    cautions = tuple(dict.fromkeys(caution for one in drawings for caution in one.cautions))
    if options.json:
        write_json(
            {
                "design": proof.resolved.name,
                "variant": proof.resolved.variant,
                "mirrored": proof.resolved.mirrored,
                **fitted.json(),
                "material": material(proof),
                "tool": options.tool,
                "machine": None if machine is None else machine.name,
                "verdict": str(proof.verdict),
                "gap_mm": number(proof.gap_mm),
                "cautions": list(cautions),
                "files": [
                    {
                        **file_json(file, parts[file.piece].count, time),
                        "letter": parts[file.piece].letter or None,
                        "kind": str(parts[file.piece].kind),
                    }
                    for file, time in zip(files, times, strict=True)
                ],
                "parts": parts_json(proof, card, files),
                **round_json(proof, card),
                "manifest": None if listed is None else str(listed),
                "findings": findings_json(findings),
            }
        )
    else:
        if fitted.sized is not None:
            print(fitted.text(proof))
        print(verdict_sentence(proof))
        if files:
            copies = {name: part.count for name, part in parts.items()}
            lines = list(file_lines(files, copies, times))
            if card.is_more_than_base:
                lines = under_headings(lines, [parts[file.piece] for file in files], proof)
            print("\n".join(lines))
            if listed is not None:
                print(f"wrote {listed}: what each file is, for programs and for people")
            print("take care:")
            print("\n".join(f"  {caution}" for caution in cautions), flush=True)
        elif all(drawing.proven for drawing in drawings):
            print("no file was written: one of them did not read back the same", flush=True)
        else:
            print("no file was written: mend the design first, or add --anyway", flush=True)
    tell_problems(findings)


def _seconds(
    file: WrittenFile, drawings: Sequence[Drawing], machine: Machine | None
) -> float | None:
    """How long the machine works on a file, where it says its speeds."""
    from ..drawing.working_time import working_time

    if machine is None:
        return None
    (drawing,) = (one for one in drawings if one.piece == file.piece)
    strokes = [
        stroke
        for stroke in drawing.strokes
        if stroke.side is file.side and file.layers[stroke.layer].strokes
    ]
    return working_time(strokes, machine.speeds, machine.travel)


def file_json(file: WrittenFile, copies: int, time: float | None) -> dict[str, object]:
    """One of the `files` of an answer, how many to make of it, and its time in s, if known."""
    from .tell import number

    return {
        "path": str(file.path),
        "piece": file.piece,
        "side": str(file.side),
        "format": file.format,
        "width_mm": number(file.width_mm),
        "height_mm": number(file.height_mm),
        "layers": {
            str(layer): {"strokes": total.strokes, "length_mm": number(total.length_mm)}
            for layer, total in file.layers.items()
        },
        "read_back": file.read_back,
        "copies": copies,
        "estimate_s": None if time is None else round(time, 1),
    }


def file_lines(
    files: tuple[WrittenFile, ...], copies: Mapping[str, int], times: Sequence[float | None]
) -> Iterable[str]:
    """A line for each file that was written; `copies` has how many are to be made of a piece."""
    from .tell import number

    for file, time in zip(files, times, strict=True):
        layers = ", ".join(
            f"{layer} {total.strokes}" for layer, total in file.layers.items() if total.strokes
        )
        size = f"{number(file.width_mm)} by {number(file.height_mm)} mm"
        count = copies[file.piece]
        make = f"; make {count} of it" if count > 1 else ""
        takes = "" if time is None else f"; {_minutes(time)} at the speeds of the machine's file"
        yield (
            f"wrote {file.path}: {size}; strokes: {layers}; read back: {file.read_back}"
            f"{make}{takes}"
        )


def _minutes(seconds: float) -> str:
    # An estimate that says less than it takes is of no use, so it is rounded up.
    minutes = -int(-seconds // 60)
    return f"about {minutes} min" if seconds > 60 else "less than 1 min"
