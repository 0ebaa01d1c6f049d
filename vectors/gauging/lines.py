"""This module makes the strokes of gauges: drawn, cut, or scored as the profile scores."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ..compiling.perforate import rhythm
from ..drawing import Layer, Role, Stroke, Work
from ..geometry import Path, Vector
from ..measures.exact import MEETS_MM
from .model import Setting


def drawn(paths: Iterable[Path], source: str, role: Role = Role.MARK) -> list[Stroke]:
    """Strokes of the mark layer."""
    return [_stroke(path, Layer.MARK, Work.DRAWN, source, role) for path in paths]


def cut(paths: Iterable[Path], source: str, role: Role = Role.OUTLINE) -> list[Stroke]:
    """Strokes that are cut through, as drawn: no kerf is allowed for."""
    return [_stroke(path, Layer.CUT, Work.THROUGH, source, role) for path in paths]


def scored(path: Path, source: str, setting: Setting) -> list[Stroke]:
    """A score along x as the profile makes it: a line, or two beside the fold; whole or in parts.

    Dashes and cuts are those that the profile wants to see, so the kerf that it
    has now is taken off their ends.
    """
    score = setting.way.score
    assert score is not None
    shift = score.shift.value
    # Two lines that meet are one.
    sides = (shift, -shift) if shift > MEETS_MM else (0.0,)
    paths = [path.moved(Vector(0.0, by)) for by in sides]
    if score.work is Work.PERFORATED:
        way = setting.way.perforation
        assert way is not None
        paths = _dashes(paths, way.cut.value, way.tie.value, setting.kerf)
    elif score.dashes is not None:
        paths = _dashes(paths, score.dashes.burn.value, score.dashes.skip.value, setting.kerf)
    return [_stroke(part, Layer.SCORE, score.work, source, Role.FOLD) for part in paths]


def _dashes(paths: Iterable[Path], cut: float, tie: float, kerf: float) -> list[Path]:
    half = kerf / 2.0
    return [
        path.stretch(start + half, end - half)
        for path in paths
        for start, end in rhythm(path.length, cut, tie, closed=False)
        if end - start > kerf
    ]


def perforated(path: Path, cut: float, tie: float, source: str, setting: Setting) -> list[Stroke]:
    """Cuts of just `cut` mm with just `tie` mm between and beside them, in a line that fits them.

    On the layer where the material's perforations are: that of scores where the
    tool scores so, else that of cuts.
    """
    score = setting.way.score
    folds = score is not None and score.work is Work.PERFORATED
    count = max(1, math.floor((path.length - tie) / (cut + tie) + 1e-9))
    start = (path.length - count * cut - (count - 1) * tie) / 2.0
    parts = [
        path.stretch(start + index * (cut + tie), start + index * (cut + tie) + cut)
        for index in range(count)
    ]
    layer, role = (Layer.SCORE, Role.FOLD) if folds else (Layer.CUT, Role.SLIT)
    return [_stroke(part, layer, Work.PERFORATED, source, role) for part in parts]


def _stroke(path: Path, layer: Layer, work: Work, source: str, role: Role) -> Stroke:
    # The sheet that a gauge is laid on gives the strokes their piece.
    return Stroke(path=path, layer=layer, work=work, piece="", source=source, role=role)
