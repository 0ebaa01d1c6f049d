"""This module checks what can be judged before any length is known: names, references, amounts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from foldwright.profiles.paper import envelopes

from ..measures import name_problem
from ..problems import Place, Problem, problem
from ..sources import name_problem as file_name_problem
from .model import (
    ALL_PANELS,
    Design,
    EnvelopeDraft,
    PathDraft,
    PieceDraft,
    PolygonDraft,
    PoseDraft,
)
from .naming import (
    Part,
    Unfound,
    called,
    find_fold,
    find_panel,
    fold_names,
    names_of_folds,
    nearest,
    panel_names,
)
from .pattern import Pattern
from .pieces import Form
from .piecework import told
from .written import expression

MOST_POINTS = 200_000
"""More points than this in a design are refused: no card has them, a traced picture may."""

BUILT_IN_POSES = ("flat", "open", "closed")
"""The poses that every card has: the piece as cut, and the two states of the finished card."""

# The keys of a design file under which points are listed.
_POINT_KEYS = frozenset({"points", "polygon", "path", "walk", "hide_bridges"})


def count_points(table: Mapping[str, object], place: Place) -> Problem | None:
    """The problem of a file that holds too many points, found before any of them is read."""
    count = 0
    open_values: list[object] = [table]
    while open_values:
        value = open_values.pop()
        if isinstance(value, Mapping):
            for key, inner in value.items():
                if key in _POINT_KEYS and isinstance(inner, list):
                    count += len(inner)
                open_values.append(inner)
        elif isinstance(value, list):
            open_values.extend(item for item in value if isinstance(item, list | dict))
    return _too_many(count, place)


def draft_points(pieces: Iterable[PieceDraft], place: Place) -> Problem | None:
    """The same for pieces that were built in Python or by a pattern."""
    count = 0
    for piece in pieces:
        for shape in (piece.outline, *(opening.shape for opening in piece.openings)):
            if isinstance(shape, PolygonDraft | PathDraft):
                count += len(shape.points)
        count += sum(len(slit.points) for slit in piece.slits)
        count += sum(len(fold.points) for fold in piece.folds)
        count += sum(len(mark.points or ()) for mark in piece.marks)
        count += sum(len(edge) for edge in piece.hide_bridges)
        count += sum(2 * len(band.walk) + 2 for band in piece.bands)
    return _too_many(count, place)


def _too_many(count: int, place: Place) -> Problem | None:
    if count <= MOST_POINTS:
        return None
    return problem("too-many-points", place=place, count=count, most=MOST_POINTS)


def design_problems(
    design: Design, pattern: Pattern | None, variants: Collection[str]
) -> tuple[Problem, ...]:
    """What is wrong with the names and the references of a design, and of these variants of it.

    The pieces of a pattern are not known before its counts are, so references
    to them are checked when the design is resolved.
    """
    found: list[Problem] = []
    if pattern is not None and design.pieces:
        place = design.pieces[0].place
        found.append(problem("pieces-and-pattern", place=place, pattern=pattern.name))
    elif pattern is None and not design.pieces:
        found.append(problem("no-pieces", place=design.place))
    for name, draft in design.measures.items():
        wrong = name_problem(name, draft.place)
        if wrong is not None:
            found.append(wrong)
        if draft.value is None:
            found.append(
                problem(
                    "missing-key",
                    place=draft.place,
                    key=f'"{name}"',
                    name=name,
                    due="the measure's value",
                )
            )
    found.extend(_variant_problems(design, pattern, variants))
    file_name = file_name_problem(design.name, place=design.place)
    if file_name is not None:
        found.append(file_name)
    if pattern is None:
        found.extend(piece_problems(design, design.pieces))
    if design.envelope is not None:
        found.extend(_envelope_problems(design.envelope))
    return tuple(found)


def _envelope_problems(draft: EnvelopeDraft) -> Iterator[Problem]:
    """A key that the form of the envelope has no use for, and a name that no standard has."""
    for key, value, form in (
        ("standard", draft.standard, Form.STANDARD),
        ("corner", draft.corner, Form.SQUARE_BLANK),
    ):
        if value is not None and draft.form not in (form, Form.NONE):
            yield problem(
                "envelope-key-unused", place=draft.place, key=key, form=draft.form, of=form
            )
    if draft.standard is not None and draft.standard not in envelopes():
        hint = nearest(draft.standard, envelopes(), "standard envelope")
        yield problem("unknown-envelope", place=draft.place, name=draft.standard, hint=hint)


def _variant_problems(
    design: Design, pattern: Pattern | None, variants: Collection[str]
) -> Iterator[Problem]:
    measures = list(design.measures)
    if pattern is not None:
        measures += [parameter.name for parameter in pattern.parameters]
    for variant_name, variant in design.variants.items():
        if variant_name not in variants:
            continue
        for name, draft in variant.measures.items():
            if name not in measures:
                yield problem(
                    "variant-of-nothing",
                    place=draft.place,
                    variant=variant_name,
                    kind="measure",
                    name=name,
                    hint=nearest(name, measures, "measure"),
                )
        for name in variant.materials:
            if name not in design.stocks:
                yield problem(
                    "variant-of-nothing",
                    place=variant.place,
                    variant=variant_name,
                    kind="stock",
                    name=name,
                    hint=nearest(name, design.stocks, "stock"),
                )


def doubled_names(pieces: Sequence[PieceDraft]) -> tuple[Problem, ...]:
    """The names written twice; those that follow from a place in the file are left out."""
    named = [(piece.name, piece.place) for piece in pieces]
    found = list(_doubled("the design", "piece", named))
    for piece in pieces:
        for kind, parts in (
            ("slit", piece.slits),
            ("band", piece.bands),
            ("fold", piece.folds),
            ("opening", piece.openings),
            ("mark", piece.marks),
            ("panel", piece.panels),
        ):
            written = [(part.name, part.place) for part in parts if part.name is not None]
            found.extend(_doubled(f'piece "{piece.name}"', kind, written))
    return tuple(found)


def piece_problems(design: Design, pieces: Sequence[PieceDraft]) -> Iterator[Problem]:
    """What is wrong with the names in pieces, and with what refers to them."""
    yield from _doubled("the design", "piece", [(piece.name, piece.place) for piece in pieces])
    for piece in pieces:
        yield from _part_problems(piece)
    folds, panels = names_of_folds(pieces), panel_names(pieces)
    yield from _doubled("the design", "joint", _with_places("joint", design.joints))
    yield from _doubled("the design", "pose", [(pose.name, pose.place) for pose in design.poses])
    for joint in design.joints:
        yield from _panel_problems((joint.glue.panel,), panels, joint.glue.place)
        yield from _panel_problems((joint.to.panel,), panels, joint.to.place)
    yield from _doubled("the design", "mat", _with_places("mat", design.mats))
    yield from _doubled("the design", "extra", _with_places("extra", design.extras))
    for name, mat in zip(called("mat", design.mats), design.mats, strict=True):
        if mat.on not in panels:
            hint = nearest(mat.on, panels, "piece")
            yield problem("unknown-part", place=mat.place, kind="piece", name=mat.on, hint=hint)
        elif mat.panels != ALL_PANELS:
            references = [f"{mat.on}/{panel}" for panel in mat.panels]
            yield from _panel_problems(references, panels, mat.place)
            if not references:
                yield problem("mat-on-no-panel", place=mat.place, what=told("mat", name, mat.name))
    for extra in design.extras:
        yield from _panel_problems((extra.on,), panels, extra.place)
    for pose in design.poses:
        yield from _pose_problems(pose, folds, panels)


def _pose_problems(
    pose: PoseDraft, folds: Mapping[str, Collection[str]], panels: Mapping[str, Collection[str]]
) -> Iterator[Problem]:
    if pose.name in BUILT_IN_POSES:
        known = ", ".join(BUILT_IN_POSES)
        yield problem("built-in-pose", place=pose.place, name=pose.name, known=known)
    for reference, angle in pose.hold.items():
        try:
            find_fold(reference, folds)
        except Unfound as unfound:
            own = expression(angle).place
            place = pose.place if own.line is None else own
            yield problem(
                "unknown-part", place=place, kind="fold", name=reference, hint=unfound.hint
            )
    yield from _panel_problems(pose.on, panels, pose.place)
    named = _with_places("touch", pose.touches)
    yield from _doubled(f'pose "{pose.name}"', "touch", named)
    for touch in pose.touches:
        yield from _panel_problems((touch.panel,), panels, touch.place)
        yield from _panel_problems((touch.to.panel,), panels, touch.to.place)


def _panel_problems(
    references: Iterable[str], panels: Mapping[str, Collection[str]], place: Place
) -> Iterator[Problem]:
    for reference in references:
        try:
            find_panel(reference, panels)
        except Unfound as unfound:
            yield problem(
                "unknown-part", place=place, kind="panel", name=reference, hint=unfound.hint
            )


def _part_problems(piece: PieceDraft) -> Iterator[Problem]:
    owner = f'piece "{piece.name}"'
    wrong = file_name_problem(piece.name, place=piece.place)
    if wrong is not None:
        yield wrong
    names: dict[str, list[tuple[str, Place]]] = {
        "slit": _with_places("slit", piece.slits),
        "opening": _with_places("opening", piece.openings),
        "mark": _with_places("mark", piece.marks),
        "panel": [(panel.name, panel.place) for panel in piece.panels],
        "band": [(band.name, band.place) for band in piece.bands if band.name is not None],
        "fold": [(name, crease.place) for crease, lines in fold_names(piece) for name in lines],
    }
    doubled_band = list(_doubled(owner, "band", names["band"]))
    for kind, named in names.items():
        for name, place in named:
            if "#" in name or "/" in name or not name.strip():
                yield problem("unfit-part-name", place=place, kind=kind, name=name)
        # Two bands of one name have folds of one name: that is told once.
        if not (kind == "fold" and doubled_band):
            yield from _doubled(owner, kind, named)


def _with_places(kind: str, parts: Sequence[Part]) -> list[tuple[str, Place]]:
    places = (part.place for part in parts)
    return list(zip(called(kind, parts), places, strict=True))


def _doubled(owner: str, kind: str, named: Iterable[tuple[str, Place]]) -> Iterator[Problem]:
    seen: dict[str, Place] = {}
    for name, place in named:
        if name in seen:
            first = seen[name].line
            hint = f"rename it; the first one is on line {first}" if first else "rename one of them"
            yield problem("doubled-name", place=place, owner=owner, kind=kind, name=name, hint=hint)
        seen.setdefault(name, place)
