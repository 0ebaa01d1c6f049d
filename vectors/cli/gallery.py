"""This module writes the page of patterns: each is proved and drawn, then all files or none."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from ..design import parse_design
from ..design.pattern import Pattern, misfit
from ..measures import Unit
from ..patterns import starter
from ..patterns.reckoned import reckoned
from ..pictures import carries_our_mark, svg_of
from ..pictures import pattern_page as page
from ..pictures.of_pattern import CLOSED, FLAT, PatternPicture, pattern_pictures
from ..plugins import Group, PlugIn, listed
from ..problems import FoldwrightError, Problem, problem
from ..proving import prove_design, verdict_sentence
from ..writers.files import Companion, write_companions
from ..writers.names import in_file_name
from .installed import checked
from .patience import told_if_long
from .tell import findings_json, tell_problems, write_json

PAGE = "index.html"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Shown:
    """A pattern on the page: what is said of it, and its pictures, each with its file's name."""

    entry: page.PageEntry
    pictures: tuple[tuple[str, PatternPicture], ...]


def write_gallery(options: Namespace, notes: Sequence[Problem]) -> int:
    """Write the page of all installed patterns into the folder that --html names.

    A pattern that is broken is told, and left out with a sentence on the page.
    """
    with told_if_long("still proving and drawing every pattern"):
        shown, left_out, troubles = _all_shown()
        files = [
            _companion(name, svg_of(one.picture), carries_our_mark)
            for pattern in shown
            for name, one in pattern.pictures
        ]
        text = page.pattern_page([one.entry for one in shown], left_out)
        files.insert(0, _companion(PAGE, text, page.carries_our_mark))
        paths = write_companions(files, Path(options.html), replace=options.replace)
    found = (*notes, *troubles)
    if options.json:
        write_json({"files": _files_json(shown, paths), "findings": findings_json(found)})
    else:
        patterns, pictures = _counted(len(shown), "pattern"), _counted(len(paths) - 1, "picture")
        print(f"wrote {paths[0]}: {patterns}, with {pictures} beside it", flush=True)
    tell_problems(found)
    return 0


def _all_shown() -> tuple[list[_Shown], list[str], list[Problem]]:
    shown: list[_Shown] = []
    left_out: list[str] = []
    troubles: list[Problem] = []
    taken: set[str] = set()
    for plug_in in listed(Group.PATTERNS):
        pattern, trouble = checked(plug_in, Pattern)
        if isinstance(pattern, Pattern):
            try:
                reason = misfit(pattern, plug_in.name)
                if reason is None:
                    shown.append(_shown(plug_in.name, pattern, _stem(plug_in.name, taken)))
                    continue
                trouble = (_not_shown(plug_in, reason),)
            except FoldwrightError as error:
                trouble = (_not_shown(plug_in, error.problems[0].message),)
            except Exception as fault:  # a plug-in may raise anything
                trouble = (_not_shown(plug_in, f"{type(fault).__name__}: {fault}"),)
        troubles += trouble
        left_out.append(trouble[0].message)
    return shown, left_out, troubles


def _not_shown(plug_in: PlugIn, reason: str) -> Problem:
    return problem(
        "pattern-not-shown",
        name=plug_in.name,
        reason=reason,
        distribution=plug_in.distribution,
    )


def _stem(name: str, taken: set[str]) -> str:
    """The start of the names of a pattern's files; another one's is never taken again."""
    stem = first = in_file_name(name)
    count = 1
    # Some file systems do not tell capitals apart.
    while stem.casefold() in taken:
        count += 1
        stem = f"{first}-{count}"
    taken.add(stem.casefold())
    return stem


def _shown(name: str, pattern: Pattern, stem: str) -> _Shown:
    """A pattern as it ships, in its metric edition, proved and drawn."""
    proof = prove_design(parse_design(starter(pattern, name, Unit.MM), f"pattern {name}"))
    pictures = tuple((f"{stem}-{one.shows}.svg", one) for one in pattern_pictures(proof))
    verdict = verdict_sentence(proof).removeprefix(f"{name}: ")
    entry = page.PageEntry(
        pattern=pattern,
        anchor=stem,
        metric=reckoned(pattern, Unit.MM),
        inch=reckoned(pattern, Unit.IN),
        verdict=f"{verdict[:1].upper()}{verdict[1:]}.",
        figures=tuple(
            page.PageFigure(
                file=file,
                caption=_caption(one),
                words=f"{one.picture.title}. {one.picture.about}",
            )
            for file, one in pictures
        ),
    )
    return _Shown(entry=entry, pictures=pictures)


def _caption(one: PatternPicture) -> str:
    if one.shows == FLAT:
        return "Flat, with its folds"
    return "Closed" if one.shows == CLOSED else f"In the pose {one.pose}"


def _companion(name: str, data: bytes, is_ours: Callable[[bytes], bool]) -> Companion:
    return Companion(name=name, data=data, read_back=partial(_read_back, data), is_ours=is_ours)


def _read_back(meant: bytes, found: bytes) -> str | None:
    return None if found == meant else "its bytes are not those that were written"


def _files_json(shown: Iterable[_Shown], paths: Sequence[Path]) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = [{"pattern": None, "shows": "page", "pose": None}]
    rows += [
        {"pattern": one.entry.pattern.name, "shows": picture.shows, "pose": picture.pose}
        for one in shown
        for _, picture in one.pictures
    ]
    return [{"path": str(path), **row} for path, row in zip(paths, rows, strict=True)]


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
