"""This module writes a design as a TOML text, which reads back as the same design."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from ..measures import Unit
from .model import (
    FORMAT,
    ArcDraft,
    BandDraft,
    BandSense,
    CircleDraft,
    CurveDraft,
    Design,
    EllipseDraft,
    FoldDraft,
    JointEndDraft,
    MeasureDraft,
    PathDraft,
    PieceDraft,
    PolygonDraft,
    RectangleDraft,
    ShapeDraft,
    TouchDraft,
    VertexDraft,
)
from .pieces import Face, How, LShape
from .written import expression

# What TOML takes for a number and reads back as the very same text.
_BARE_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]*[1-9])?")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SHORT_ESCAPES = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}

# A table's keys with the TOML text of their values, in the order in which they
# are written; a key without a text is left out.
_Rows = Iterable[tuple[str, str | None]]


@dataclass(frozen=True, kw_only=True, slots=True)
class Block:
    """A header and its keys with the TOML texts of their values, each on one line.

    The keys at the top of a file have no header.
    """

    header: str | None
    rows: tuple[tuple[str, str], ...]

    @property
    def text(self) -> str:
        """The lines of the block, the last one ended too."""
        lines = [] if self.header is None else [self.header]
        lines += [f"{key} = {value}" for key, value in self.rows]
        return "\n".join(lines) + "\n"


def write_design(design: Design) -> str:
    """The TOML text of a design.

    Comments are not kept: they belong to the text of `design.source`.
    """
    return "\n".join(block.text for block in blocks(design))


def blocks(design: Design) -> tuple[Block, ...]:
    """The blocks of the TOML text of a design, in order."""
    parts = [
        _table(
            None,
            (
                ("format", str(FORMAT)),
                ("name", _text(design.name)),
                ("version", _maybe_text(design.version)),
                ("units", _text(design.units)),
                ("mirrored", _flag(design.mirrored) if design.mirrored else None),
                ("pattern", _maybe_text(design.pattern)),
            ),
        )
    ]
    if design.measures:
        parts.append(
            _table("[measures]", [(name, _measure(d)) for name, d in design.measures.items()])
        )
    for name, stock in design.stocks.items():
        rows: _Rows = (
            ("material", _maybe_text(stock.material)),
            ("sheet", _maybe_text(stock.sheet)),
        )
        parts.append(_table(f"[stock.{_key(name)}]", rows))
    for piece in design.pieces:
        parts.extend(_piece(piece))
    for joint in design.joints:
        rows = (
            ("name", _maybe_text(joint.name)),
            ("glue", _joint_end(joint.glue)),
            ("to", _joint_end(joint.to)),
            ("slack", _unless(joint.slack, "0")),
        )
        parts.append(_table("[[joint]]", rows))
    for mat in design.mats:
        panels = _text(mat.panels) if isinstance(mat.panels, str) else _texts(mat.panels)
        rows = (
            ("name", _maybe_text(mat.name)),
            ("on", _text(mat.on)),
            ("panels", panels),
            ("face", _text(Face(mat.face))),
            ("margin", _maybe_number(mat.margin)),
            ("l_shape", None if mat.l_shape == LShape.ONE else _text(LShape(mat.l_shape))),
            ("stock", _maybe_text(mat.stock)),
            ("up", _maybe_number(mat.up)),
        )
        parts.append(_table("[[mat]]", rows))
    for extra in design.extras:
        rows = (
            ("name", _maybe_text(extra.name)),
            ("on", _text(extra.on)),
            ("at", _maybe_pair(extra.at)),
            ("size", _numbers(extra.size) if extra.size else None),
            ("height", _maybe_number(extra.height)),
            ("mass", _maybe_number(extra.mass)),
        )
        parts.append(_table("[[extra]]", rows))
    for pose in design.poses:
        held = [(fold, _number(angle)) for fold, angle in pose.hold.items()]
        rows = (
            ("name", _text(pose.name)),
            ("hold", _inline(held) if held else None),
            ("on", _texts(pose.on) if pose.on else None),
            ("view", _maybe_number(pose.view)),
        )
        parts.append(_table("[[pose]]", rows))
        parts.extend(_touch(touch) for touch in pose.touches)
    if design.envelope is not None:
        rows = (
            ("form", _text(design.envelope.form)),
            ("clearance_each_side", _maybe_number(design.envelope.clearance_each_side)),
            ("standard", _maybe_text(design.envelope.standard)),
            ("stock", _maybe_text(design.envelope.stock)),
            ("corner", _maybe_number(design.envelope.corner)),
        )
        parts.append(_table("[envelope]", rows))
    if design.limits is not None:
        limits = design.limits
        rows = (
            ("closed", _maybe_pair(limits.closed)),
            ("thickness", _maybe_number(limits.thickness)),
            ("stands", None if limits.stands is None else _flag(limits.stands)),
            ("post", _texts(limits.post) if limits.post else None),
        )
        parts.append(_table("[limits]", rows))
    for name, variant in design.variants.items():
        measures = [(m, _measure(draft)) for m, draft in variant.measures.items()]
        materials = [
            (stock, _inline([("material", _text(material))]))
            for stock, material in variant.materials.items()
        ]
        rows = (
            ("units", None if variant.units is None else _text(Unit(variant.units))),
            ("mirrored", None if variant.mirrored is None else _flag(variant.mirrored)),
            ("measures", _inline(measures) if measures else None),
            ("stock", _inline(materials) if materials else None),
        )
        parts.append(_table(f"[variant.{_key(name)}]", rows))
    return tuple(parts)


def _piece(piece: PieceDraft) -> Iterable[Block]:
    edges = [_vertices(edge) for edge in piece.hide_bridges]
    yield _table(
        "[[piece]]",
        (
            ("name", _text(piece.name)),
            ("stock", _maybe_text(piece.stock)),
            ("grain", _maybe_number(piece.grain)),
            ("copies", _unless(piece.copies, "1")),
            ("hide_bridges", _list(edges) if edges else None),
            ("outline", _inline(_shape(piece.outline))),
        ),
    )
    for slit in piece.slits:
        yield _table(
            "[[piece.slit]]",
            (
                ("name", _maybe_text(slit.name)),
                ("points", _vertices(slit.points)),
                ("how", None if slit.how == How.CUT else _text(How(slit.how))),
            ),
        )
    for crease in piece.creases:
        yield _band(crease) if isinstance(crease, BandDraft) else _fold(crease)
    for opening in piece.openings:
        yield _table(
            "[[piece.opening]]", (("name", _maybe_text(opening.name)), *_shape(opening.shape))
        )
    for mark in piece.marks:
        yield _table(
            "[[piece.mark]]",
            (
                ("name", _maybe_text(mark.name)),
                ("points", None if mark.points is None else _vertices(mark.points)),
                ("text", _maybe_text(mark.text)),
                ("at", _maybe_pair(mark.at)),
                ("height", _maybe_number(mark.height)),
            ),
        )
    for panel in piece.panels:
        yield _table(
            "[[piece.panel]]",
            (
                ("name", _text(panel.name)),
                ("at", _pair(panel.at)),
                ("cover", "true" if panel.cover else None),
            ),
        )


def _senses(sense: object) -> str:
    return _text(sense) if isinstance(sense, str) else _texts(sense)  # type: ignore[arg-type]


def _fold(fold: FoldDraft) -> Block:
    return _table(
        "[[piece.fold]]",
        (
            ("name", _maybe_text(fold.name)),
            ("sense", _senses(fold.sense)),
            ("points", _vertices(fold.points)),
            ("angle", _unless(fold.angle, "180")),
            ("still", "true" if fold.still else None),
        ),
    )


def _band(band: BandDraft) -> Block:
    return _table(
        "[[piece.band]]",
        (
            ("name", _maybe_text(band.name)),
            ("from", _pair(band.start)),
            ("to", _pair(band.end)),
            ("walk", _numbers(band.walk)),
            ("sense", None if band.sense == BandSense.ALTERNATE else _senses(band.sense)),
            ("first", None if band.first is None else _text(band.first)),
            ("angle", _unless(band.angle, "180")),
        ),
    )


def _shape(shape: ShapeDraft) -> list[tuple[str, str | None]]:
    match shape:
        case RectangleDraft():
            sides = (shape.width, shape.height)
            corner = tuple(shape.at)
            at_origin = all(expression(c).text == "0" for c in corner)
            return [
                ("rectangle", _numbers(sides if at_origin else (*corner, *sides))),
                ("round", _maybe_number(shape.round)),
            ]
        case CircleDraft():
            return [("circle", _numbers((*shape.at, shape.radius)))]
        case EllipseDraft():
            return [("ellipse", _numbers((*shape.at, shape.rx, shape.ry)))]
        case PolygonDraft():
            return [("polygon", _vertices(shape.points))]
        case PathDraft():
            return [("path", _vertices(shape.points))]


def _vertices(written: Iterable[object]) -> str:
    return _list(_vertex(item) for item in written)


def _vertex(written: object) -> str:
    if isinstance(written, ArcDraft):
        return _inline([("arc_to", _pair(written.arc_to)), ("through", _pair(written.through))])
    if isinstance(written, CurveDraft):
        control = _list(_pair(at) for at in written.control)
        return _inline([("curve_to", _pair(written.curve_to)), ("control", control)])
    if isinstance(written, VertexDraft) and written.round is not None:
        return _inline([("at", _pair(written.at)), ("round", _number(written.round))])
    return _pair(written.at if isinstance(written, VertexDraft) else written)


def _joint_end(end: JointEndDraft) -> str:
    return _inline(
        [
            ("panel", _text(end.panel)),
            ("face", _text(Face(end.face))),
            ("line", _line(end.line)),
        ]
    )


def _touch(touch: TouchDraft) -> Block:
    end = [("panel", _text(touch.to.panel)), ("line", _line(touch.to.line))]
    return _table(
        "[[pose.touch]]",
        (
            ("name", _maybe_text(touch.name)),
            ("panel", _text(touch.panel)),
            ("line", _line(touch.line)),
            ("to", _inline(end)),
        ),
    )


def _line(ends: Iterable[object]) -> str:
    return _list(_pair(end) for end in ends)


def measure_rows(draft: MeasureDraft) -> tuple[tuple[str, str], ...]:
    """The keys of a measure with their TOML texts."""
    rows = (
        ("number" if draft.count else "is", _maybe_number(draft.value)),
        ("keep", None if draft.keep is None else _flag(draft.keep)),
        ("least", _maybe_number(draft.least)),
        ("most", _maybe_number(draft.most)),
        ("step", _maybe_number(draft.step)),
        ("scale", None if draft.scale is None else _text(draft.scale)),
        ("about", _maybe_text(draft.about)),
    )
    return tuple((key, value) for key, value in rows if value is not None)


def _measure(draft: MeasureDraft) -> str:
    rows = measure_rows(draft)
    return _number(draft.value) if [key for key, _ in rows] == ["is"] else _inline(rows)


# Values.


def _number(written: object) -> str:
    text = expression(written).text
    return text if _BARE_NUMBER.fullmatch(text) and text != "-0" else _text(text)


def _maybe_number(written: object) -> str | None:
    return None if written is None else _number(written)


def _unless(written: object, usual: str) -> str | None:
    return None if expression(written).text == usual else _number(written)


def _numbers(written: Iterable[object]) -> str:
    return _list(_number(item) for item in written)


def _pair(written: object) -> str:
    return _numbers(written)  # type: ignore[arg-type]


def _maybe_pair(written: object) -> str | None:
    return None if written is None else _pair(written)


def _flag(value: bool) -> str:
    return "true" if value else "false"


def _text(value: object) -> str:
    return '"' + "".join(_escaped(character) for character in str(value)) + '"'


def _escaped(character: str) -> str:
    if character in ('"', "\\"):
        return "\\" + character
    if character in _SHORT_ESCAPES:
        return _SHORT_ESCAPES[character]
    # TOML forbids the control characters; the line separators of other
    # standards are escaped so that every editor counts the same lines.
    if ord(character) < 0x20 or ord(character) in (0x7F, 0x85, 0x2028, 0x2029):
        return f"\\u{ord(character):04X}"
    return character


def _maybe_text(value: str | None) -> str | None:
    return None if value is None else _text(value)


def _texts(values: Iterable[object]) -> str:
    return _list(_text(value) for value in values)


def _list(values: Iterable[str]) -> str:
    return "[" + ", ".join(values) + "]"


def _key(name: str) -> str:
    return name if _BARE_KEY.fullmatch(name) else _text(name)


def _inline(rows: _Rows) -> str:
    written = [f"{_key(key)} = {value}" for key, value in rows if value is not None]
    return "{ " + ", ".join(written) + " }" if written else "{}"


def _table(header: str | None, rows: _Rows) -> Block:
    written = tuple((_key(key), value) for key, value in rows if value is not None)
    return Block(header=header, rows=written)
