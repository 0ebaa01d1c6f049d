"""A maker who is only thought of: cuts the gauges with a true kerf and scale, and fills in a form.

What comes out is reckoned here from what a tool does to a line, and not by the
code that is tested: a cut takes half a kerf from either side of it, everything
drawn is larger by the scale, and what is read is a little off.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from foldwright.gauging.form import form_text
from foldwright.gauging.gauges import gauges_for
from foldwright.gauging.hinge_test import PLIES
from foldwright.gauging.model import Gauge, LeftOut, Setting, setting_of
from foldwright.gauging.read_form import read_form
from foldwright.gauging.readings import Form
from foldwright.gauging.sheets import Laid, Page, lay
from foldwright.profiles import Tool, load_material
from foldwright.sources import parse_source

# A material of the tests' own, so that what ships may change.
MATERIAL = Path(__file__).with_name("trial-card.toml")


@cache
def setting(tool: str = "laser", material: str | Path = MATERIAL) -> Setting:
    return setting_of(load_material(str(material)), Tool(tool))


def laid(given: Setting, page: Page | None = None) -> Laid:
    return lay(gauges_for(given), given, Page() if page is None else page)


@cache
def _gauges(tool: Tool) -> tuple[Gauge | LeftOut, ...]:
    return gauges_for(setting(tool))


def gauge(section: str, given: Setting) -> Gauge:
    (found,) = [one for one in _gauges(given.tool) if one.section == section]
    assert not isinstance(found, LeftOut), found.reason
    return found


def empty_form(given: Setting) -> str:
    return _empty_form(given.tool)


@cache
def _empty_form(tool: Tool) -> str:
    given = setting(tool)
    found = laid(given)
    return form_text(given, found.gauges, found.left_out, material=str(MATERIAL))


def filled(text: str, values: Mapping[str, object]) -> str:
    """A form with these values at keys of its own; a key is `section.key`, or that of the top."""
    for path, value in values.items():
        section, _, key = path.rpartition(".")
        start = text.index(f"[{section}]\n") if section else 0
        end = text.find("\n[", start + 1)
        part = text[start : end if end >= 0 else len(text)]
        pattern = re.compile(rf"^({key} *= )[^#\n]*", flags=re.MULTILINE)
        found = pattern.findall(part)
        assert len(found) == 1, path
        marked = pattern.sub("\0", part)
        text = text.replace(part, marked.replace("\0", f"{found[0]}{value} "))
    return text


def read(text: str) -> Form:
    return read_form(parse_source(text, "readings.toml"))


@dataclass(frozen=True, kw_only=True, slots=True)
class Maker:
    """The truth that the maker's readings are to bring to light, all in mm."""

    kerf: float
    kerf_y: float
    scale: float
    caliper: float
    allowance: float
    bridge: float
    inset: float

    def readings(self, given: Setting, off: Callable[[], float]) -> dict[str, object]:
        """What is measured of the gauges; `off` gives the next error of a reading, in mm."""
        values: dict[str, object] = {
            "size_bar.metric": 50.0 * self.scale + off(),
            "size_bar.inch": 50.8 * self.scale + off(),
            "caliper.stack": 6.0 * self.caliper + off(),
        }
        (side,) = gauge("kerf", given).drawn["drawn"]
        for axis, kerf in (("x", self.kerf), ("y", self.kerf_y)):
            # The hole is what the cut took from both its sides, the piece what it left.
            values[f"kerf.hole_{axis}"] = [side * self.scale + kerf + off() for _ in range(3)]
            values[f"kerf.piece_{axis}"] = [side * self.scale - kerf + off() for _ in range(3)]
        for plies in PLIES:
            values[f"hinge.short_{plies}"] = self.short(plies) + max(off(), -self.short(plies))
        for section, key, finished in (
            ("bridges", "holds", self.gap_left),
            ("score", "folds", self.inset_left),
        ):
            teeth = gauge(section, given).drawn["drawn"]
            due = self.bridge if section == "bridges" else self.inset
            good = [index for index, made in enumerate(teeth, 1) if finished(made) >= due]
            values[f"{section}.{key}"] = good[0] if good else '"none"'
        return values

    def gap_left(self, made: float) -> float:
        """How long a bridge is that was drawn so long."""
        return made * self.scale - self.kerf

    def inset_left(self, made: float) -> float:
        """How far a score stops short of the edge that the cut left."""
        return max(0.0, made * self.scale - self.kerf / 2.0)

    def short(self, plies: int, length: float = 30.0) -> float:
        """What the ruler shows: how far a strip's end lies from where the ply was drawn to end.

        The strip lies flush at one end, runs to the fold-side end of the stack,
        takes up its allowance there, and comes back with what is left of it.
        """
        strip = 2.0 * length * self.scale - self.kerf_y
        ply = length * self.scale - self.kerf_y
        back = strip - ply - plies * self.allowance
        drawn_end = ply + self.kerf_y / 2.0
        return (drawn_end - back) / self.scale
