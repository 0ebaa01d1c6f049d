"""This module turns what is known of the closed card into findings: thickness, spill, room."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from ..design.pieces import Extra, Limits, Mat
from ..folding import PanelKey
from ..measures import Unit, exact_text
from ..measures.exact import MEETS_MM
from ..panels import Assembly, told
from ..problems import Problem, Severity, problem
from ..stacking.cover import Cover
from ..stacking.glued import Glued
from ..stacking.reaches import Reach
from ..stacking.room import LEAST_CLEAR_MM, Held, clear_of_fold
from ..stacking.spill import NoCover, Spill, Spilled, Where
from ..stacking.thickness import ThicknessMap
from .judging import figure
from .names import listed, panel_text
from .spill_mends import SpillMend


def thickness_findings(
    thickness: ThicknessMap, limits: Limits | None, assembly: Assembly, units: Unit
) -> Iterator[Problem]:
    """A card that is thicker than its limit, and what is not known of its thickness."""
    most = None if limits is None else limits.thickness
    thickest = thickness.thickest
    over = 0.0 if most is None or thickest is None else thickest.known_mm - float(most)
    if limits is not None and most is not None and thickest is not None and over > MEETS_MM:
        extras = [one.part.name for one in thickest.glued if isinstance(one.part, Extra)]
        yield problem(
            "closed-too-thick",
            place=limits.place,
            piece=thickest.panel[0],
            at=thickest.on_panel.floats(),
            measure_mm=over,
            least="" if thickness.known else "at least ",
            thickness=figure(thickest.known_mm, units),
            panel=panel_text(thickest.panel, assembly),
            most=exact_text(most, units),
            parts=_lie_there(len(thickest.plies), thickest.glued),
            hint=f"move {listed([_extra(name) for name in extras])} to where fewer plies lie, or "
            "raise the limit"
            if extras
            else "use thinner paper, leave out what lies there, or raise the limit",
        )
    yield from _unknown(thickness, most is not None and over <= MEETS_MM, limits, assembly)
    for extra in thickness.sizeless:
        yield problem(
            "extra-without-size", place=extra.place, piece=extra.piece, what=_extra(extra.name)
        )


def _unknown(
    thickness: ThicknessMap, unjudged: bool, limits: Limits | None, assembly: Assembly
) -> Iterator[Problem]:
    # A piece without a material is told already, with all that follows from it.
    told_already = {division.piece.stock for division in assembly.divisions.values()}
    stocks = [one for one in thickness.stocks if unjudged or one not in told_already]
    if not (stocks or thickness.heights or thickness.loose):
        return
    missing, hints = [], []
    if stocks:
        named = [_stock(one) for one in stocks]
        missing.append(f"{listed(named)} {'has' if len(named) == 1 else 'have'} no material")
        hints.append("give each stock a material, in the design or with --material")
    for extras, what in ((thickness.heights, "height"), (thickness.loose, "place")):
        if extras:
            named = [_extra(one.name) for one in extras]
            missing.append(f"{listed(named)} {'has' if len(named) == 1 else 'have'} no {what}")
            hints.append(f"give each extra {'a height' if what == 'height' else 'an at'}")
    first = next(iter((*thickness.heights, *thickness.loose)), None)
    place = None if first is None else first.place
    if unjudged and limits is not None:
        place = limits.place
    yield problem(
        "thickness-unknown",
        place=place,
        piece=None if first is None else first.piece,
        unjudged=", so its limit is not judged" if unjudged else "",
        missing=", ".join(missing),
        hint=" and ".join(hints),
    )


def spill_findings(
    spilled: Spilled | NoCover,
    cover: Cover,
    covers: Iterable[PanelKey],
    mends: Sequence[SpillMend],
    assembly: Assembly,
    units: Unit,
    *,
    too_large: bool,
) -> Iterator[Problem]:
    """What sticks out of the closed card: a stop where that is `too_large` for its limit.

    `covers` are the panels that the design calls a cover.
    """
    for key in covers:
        if key not in cover.footprints:
            piece = assembly.divisions[key[0]].piece
            name = panel_text(key, assembly)
            yield problem("no-such-cover", place=piece.place, piece=piece.name, panel=name)
    if isinstance(spilled, NoCover):
        first = next(iter(assembly.divisions.values())).piece
        yield problem("spill-not-judged", place=first.place, piece=first.name, why=spilled.why)
        return
    if spilled.spills:
        worst = spilled.spills[0]
        mend = _hint(worst, mends, assembly, units)
        severity = Severity.STOP if too_large else None
        yield _sticks_out("spills", spilled.spills, assembly, units, mend, severity)
    if spilled.beside:
        mend = "leave it so if it is meant to show, else make the covering panel larger there"
        in_bay = all(one.where is Where.BAY for one in spilled.beside)
        severity = Severity.NOTE if in_bay else None
        yield _sticks_out("shows-beside", spilled.beside, assembly, units, mend, severity)


def _sticks_out(
    code: str,
    spills: Sequence[Spill],
    assembly: Assembly,
    units: Unit,
    hint: str,
    severity: Severity | None,
) -> Problem:
    """The panel that is farthest out, and the names of the others."""
    worst = spills[0]
    names = [panel_text(spill.panel, assembly) for spill in spills[1:]]
    return problem(
        code,
        severity=severity,
        place=assembly.divisions[worst.panel[0]].piece.place,
        piece=worst.panel[0],
        at=worst.at.floats(),
        measure_mm=worst.mm,
        panel=panel_text(worst.panel, assembly),
        past=f"panel {panel_text(worst.past, assembly)}",
        by=figure(worst.mm, units),
        more=f"; so {'does' if len(names) == 1 else 'do'} {listed(names)}" if names else "",
        hint=hint,
    )


def _hint(worst: Spill, mends: Sequence[SpillMend], assembly: Assembly, units: Unit) -> str:
    if mends:
        change = exact_text(mends[0].from_mm, units), exact_text(mends[0].to_mm, units)
        return f"change {mends[0].measure} from {change[0]} to {change[1]}"
    panel, past = panel_text(worst.panel, assembly), panel_text(worst.past, assembly)
    return f"shorten panel {panel} there by {figure(worst.mm, units)}, or make panel {past} larger"


def room_findings(held: Sequence[Held], assembly: Assembly, units: Unit) -> Iterator[Problem]:
    """The folds that mats and extras hold open, or that they come too near to."""
    for one in held:
        parts = tuple(dict.fromkeys(glued.part for glued in one.parts))
        what = listed([_part(part) for part in parts])
        yield problem(
            "fold-held-open",
            severity=None if one.stays_open else Severity.NOTE,
            place=parts[0].place,
            piece=one.panel[0],
            at=one.at.floats(),
            measure_mm=clear_of_fold(one.needs_mm) - one.clear_mm,
            what=what,
            holds=_holds(len(parts) > 1, stays_open=one.stays_open),
            fold=told("fold", one.label),
            height=figure(one.needs_mm, units),
            clear=figure(one.clear_mm, units),
            needs=figure(max(LEAST_CLEAR_MM, one.needs_mm), units),
            panel=panel_text(one.panel, assembly),
        )


def reach_findings(reaches: Sequence[Reach], assembly: Assembly, units: Unit) -> Iterator[Problem]:
    """The extras that stick out of the closed card, and those that only leave their panels."""
    for one in reaches:
        outside = one.card_mm > 0.0
        by = one.card_mm if outside else one.panel_mm
        yield problem(
            "extra-out-of-the-card" if outside else "extra-past-its-panel",
            place=one.extra.place,
            piece=one.extra.piece,
            at=None if one.extra.at is None else one.extra.at.floats(),
            measure_mm=by,
            what=_extra(one.extra.name),
            panel=panel_text(one.panel, assembly),
            by=figure(by, units),
        )


def _holds(several: bool, *, stays_open: bool) -> str:
    if stays_open:
        return "hold" if several else "holds"
    return "may hold"


def _lie_there(plies: int, glued: Sequence[Glued]) -> str:
    counts = Counter("mat" for one in glued if isinstance(one.part, Mat))
    parts = [_count(plies, "ply", "plies")] if plies else []
    parts += [_count(counts["mat"], "mat", "mats")] if counts["mat"] else []
    parts += [_extra(one.part.name) for one in glued if isinstance(one.part, Extra)]
    return listed(parts)


def _count(number: int, one: str, several: str) -> str:
    return f"{number} {one if number == 1 else several}"


def _stock(name: str | None) -> str:
    return "paper without a stock" if name is None else f'the stock "{name}"'


def _part(part: Mat | Extra) -> str:
    return _extra(part.name) if isinstance(part, Extra) else _named("mat", part.name)


def _extra(name: str) -> str:
    return _named("extra", name)


def _named(kind: str, name: str) -> str:
    """A thing by its name; one that is called by its place in the file needs no quotes."""
    by_place = name.startswith(f"{kind} ") and name[len(kind) + 1 :].isdigit()
    return name if by_place else f'{kind} "{name}"'
