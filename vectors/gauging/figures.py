"""This module works out the figures of a maker's own profile from the readings of a form."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from itertools import pairwise

from foldwright.profiles.make_up import BURNABLE, is_burnable
from foldwright.profiles.model import Profile, Tool, ToolWay
from foldwright.profiles.read import SPANS

from ..measures.exact import READ_MM
from ..problems import Collector, Place, Problem, Severity, problem
from .readings import Form, Reading, Tooth
from .scale import scale_of

# Readings of one length that lie further apart than this, and than three times the
# tolerance of the tool, are told, in mm.
_SPREAD_MM = 0.5
# A spread is only worth a tolerance where so many readings more than means went into it.
_LEAST_FREEDOM = 4
# A caliper that differs by more than the first factor is told, by more than the second refused.
_FAR, _TOO_FAR = 1.25, 2.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Measured:
    """A figure that was measured: its key in a material's file, its value and what it rests on."""

    key: tuple[str, ...]
    value: float
    basis: str
    place: Place


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What the readings of a form come to; `remarks` are sentences for which no key is there."""

    figures: tuple[Measured, ...]
    findings: tuple[Problem, ...]
    remarks: tuple[str, ...] = ()


def work_out(form: Form, profile: Profile, way: ToolWay) -> Outcome:
    """The figures of the form's readings, for the material and the tool that they were taken of.

    A stop among the findings means that a reading cannot be right, so that no
    profile should be written.
    """
    bench = _Bench(form=form, profile=profile, way=way)
    bench.share = scale_of(form, bench.found).share
    _spreads(bench)
    _kerfs(bench)
    _tolerance(bench)
    _caliper(bench)
    _slot(bench)
    _hinge(bench)
    _inset(bench)
    _bridges(bench)
    _perforation(bench)
    _make_up(bench)
    if not bench.figures and not bench.found.stopped:
        code = "gauge-form-empty" if form.empty else "gauge-nothing-left"
        bench.found.add(problem(code, place=form.place))
    return Outcome(
        figures=tuple(bench.figures),
        findings=bench.found.problems,
        remarks=tuple(bench.remarks),
    )


@dataclass(slots=True)
class _Bench:
    """The work in progress; kerfs and caliper are those of the profile until they are measured."""

    form: Form
    profile: Profile
    way: ToolWay
    share: float | None = 1.0
    figures: list[Measured] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    found: Collector = field(default_factory=Collector)

    def figure(self, *key: str) -> float | None:
        return next((one.value for one in self.figures if one.key == key), None)

    @property
    def kerf(self) -> float:
        """The kerf along x in mm."""
        measured = self.figure("tool", "kerf")
        if measured is not None:
            return measured
        return 0.0 if self.way.kerf is None else self.way.kerf.value

    @property
    def kerf_y(self) -> float:
        """The kerf along y in mm."""
        measured = self.figure("tool", "kerf_y")
        if measured is not None:
            return measured
        if self.figure("tool", "kerf") is None and self.way.kerf_y is not None:
            return self.way.kerf_y.value
        return self.kerf

    def keep(
        self, key: tuple[str, ...], value: float, basis: str, *sources: Reading | Tooth
    ) -> None:
        """Take a figure, unless it is one that nothing can have."""
        value = round(value, 3) + 0.0
        span, place = SPANS[key[-1]], sources[0].place
        if not span.holds(value):
            self.found.add(
                problem(
                    "gauge-impossible",
                    place=place,
                    measure_mm=value,
                    figure=key[-1],
                    found=f"{value:g} mm",
                    due=span.told(),
                    keys=" and ".join(one.key for one in sources),
                )
            )
            return
        self.figures.append(Measured(key=key, value=value, basis=basis, place=place))

    def tooth(self, section: str, key: str, gauge: str, figure: str, mend: str) -> int | None:
        """The place of the chosen tooth, from 0, where there is one and the sheets are to size."""
        tooth = self.form.tooth(section, key)
        if tooth is None:
            return None
        if tooth.number is None:
            self.found.add(
                problem("gauge-no-tooth", place=tooth.place, gauge=gauge, figure=figure, mend=mend)
            )
            return None
        if self.share is None:
            self.found.add(problem("gauge-needs-size", place=tooth.place, figure=figure))
            return None
        return tooth.number - 1

    def made(self, section: str, key: str, index: int) -> float:
        """How long something came out that was drawn, in mm."""
        assert self.share is not None
        return self.form.parts[section].drawn[key][index] * self.share

    def chosen(self, section: str, key: str) -> Tooth:
        tooth = self.form.tooth(section, key)
        assert tooth is not None
        return tooth


def _mm(value: float) -> str:
    return f"{round(value, 3) + 0.0:g} mm"


def _spreads(bench: _Bench) -> None:
    usual = 0.0 if bench.way.tolerance is None else 3.0 * bench.way.tolerance.value
    for part in bench.form.parts.values():
        for reading in part.lengths.values():
            if reading.spread > max(_SPREAD_MM, usual):
                bench.found.add(
                    problem(
                        "gauge-readings-spread",
                        place=reading.place,
                        measure_mm=reading.spread,
                        name=reading.key,
                        spread=_mm(reading.spread),
                        least=_mm(min(reading.values)),
                        most=_mm(max(reading.values)),
                    )
                )


def _kerfs(bench: _Bench) -> None:
    """Half of what the hole is larger than its piece; kerf_y only where it is another one."""
    along_x, along_y = (_kerf(bench, axis) for axis in ("x", "y"))
    if along_x is not None:
        bench.keep(("tool", "kerf"), *along_x)
    if along_y is not None:
        same = along_x is not None and round(along_x[0], 2) == round(along_y[0], 2)
        if not same or bench.way.kerf_y is not None:
            bench.keep(("tool", "kerf_y"), *along_y)


def _kerf(bench: _Bench, axis: str) -> tuple[float, str, Reading, Reading] | None:
    hole, piece = (bench.form.length("kerf", f"{one}_{axis}") for one in ("hole", "piece"))
    if hole is None or piece is None:
        there = hole or piece
        if there is not None:
            missing = f"{'piece' if piece is None else 'hole'}_{axis}"
            bench.found.add(
                problem("gauge-half-read", place=there.place, key=there.key, other=missing)
            )
        return None
    kerf = (hole.mean - piece.mean) / 2.0
    if kerf < -READ_MM:
        bench.found.add(
            problem(
                "gauge-kerf-negative",
                place=hole.place,
                measure_mm=kerf,
                axis=axis,
                hole=_mm(hole.mean),
                piece=_mm(piece.mean),
                hole_key=hole.key,
                piece_key=piece.key,
            )
        )
        return None
    basis = f"measured on a gauge along {axis}: hole {hole.told()}, piece {piece.told()}"
    return max(kerf, 0.0), f"{basis}; half the difference", hole, piece


def _tolerance(bench: _Bench) -> None:
    """How far a line lies off, by how much squares of one size differ.

    Each side of a square is as far off as two lines are together, so a line's
    standard deviation is that of the sides over the root of two; twice as much
    holds 19 of 20 lines.  Squares are small: they can show that a tool is worse
    than its profile says, but not that it is better over a whole card.
    """
    keys = ("hole_x", "piece_x", "hole_y", "piece_y")
    several = [
        reading
        for reading in (bench.form.length("kerf", key) for key in keys)
        if reading is not None and len(reading.values) > 1
    ]
    freedom = sum(len(reading.values) - 1 for reading in several)
    if freedom < _LEAST_FREEDOM:
        return
    line = math.sqrt(math.fsum(reading.squares for reading in several) / freedom / 2.0)
    count = sum(len(reading.values) for reading in several)
    usual = bench.way.tolerance
    if usual is not None and 2.0 * line <= usual.value:
        bench.remarks.append(
            f"By {count} readings of squares, lines lie within {_mm(2.0 * line)} in 19 of 20 "
            f"cases. That is no tolerance over a whole card, so it stays {_mm(usual.value)}."
        )
        return
    bench.keep(
        ("tool", "tolerance"),
        2.0 * line,
        f"measured on a gauge: {count} readings of squares, whose sides have a standard deviation "
        f"of {_mm(math.sqrt(2.0) * line)}; twice that of one line",
        *several,
    )


def _caliper(bench: _Bench) -> None:
    stack = bench.form.length("caliper", "stack")
    if stack is None:
        return
    plies = bench.form.parts["caliper"].drawn["plies"][0]
    value, base = stack.mean / plies, bench.profile.caliper.value
    apart = max(value / base, base / value)
    if apart > _FAR:
        told = problem(
            "gauge-caliper-far",
            place=stack.place,
            measure_mm=value,
            name=stack.key,
            found=_mm(value),
            material=bench.profile.name,
            base=_mm(base),
        )
        if apart > _TOO_FAR:
            bench.found.add(replace(told, severity=Severity.STOP))
            return
        bench.found.add(told)
    basis = f"measured on a gauge: {plies:g} plies {stack.told()} thick"
    bench.keep(("caliper",), value, basis, stack)


def _slot(bench: _Bench) -> None:
    mend = "cut a wider slot by hand, and measure it"
    index = bench.tooth("slots", "takes", "slot and tongue", "the slot", mend)
    if index is None:
        return
    width = bench.made("slots", "drawn", index) + bench.kerf
    caliper = bench.figure("caliper")
    if caliper is None:
        caliper = bench.profile.caliper.value
    if width < caliper - READ_MM:
        bench.found.add(
            problem(
                "gauge-slot-narrow",
                place=bench.chosen("slots", "takes").place,
                measure_mm=width,
                slot=_mm(width),
                caliper=_mm(caliper),
            )
        )
        return
    bench.remarks.append(
        f"A finished slot of {_mm(width)} takes an edge of {_mm(caliper)}: a play of "
        f"{_mm(width - caliper)}. No key of a material holds that; use it in a design's measures."
    )


def _hinge(bench: _Bench) -> None:
    """The allowance that fits all strips best: length taken up = plies times allowance.

    The ends of strip and ply were cut with half a kerf off each, and the ruler
    counts from where the ply was drawn to end: all in all half a kerf is
    missing in the reading.
    """
    part = bench.form.parts.get("hinge")
    if part is None or not part.lengths:
        return
    # A key is short_2 for two plies, and so on.
    read = sorted((int(key.rpartition("_")[2]), one) for key, one in part.lengths.items())
    sources = [one for _, one in read]
    if bench.share is None:
        bench.found.add(problem("gauge-needs-size", place=sources[0].place, figure="the allowance"))
        return
    in_order = True
    for (_, fewer), (_, more) in pairwise(read):
        if more.mean < fewer.mean - READ_MM:
            in_order = False
            bench.found.add(
                problem(
                    "gauge-plies-out-of-order",
                    place=more.place,
                    first=fewer.key,
                    first_mm=_mm(fewer.mean),
                    second=more.key,
                    second_mm=_mm(more.mean),
                )
            )
    if not in_order:
        # A fit through readings that contradict each other would look measured.
        return
    missing = bench.kerf_y / 2.0
    taken = [(plies, one.mean * bench.share + missing) for plies, one in read]
    value = math.fsum(plies * length for plies, length in taken) / sum(
        plies * plies for plies, _ in taken
    )
    lengths = ", ".join(f"{plies} plies {one.told()}" for plies, one in read)
    more_of_it = f", and {_mm(missing)} of half the kerf" if missing else ""
    basis = f"measured on a gauge: ends short by {lengths}{more_of_it}; the best fit for each ply"
    bench.keep(("tool", "score", "allowance"), value, basis, *sources)


def _inset(bench: _Bench) -> None:
    mend = "give the material a longer inset, and make the comb again"
    index = bench.tooth("score", "folds", "score comb", "the inset", mend)
    if index is None:
        return
    made = bench.made("score", "drawn", index)
    value = max(0.0, made - bench.kerf / 2.0)
    basis = f"measured on a gauge: tooth {index + 1}, {_mm(made)}{_less(bench.kerf / 2.0)}"
    bench.keep(("tool", "score", "inset"), value, basis, bench.chosen("score", "folds"))


def _bridges(bench: _Bench) -> None:
    mend = "give the material longer bridges, and make the comb again"
    index = bench.tooth("bridges", "holds", "bridge comb", "the length of a bridge", mend)
    if index is None:
        return
    made = bench.made("bridges", "drawn", index)
    value = made - bench.kerf
    tooth = bench.chosen("bridges", "holds")
    pitch = None if bench.way.bridge is None else bench.way.bridge.pitch.value
    if pitch is not None and value >= pitch:
        bench.found.add(
            problem("bridges-overlap", place=tooth.place, length=f"{value:g}", pitch=f"{pitch:g}")
        )
        return
    basis = f"measured on a gauge: tooth {index + 1}, a gap of {_mm(made)}{_less(bench.kerf)}"
    bench.keep(("tool", "bridge", "length"), value, f"{basis}; the shortest that held", tooth)


def _perforation(bench: _Bench) -> None:
    mend = "give the material another rhythm, and make the comb again"
    index = bench.tooth("perforation", "tears", "perforation comb", "the perforation", mend)
    if index is None:
        return
    cut, tie = (bench.made("perforation", key, index) for key in ("drawn_cut", "drawn_tie"))
    tooth = bench.chosen("perforation", "tears")
    basis = f"measured on a gauge: tooth {index + 1}, "
    more = f" and a kerf of {_mm(bench.kerf)}" if bench.kerf else ""
    key = ("tool", "perforation")
    bench.keep((*key, "cut"), cut + bench.kerf, f"{basis}a cut of {_mm(cut)}{more}", tooth)
    bench.keep(
        (*key, "tie"), tie - bench.kerf, f"{basis}a tie of {_mm(tie)}{_less(bench.kerf)}", tooth
    )


def _less(kerf: float) -> str:
    return f" less {_mm(kerf)} of kerf" if kerf else ""


def _make_up(bench: _Bench) -> None:
    form = bench.form
    if form.tool is Tool.LASER and not is_burnable(form.made_of):
        bench.found.add(
            problem(
                "gauge-make-up",
                place=form.made_of_place,
                found="empty" if form.made_of is None else f'"{form.made_of}"',
                known=", ".join(f'"{one}"' for one in BURNABLE),
            )
        )
