"""This module turns the tables of a material's file into a profile, judging every figure."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from foldwright.drawing import Side, Work
from foldwright.problems import Collector, Problem, ProfileError
from foldwright.sources import Table

from .amounts import grammage_of, length_of
from .make_up import doubt_in, harm_in
from .model import (
    BridgeWay,
    Confidence,
    DashWay,
    Figure,
    Grain,
    PerforationWay,
    Profile,
    ScoreWay,
    SlitEnd,
    SlitWay,
    Tool,
    ToolWay,
)
from .overlay import Overlay


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """The values that a figure can have: above or from `least`, to `most`, in `unit`."""

    least: float = 0
    most: float
    above: bool = False
    unit: str = "mm"

    def holds(self, value: float) -> bool:
        """Whether a value is inside."""
        return (self.least < value if self.above else self.least <= value) and value <= self.most

    def told(self) -> str:
        """The span in words."""
        start = f"more than {self.least:g}" if self.above else f"{self.least:g}"
        link = " and at most " if self.above else " to "
        return f"{start}{link}{self.most:g} {self.unit}"


# What paper, board and thin wood can have at all.  Wide on purpose: a figure
# outside is a slip of the pen or of the unit, not an unusual material.
SPANS = MappingProxyType(
    {
        "grammage": Span(most=5000, above=True, unit="g/m²"),
        "caliper": Span(most=5, above=True),
        "gives_mm": Span(most=5),
        "kerf": Span(most=5),
        "kerf_y": Span(most=5),
        "tolerance": Span(most=5),
        "inset": Span(most=20),
        "allowance": Span(most=20),
        "shift": Span(most=5),
        "registration": Span(most=5),
        "burn": Span(most=50, above=True),
        "skip": Span(most=50, above=True),
        "holds": Span(most=1000, above=True, unit="g"),
        "short": Span(most=20, above=True),
        "hole": Span(most=20, above=True),
        "knife_offset": Span(most=5),
        "length": Span(most=20, above=True),
        "pitch": Span(most=1000, above=True),
        "clear": Span(most=100),
        "cut": Span(most=50, above=True),
        "tie": Span(most=50, above=True),
    }
)

SCORES = (Work.CREASED, Work.HALF_CUT, Work.PERFORATED)
SLITS = (Work.THROUGH, Work.HALF_CUT)
TEARS = (Work.PERFORATED, Work.HALF_CUT)


# The same texts say the same, and many designs are of one material.
@lru_cache(maxsize=64)
def read_profile(overlay: Overlay, *, own: bool = False) -> Profile:
    """The profile in the files of an overlay; `own` where the topmost is a user's own file.

    A user's own file says itself what its material is made of: that of its base
    is the make-up of another sheet, and nothing is burned on the strength of it.

    Raises ProfileError with everything that is wrong in them.
    """
    collector = Collector()
    table = Table(overlay.merged(), overlay, collector)
    name = table.name("name", required=True)
    about = table.text("about", required=True)
    grammage = _figure(table, "grammage")
    caliper = _figure(table, "caliper")
    gives = _figure(table, "gives_mm")
    made_of = table.text("made_of")
    if own and "made_of" not in overlay.sources[0].table:
        made_of = None
    grain = table.choice("grain", Grain)
    based_on = table.text("based_on")
    cautions = table.texts("cautions") or ()
    tools = _tools(table)
    table.finish()
    if (
        collector.stopped
        or name is None
        or about is None
        or grammage is None
        or caliper is None
        or gives is None
    ):
        raise ProfileError(collector.problems)
    return Profile(
        name=name,
        about=about,
        grammage=grammage,
        caliper=caliper,
        gives_mm=gives,
        made_of=made_of,
        harmful=_speaking(overlay, harm_in, ("made_of", "name")),
        doubtful=_speaking(overlay, doubt_in, ("made_of", "name", "about")),
        grain=grain,
        based_on=based_on,
        cautions=cautions,
        tools=MappingProxyType(tools),
        place=table.place("name"),
    )


def _speaking(
    overlay: Overlay, judge: Callable[[str], str | None], keys: tuple[str, ...]
) -> str | None:
    """The first text at these keys in any of the files that the judge finds something in."""
    for source in overlay.sources:
        for key in keys:
            text = source.table.get(key)
            if isinstance(text, str) and judge(text) is not None:
                return text
    return None


def _figure(table: Table, key: str, *, required: bool = True) -> Figure | None:
    """A figure, judged; a problem where it is missing but required."""
    due = '{ is = ..., basis = "...", confidence = "measured" or "estimate" }'
    value = table.raw(key)
    if value is None:
        if required:
            table.report("missing-key", key, due=due, mend=_add(key, due))
        return None
    if not isinstance(value, dict):
        table.wrong(key, due)
        return None
    inner = table.inside(value, key)
    number = _number(inner, key)
    basis = inner.text("basis", required=True)
    confidence = inner.choice("confidence", Confidence, required=True)
    if basis is not None and not basis.strip():
        inner.report("no-basis", "basis")
    if number is None or basis is None or confidence is None:
        return None
    span = SPANS[key]
    if not span.holds(float(number)):
        found = f"{float(number):.6g} {span.unit}"
        inner.report("figure-out-of-range", "is", due=span.told(), found=found)
        # What else does not go with such a figure is the same slip once more.
        return None
    return Figure(value=float(number), basis=basis, confidence=confidence, place=table.place(key))


def _add(key: str, due: str) -> str:
    """How to mend that a figure is missing."""
    why = {
        "registration": ': how far lines of the second face may lie off; valleys_from = "back" '
        "needs it",
        **dict.fromkeys(
            ("grammage", "caliper", "gives_mm"),
            ', or take it from a material that has it, with based_on = "..."',
        ),
    }
    return f"add {key} = {due}{why.get(key, '')}"


def _number(inner: Table, key: str) -> Fraction | None:
    """The number of a figure; a length or a grammage may be a text with its unit."""
    written = inner.raw("is")
    told, place = inner.told("is"), inner.place("is")
    if not isinstance(written, str) or SPANS[key].unit not in ("mm", "g/m²"):
        return inner.number("is", required=True)
    found = (
        grammage_of(written, told=told, place=place)
        if key == "grammage"
        else length_of(written, key=key, told=told, place=place)
    )
    if isinstance(found, Problem):
        inner.keep(found)
        return None
    return found


def _tools(table: Table) -> dict[Tool, ToolWay]:
    outer = table.table("tool")
    if outer is None:
        return {}
    found = {}
    for key in outer.values:
        # A plasma is no misspelt laser; a knive is a misspelt knife, which is told of any key.
        if not difflib.get_close_matches(key, list(Tool), cutoff=0.7):
            outer.report("unknown-tool", key, found=key, known=", ".join(Tool))
            outer.knows(key)
    for tool in Tool:
        inner = outer.table(tool.value)
        if inner is not None:
            found[tool] = _tool(inner, tool)
    return found


def _tool(table: Table, tool: Tool) -> ToolWay:
    refused = table.text("refused")
    needed = refused is None
    if refused is not None and not refused.strip():
        table.report("missing-key", "refused", due="a text in quotes that says why")
    waste, waste_loose = _waste(table)
    way = ToolWay(
        tool=tool,
        kerf=_figure(table, "kerf", required=needed),
        kerf_y=_figure(table, "kerf_y", required=False),
        score=_score(table),
        bridge=_bridge(table, "bridge"),
        waste=waste,
        waste_loose=waste_loose,
        perforation=_perforation(table),
        slit=_slit(table),
        tolerance=_figure(table, "tolerance", required=needed),
        knife_offset=_figure(table, "knife_offset", required=False),
        cautions=table.texts("cautions") or (),
        refused=refused,
    )
    if way.score is not None and way.score.work is Work.PERFORATED and "perforation" not in table:
        table.report("no-rhythm", "score", "work", tool=tool.value)
    if way.slit.bridged and "bridge" not in table:
        table.report("bridged-without-bridge", "slit", "bridged", tool=tool.value)
    _judge_kerf(table, way)
    return way


def _judge_kerf(table: Table, way: ToolWay) -> None:
    """Report the lengths of a tool's lines that its kerf swallows.

    Cuts, dashes and holes are drawn shorter than they are by the kerf; a bridge
    and a tie are drawn longer, so that no kerf is too wide for them.
    """
    kerfs = [figure for figure in (way.kerf, way.kerf_y) if figure is not None]
    if not kerfs:
        return
    kerf = max(kerfs, key=lambda figure: figure.value)
    dashes = way.score.dashes if way.score is not None else None
    made: list[tuple[Figure | None, tuple[str, ...]]] = [
        (way.perforation.cut if way.perforation is not None else None, ("perforation", "cut")),
        (dashes.burn if dashes is not None else None, ("score", "dashes", "burn")),
        (way.slit.size if way.slit.end is SlitEnd.HOLE else None, ("slit", "hole")),
    ]
    if way.score is not None and way.score.work is not Work.CREASED and way.score.shift.value > 0:
        # Two lines that burn or cut stay two only with something between them.
        both = replace(way.score.shift, value=2 * way.score.shift.value)
        made.append((both, ("score", "shift")))
    for figure, path in made:
        if figure is not None and figure.value <= kerf.value:
            found, width = f"{figure.value:g} mm", f"{kerf.value:g} mm"
            words = f"twice {table.told(*path)}" if path[-1] == "shift" else table.told(*path)
            table.report(
                "figure-within-kerf", *path, "is", key=words, found=found, kerf=width,
                kerf_at=kerf.place.prefix() or "the same file",
            )  # fmt: skip


def _score(table: Table) -> ScoreWay | None:
    inner = table.table("score")
    if inner is None:
        return None
    work = _work(inner, "work", SCORES, required=True)
    inset, allowance, shift = (_figure(inner, key) for key in ("inset", "allowance", "shift"))
    valleys = inner.choice("valleys_from", Side) or Side.FRONT
    registration = _figure(inner, "registration", required=valleys is Side.BACK)
    dashes = _dashes(inner)
    if dashes is not None and work is not None and work is not Work.HALF_CUT:
        inner.report("dashes-need-half-cut", "dashes", found=str(work))
    if work is None or inset is None or allowance is None or shift is None:
        return None
    return ScoreWay(
        work=work,
        inset=inset,
        allowance=allowance,
        shift=shift,
        valleys_from=valleys,
        registration=registration,
        dashes=dashes,
    )


def _work(table: Table, key: str, suitable: tuple[Work, ...], *, required: bool) -> Work | None:
    """A kind of work, one of the `suitable` ones."""
    work = table.choice(key, Work, required=required)
    if work is not None and work not in suitable:
        table.report(
            "unsuitable-work",
            key,
            found=work.value,
            due=" or ".join(f'"{one}"' for one in suitable),
        )
        return None
    return work


def _dashes(table: Table) -> DashWay | None:
    inner = table.table("dashes")
    if inner is None:
        return None
    burn, skip = (_figure(inner, key) for key in ("burn", "skip"))
    return None if burn is None or skip is None else DashWay(burn=burn, skip=skip)


def _slit(table: Table) -> SlitWay:
    inner = table.table("slit")
    if inner is None:
        return SlitWay()
    # A size alone does not say which of the ends is wanted.
    sized = "short" in inner or "hole" in inner
    end = inner.choice("end", SlitEnd, required=sized) or SlitEnd.FULL
    sizes = {
        SlitEnd.SHORT: _figure(inner, "short", required=end is SlitEnd.SHORT),
        SlitEnd.HOLE: _figure(inner, "hole", required=end is SlitEnd.HOLE),
    }
    return SlitWay(
        work=_work(inner, "work", SLITS, required=False) or Work.THROUGH,
        bridged=inner.flag("bridged") or False,
        end=end,
        size=sizes.get(end),
        tear=_work(inner, "tear", TEARS, required=False) or Work.PERFORATED,
    )


def _waste(table: Table) -> tuple[BridgeWay | None, bool]:
    """How waste is held, and whether it is left loose."""
    if table.raw("waste") == "loose":
        return None, True
    return _bridge(table, "waste"), False


def _bridge(table: Table, key: str) -> BridgeWay | None:
    inner = table.table(key)
    if inner is None:
        return None
    length, pitch, clear = (_figure(inner, name) for name in ("length", "pitch", "clear"))
    holds = _figure(inner, "holds", required=False)
    if length is None or pitch is None or clear is None:
        return None
    if pitch.value <= length.value:
        inner.report(
            "bridges-overlap", "pitch", length=f"{length.value:g}", pitch=f"{pitch.value:g}"
        )
    return BridgeWay(length=length, pitch=pitch, clear=clear, holds=holds)


def _perforation(table: Table) -> PerforationWay | None:
    inner = table.table("perforation")
    if inner is None:
        return None
    cut, tie = (_figure(inner, key) for key in ("cut", "tie"))
    return None if cut is None or tie is None else PerforationWay(cut=cut, tie=tie)
