"""This module says a diagnosis in a plain sentence: what was wrong, and what to do."""

from __future__ import annotations

from collections.abc import Sequence

from ..design.pieces import Piece
from ..folding import Verdict, slack_of
from ..geometry import Segment
from ..measures import Unit, exact_text
from ..measures.exact import MEETS_MM, SAME_DIRECTION_RAD
from ..panels import Knot, KnotKind, told
from ..problems import Problem, Severity
from .made_card import MadeCard, jumped, stops_of
from .measured import MeasuredFold, straight
from .model import Proof
from .relaying import signed_distance
from .suspects import Suspect, tolerance_of

# The rules that say of a design that it does not fold up.
_OPEN = ("buckles", "gapes", "turned", "kawasaki", "maekawa")

ALIKE_MM = 0.25
"""Without a tool, folds off by the same within this much, in mm, were set alike: half a line of a
ruler in half millimetres."""


def faults_of(proof: Proof) -> list[Problem]:
    """The findings by which the design itself does not fold up, the largest gap first."""
    faults = [
        one for one in proof.findings if one.rule in _OPEN and one.severity is not Severity.NOTE
    ]
    return sorted(faults, key=lambda one: (one.severity.rank, -(one.measure_mm or 0.0)))


def full_name(proof: Proof, piece: str, fold: str) -> str:
    """How a fold is called: by its name alone where only one piece has it, else `piece/fold`."""
    owners = [one for one in proof.resolved.pieces if fold in {line.name for line in one.folds}]
    return fold if len(owners) == 1 else f"{piece}/{fold}"


def design_sentence(proof: Proof) -> str:
    """The design itself does not fold up, however well it is made."""
    faults = faults_of(proof)
    if not faults:
        return (
            "the design itself cannot be judged, so neither can the card: "
            "mend what its findings say first"
        )
    worst = faults[0]
    return f"the design itself never could have closed: {worst.message}; {worst.mend}"


def nothing_sentence(measured: Sequence[MeasuredFold], unmeasured: Sequence[str]) -> str:
    """All folds that were measured lie where they should."""
    what = (
        "the fold that was measured lies where the design has it"
        if len(measured) == 1
        else f"all {len(measured)} folds that were measured lie where the design has them"
    )
    return f"{what}, and the design closes; {_look(unmeasured)}"


def elsewhere_sentence(proof: Proof, card: MadeCard, unmeasured: Sequence[str]) -> str:
    """Folds lie off their places, but the material gives that much."""
    units = Unit(proof.resolved.units)
    worst = card.worst
    if worst is None:
        return (
            "not the folds that were measured: no loop (ring of panels) passes over them, so "
            "nothing can gape or buckle; look at the edges that should meet"
        )
    if worst.verdict is Verdict.CLOSES:
        how = "the card as measured closes"
    else:
        gap = exact_text(round(worst.gap_mm or 0.0, 3), units)
        gives = exact_text(round(card.gives(worst) + slack_of(worst.loop), 3), units)
        how = f"the card as measured misses by {gap} only, and the material gives {gives}"
    return f"not the folds that were measured: {how}; {_look(unmeasured)}"


def _look(unmeasured: Sequence[str]) -> str:
    """What to look at when the folds that were measured are not to blame."""
    if unmeasured:
        return f"measure {_listed([told('fold', name) for name in unmeasured])} as well"
    return "look at the ends of the slits, the thickness of the layers, and the mats"


def making_sentence(
    proof: Proof, card: MadeCard, put_back: Sequence[Suspect], *, alike: bool
) -> str:
    """Folds that lie off their places keep the card from closing: which to make again.

    All of them where they lie off `alike`: then one setting was wrong, not one fold.
    """
    units = Unit(proof.resolved.units)
    worst = card.worst
    blamed = put_back[0]
    name = told("fold", full_name(proof, blamed.piece, blamed.line))
    said = f"it was the making, not the design: {name} lies {_off_text(proof, blamed, units)}"
    if worst is not None:
        verb = "buckles" if worst.verdict is Verdict.BUCKLES else "gapes"
        gap = exact_text(round(worst.gap_mm or 0.0, 3), units)
        where = f'round {worst.loop.name} of "{worst.loop.piece}"'
        by = f"by {gap} " if worst.gap_mm is not None else ""
        said = f"{said}, and the card as measured {verb} {by}{where}"
    others = [
        f"{told('fold', full_name(proof, one.piece, one.line))} at "
        f"{exact_text(one.designed_mm, units)}"
        for one in put_back
    ]
    if alike:
        return f"{said}; score all of them again (the card closes with {_listed(others)} already)"
    if len(put_back) == 1:
        return f"{said}; score it again at {exact_text(blamed.designed_mm, units)}"
    return f"{said}; no single fold mends it: score {_listed(others)} again"


def _off_text(proof: Proof, one: Suspect, units: Unit) -> str:
    """`at 146 mm in place of 145 mm, 1 mm too far up`."""
    piece = next(piece for piece in proof.resolved.pieces if piece.name == one.piece)
    line = next(straight(fold) for fold in piece.folds if fold.name == one.line)
    way = _way(line, far=one.off_mm > 0)
    return (
        f"at {exact_text(one.measured_mm, units)} in place of "
        f"{exact_text(one.designed_mm, units)}, "
        f"{exact_text(max(one.off_mm, -one.off_mm), units)} too far {way}"
    )


def _way(line: Segment | None, *, far: bool) -> str:
    """Which way a line lies off its place: `far` is up, or right where the line is upright."""
    if line is not None and line.start.x == line.end.x:
        return "right" if far else "left"
    return "up" if far else "down"


def vertex_sentence(proof: Proof, piece: str, knot: Knot, folds: Sequence[str]) -> str:
    """Folds that meet at one place were found shifted against each other."""
    units = Unit(proof.resolved.units)
    x, y = (exact_text(value, units).removesuffix(f" {units}") for value in (knot.at.x, knot.at.y))
    listed = _listed([told("fold", full_name(proof, piece, name)) for name in folds])
    return (
        f'this cannot be told: {listed} meet at ({x}, {y}) {units} of "{piece}", and shifts of '
        "folds that meet at one place are not reckoned; see whether they still meet at one place "
        "on the card, and score them again if they do not"
    )


def met_apart(
    proof: Proof, card: MadeCard, off: Sequence[MeasuredFold]
) -> tuple[str, Knot, tuple[str, ...]] | None:
    """The piece and the inner vertex at which a fold that lies off its place meets others.

    With the folds that meet there.  None where there is no such place, or where
    a fold has jumped over one beside it: then that is what is wrong.
    """
    divisions = {piece.name: piece.division for piece in proof.pieces}
    for one in off:
        if jumped(divisions[one.piece].piece, card.divisions[one.piece].piece, one.fold):
            return None
    for one in off:
        division = divisions[one.piece]
        for knot in division.knots:
            names = tuple(
                dict.fromkeys(
                    division.piece.folds[division.hinges[crossing.hinge].fold].name
                    for crossing in knot.crossings
                )
            )
            if knot.kind is KnotKind.VERTEX and one.fold in names:
                return one.piece, knot, names
    return None


def alike_sentence(proof: Proof, measured: Sequence[MeasuredFold]) -> str:
    """Says that all folds that were measured lie off alike, empty where they do not.

    Alike is parallel, on one piece, and off by the same within the tool's
    tolerance, or within 0.25 mm without one, and by more than that.  Fewer than
    three folds show no pattern.
    """
    if len(measured) < 3 or len({one.piece for one in measured}) > 1:
        return ""
    piece = next(one for one in proof.resolved.pieces if one.name == measured[0].piece)
    lines = {fold.name: straight(fold) for fold in piece.folds}
    ways = [line.end - line.start for one in measured if (line := lines[one.fold]) is not None]
    if any(
        abs(float(ways[0].cross(way)))
        > SAME_DIRECTION_RAD * float(ways[0].length) * float(way.length)
        for way in ways
    ):
        return ""
    offs = [one.off_mm for one in measured]
    tolerance = tolerance_of(proof, piece.name)
    within = ALIKE_MM if tolerance is None else tolerance
    middle = float(min(offs) + max(offs)) / 2
    apart = float(max(offs) - min(offs))
    if apart > within or abs(middle) <= within:
        return ""
    units = Unit(proof.resolved.units)
    same = apart <= MEETS_MM
    how_far = exact_text(round(abs(middle), 4 if same else 2), units)
    return (
        f"all {len(measured)} folds that were measured lie {'' if same else 'about '}{how_far} "
        f"too far {_way(lines[measured[0].fold], far=middle > 0)}: one edge or one setting of the "
        "fence was off"
    )


def order_sentence(proof: Proof, card: MadeCard, off: Sequence[MeasuredFold]) -> str:
    """A line that was measured lies beyond another one: most often a slip of the ruler."""
    units = Unit(proof.resolved.units)
    for one in off:
        piece = next(piece for piece in proof.resolved.pieces if piece.name == one.piece)
        over = jumped(piece, card.divisions[one.piece].piece, one.fold)
        if not over:
            continue
        made = {fold.name: straight(fold) for fold in card.divisions[one.piece].piece.folds}
        listed = _listed(
            [
                f"{told('fold', full_name(proof, one.piece, name))} at "
                f"{exact_text(signed_distance(line.start, line.end), units)}"
                for name in over
                if (line := made[name]) is not None
            ]
        )
        name = told("fold", full_name(proof, one.piece, one.fold))
        again = "measure it again from the lower left corner of the piece, square to the fold"
        other = _from_other_edge(piece, one)
        if other is not None:
            again = (
                f"was it measured from the opposite edge? From the lower left corner it "
                f"would then lie at {exact_text(other, units)}"
            )
        return (
            f"measured so, the card cannot be: {name} at {exact_text(one.measured_mm, units)} "
            f"would lie beyond {listed}; {again}"
        )
    stops = [stop for division in card.divisions.values() for stop in stops_of(division)]
    why = stops[0].message if stops else "its panels would lie in another order"
    return f"measured so, the card cannot be: {why}; measure its folds again"


def _from_other_edge(piece: Piece, one: MeasuredFold) -> float | None:
    """Where a fold lies if it was measured from the opposite edge, if that is far more likely."""
    line = next(straight(fold) for fold in piece.folds if fold.name == one.fold)
    if line is None or (line.start.x != line.end.x and line.start.y != line.end.y):
        return None
    left, bottom, right, top = piece.outline.box()
    low, high = (left, right) if line.start.x == line.end.x else (bottom, top)
    mirrored = low + high - float(one.measured_mm)
    return mirrored if 4 * abs(mirrored - one.designed_mm) < abs(float(one.off_mm)) else None


def _listed(names: Sequence[str]) -> str:
    """Words in a row with commas and a last "and"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
