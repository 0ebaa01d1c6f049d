"""This module runs the passes, in the order of their table, over one piece."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from foldwright.profiles.machine import check_tool
from foldwright.profiles.model import Profile, Tool
from foldwright.profiles.ways import way_for

from ..design.pieces import Piece
from ..drawing import Drawing
from ..problems import Collector
from . import (
    bridges,
    cautions,
    double_scores,
    hazards,
    held,
    inset,
    kerf,
    order,
    overlaps,
    perforate,
    place,
    pretrim,
    registers,
    size_bar,
    slit_ends,
    strokes,
    texts,
    turn_over,
)
from .job import Compiled, CompileOptions, Job, Passed


@dataclass(frozen=True, slots=True)
class Pass:
    """One step of the compile: its name, what it does in a few words, and the function itself."""

    name: str
    about: str
    run: Callable[[Drawing, Job], Passed]


# The order matters.  The kerf comes before everything that measures along a cut,
# and the extent is taken after it while all lines are whole;
# lines that lie on each other are merged or refused while they are whole, and
# before the drawing leaves the piece's own coordinates: what comes after only
# takes stretches away, or adds lines beside the piece.  The order of work comes
# after the last pass that adds strokes.
PASSES: tuple[Pass, ...] = (
    Pass("strokes", "every line of the piece becomes a stroke on its layer", strokes.draw),
    Pass("texts", "the texts of the piece become strokes, readable from their face", texts.letter),
    Pass(
        "pretrim", "the outline is left out where the blank is trimmed by hand", pretrim.leave_out
    ),
    Pass("slit ends", "slits stop short or end in a relief hole", slit_ends.treat),
    Pass("kerf", "outlines move out and openings in by half the kerf", kerf.compensate),
    Pass("extent", "the page will be as large as the lines are now", place.measure),
    Pass("inset", "scores stop short of edges and slits", inset.shorten),
    Pass("double scores", "thick stock is scored twice beside a fold", double_scores.double),
    Pass("overlaps", "strokes that lie on each other are merged or refused", overlaps.settle),
    Pass("perforate", "perforated strokes become short cuts and ties", perforate.divide),
    Pass("bridges", "outlines and openings keep short uncut stretches", bridges.leave),
    Pass("held", "every part is held, or was asked to be loose", held.prove),
    Pass("size bar", "bars of known length are added below the piece", size_bar.add),
    Pass("face", "a job that lies face down is worked from its back", turn_over.lay),
    Pass("registers", "angles and crosses show where the sheet has to lie", registers.add),
    Pass("order", "marks, scores, cuts; inner before outer; the nearest next", order.arrange),
    Pass("place", "the drawing moves to the corner of its page, or of the machine", place.move),
    Pass("turn over", "what is worked from the back is mirrored within the page", turn_over.mirror),
    Pass("hazards", "what in this job may hurt somebody is told", hazards.find),
    Pass("cautions", "material and tool say what to take care of", cautions.add),
)


def compile_piece(
    piece: Piece,
    profile: Profile,
    tool: Tool,
    options: CompileOptions | None = None,
    *,
    title: str,
    proven: bool = True,
) -> Compiled:
    """The drawing of `piece` for one material and tool, with the findings of all passes.

    Raises ProfileError where the material refuses the tool or has no figures
    for it, and where the machine works with another tool.  A `stop` among the
    findings means that the drawing must not be cut: a line that could not be made
    right is left out of it, never drawn wrong.
    """
    options = CompileOptions() if options is None else options
    if options.machine is not None:
        check_tool(options.machine, tool)
    job = Job(piece=piece, profile=profile, tool=tool, way=way_for(profile, tool), options=options)
    drawing = Drawing(piece=piece.name, title=title, width=0.0, height=0.0, proven=proven)
    findings = Collector()
    for step in PASSES:
        passed = step.run(drawing, job)
        drawing = passed.drawing
        findings.extend(passed.findings)
    return Compiled(drawing=drawing, findings=findings.problems)
