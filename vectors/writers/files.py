"""This module writes the files: all are read back before the first one gets its name.

Nothing is touched before every target is known to be free.  Each file is then
written beside its target under another name, read back from the disk by an
independent reader and compared with the drawing; only when all of them are
the same are they renamed.  Whatever goes wrong before that, an interrupt
included, leaves the folder as it was.
"""

from __future__ import annotations

import stat
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import NamedTuple

from ..drawing import Drawing, Layer, Side
from ..plugins import Group, load
from ..problems import (
    Collector,
    FileError,
    FoldwrightError,
    Place,
    PlugInError,
    ReadBackError,
    problem,
)
from ..sources.saving import (
    check_not_read,
    check_target,
    settle,
    told_as_problem,
    write_beside,
)
from .compare import differences
from .names import file_name, in_file_name
from .protocol import WriteOptions, Writer

# As much of a file as a writer is shown to find our mark.
_HEAD_BYTES = 1024


class LayerTotal(NamedTuple):
    """How many strokes a layer of a file holds, and their length in mm."""

    strokes: int
    length_mm: float


@dataclass(frozen=True, kw_only=True, slots=True)
class WrittenFile:
    """A file that was written and found to be the same as its drawing.

    `layers` has an entry for each of the three layers, empty ones too.
    """

    path: Path
    piece: str
    side: Side
    format: str
    width_mm: float
    height_mm: float
    layers: Mapping[Layer, LayerTotal]
    read_back: str = "same"


@dataclass(frozen=True, kw_only=True, slots=True)
class Companion:
    """A file that is no drawing and is written with them, all or none.

    `read_back` is given the bytes as they lie on the disk and says what is wrong with them,
    None where nothing is; `is_ours` is given the head of a file that is there already and
    tells whether it carries our mark.
    """

    name: str
    data: bytes
    read_back: Callable[[bytes], str | None]
    is_ours: Callable[[bytes], bool]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Job:
    drawing: Drawing
    side: Side
    writer: Writer
    target: Path
    data: bytes


@dataclass(frozen=True, kw_only=True, slots=True)
class _Due:
    """A file to write: its bytes, what reads them back, what knows our mark."""

    target: Path
    data: bytes
    read_back: Callable[[bytes], ReadBackError | tuple[()]]
    is_ours: Callable[[bytes], bool]


def write_files(
    drawings: Sequence[Drawing],
    folder: Path,
    *,
    formats: Sequence[str],
    options: WriteOptions,
    split_layers: bool = False,
    replace: bool = False,
    inputs: Sequence[Path] = (),
    numbers: Sequence[int] | None = None,
    among: int | None = None,
    companion: Callable[[tuple[WrittenFile, ...]], Companion] | None = None,
) -> tuple[WrittenFile, ...]:
    """Write each worked face of each drawing, in the order of making, once a format.

    With `split_layers` each layer that holds strokes has a file of its own, on
    the same page.  A face without strokes has no file.  The folder is made if
    it is missing.  A target that exists is replaced when it carries our mark,
    or with `replace`; one of the `inputs`, which the drawings come from, never is.
    `numbers` are the places of the drawings by order of making, from 1, `among` so many, where
    there are others beside them.  `companion` makes a file that tells of the others.

    Raises PlugInError for an unknown or faulty format, FileError for whatever
    keeps a file from being written, ReadBackError when one does not read back
    the same; no target is touched then.
    """
    writers = _writers(formats)
    _check_names(drawings)
    if numbers is None:
        numbers = range(1, len(drawings) + 1)
    placed = list(zip(numbers, drawings, strict=True))
    among = len(drawings) if among is None else among
    jobs = _jobs(placed, among, folder, writers, options, split_layers)
    told = tuple(_told(job) for job in jobs)
    due = [
        _Due(
            target=job.target,
            data=job.data,
            read_back=partial(_differences, job, options=options),
            is_ours=job.writer.carries_our_mark,
        )
        for job in jobs
    ]
    if companion is not None:
        due.append(_due(companion(told), folder))
    _write_into(folder, due, replace, inputs)
    return told


def write_companions(
    companions: Sequence[Companion], folder: Path, *, replace: bool = False
) -> tuple[Path, ...]:
    """Write files that are no drawings, all or none; their paths, in the order given.

    The folder is made if it is missing, and a target that exists is replaced when it carries
    our mark, or with `replace`.  Raises FileError and ReadBackError as `write_files` does.
    """
    due = [_due(one, folder) for one in companions]
    _write_into(folder, due, replace, ())
    return tuple(one.target for one in due)


def _write_into(folder: Path, due: Sequence[_Due], replace: bool, inputs: Sequence[Path]) -> None:
    _check_folder(folder)
    _check_targets(due, replace, inputs)
    made = _make_folder(folder)
    try:
        _write_all(due)
    except BaseException:
        _remove_folders(made)
        raise


def _due(one: Companion, folder: Path) -> _Due:
    target = folder / one.name

    def read_back(data: bytes) -> ReadBackError | tuple[()]:
        reason = one.read_back(data)
        if reason is None:
            return ()
        return ReadBackError(
            problem("read-back-form", place=Place(file=str(target)), reason=reason)
        )

    return _Due(target=target, data=one.data, read_back=read_back, is_ours=one.is_ours)


def _writers(formats: Sequence[str]) -> tuple[Writer, ...]:
    found: dict[str, Writer] = {}
    wrong = Collector()
    if not formats:
        wrong.add(problem("no-format"))
    for name in dict.fromkeys(formats):
        try:
            writer = load(Group.WRITERS, name)
        except PlugInError as error:
            wrong.extend(error)
            continue
        if isinstance(writer, type) or not isinstance(writer, Writer):
            wrong.add(problem("not-a-writer", name=name, missing=_missing(writer)))
            continue
        for other_name, other in found.items():
            if other.suffix == writer.suffix:
                wrong.add(
                    problem("same-suffix", first=other_name, second=name, suffix=writer.suffix)
                )
        found[name] = writer
    # A broken plug-in is only a warning in a list, but this file was asked for.
    if wrong.problems:
        raise PlugInError(wrong.problems)
    return tuple(found.values())


def _missing(plug_in: object) -> str:
    if isinstance(plug_in, type):
        return "an instance: its class is registered in place of one"
    parts = ("name", "suffix", "about", "largest_sweep", "write", "read_back", "carries_our_mark")
    return ", ".join(part for part in parts if not hasattr(plug_in, part))


def _check_names(drawings: Sequence[Drawing]) -> None:
    wrong = Collector()
    first: dict[str, Drawing] = {}
    for drawing in drawings:
        # Some file systems do not tell capitals apart.
        key = in_file_name(drawing.piece).casefold()
        if key in first:
            wrong.add(
                problem(
                    "same-file-name",
                    piece=drawing.piece,
                    first=first[key].piece,
                    second=drawing.piece,
                    name=in_file_name(drawing.piece),
                )
            )
        first.setdefault(key, drawing)
    wrong.raise_if_stopped(FileError)


def _jobs(
    drawings: Sequence[tuple[int, Drawing]],
    among: int,
    folder: Path,
    writers: Sequence[Writer],
    options: WriteOptions,
    split_layers: bool,
) -> tuple[_Job, ...]:
    # Every byte is made before the disk is touched.
    jobs: list[_Job] = []
    wrong = Collector()
    for number, drawing in drawings:
        for side in drawing.sides:
            for layer in Layer if split_layers else (None,):
                part = _part(drawing, side, layer)
                if not part.strokes:
                    continue
                for writer in writers:
                    name = file_name(drawing, number, among, side, layer, writer.suffix)
                    try:
                        data = _written(writer, part, options)
                    except FileError as error:
                        wrong.extend(error)
                        continue
                    jobs.append(
                        _Job(
                            drawing=part,
                            side=side,
                            writer=writer,
                            target=folder / name,
                            data=data,
                        )
                    )
    wrong.raise_if_stopped(FileError)
    return tuple(jobs)


def _part(drawing: Drawing, side: Side, layer: Layer | None) -> Drawing:
    strokes = tuple(
        stroke
        for stroke in drawing.strokes
        if stroke.side is side and (layer is None or stroke.layer is layer)
    )
    # The front is what anyone expects; a back side says that the paper is turned.
    title = drawing.title if side is Side.FRONT else f"{drawing.title}, {side}"
    return replace(drawing, strokes=strokes, title=title)


def _written(writer: Writer, drawing: Drawing, options: WriteOptions) -> bytes:
    try:
        return writer.write(drawing, options)
    except FoldwrightError:
        raise
    except Exception as reason:  # a plug-in may raise anything
        raise PlugInError(
            problem("writer-fails", name=writer.name, reason=f"{type(reason).__name__}: {reason}")
        ) from reason


def _check_folder(folder: Path) -> None:
    # The folder, or the nearest one above it that exists, must be a folder.
    for place in (folder, *folder.parents):
        with told_as_problem(place):
            kind: int | None
            try:
                kind = place.stat().st_mode
            except (FileNotFoundError, NotADirectoryError):
                # A link that leads nowhere is in the way all the same.
                kind = place.lstat().st_mode if place.is_symlink() else None
            if kind is None:
                continue
            if not stat.S_ISDIR(kind):
                raise FileError(problem("folder-is-a-file", place=Place(file=str(place))))
            return


def _check_targets(due: Sequence[_Due], replace: bool, inputs: Sequence[Path]) -> None:
    wrong = Collector()
    for job in due:
        try:
            check_not_read(job.target, inputs)
            check_target(job.target, replace=replace, is_ours=partial(_is_ours, job))
        except FileError as error:
            wrong.extend(error)
    wrong.raise_if_stopped(FileError)


def _is_ours(due: _Due) -> bool:
    try:
        with due.target.open("rb") as stream:
            return due.is_ours(stream.read(_HEAD_BYTES))
    except PermissionError:
        # What this user may not even read, this user did not write.
        return False


def _make_folder(folder: Path) -> list[Path]:
    # The folders that were made, the outermost first.
    made: list[Path] = []
    missing = [place for place in (folder, *folder.parents) if not place.exists()]
    try:
        for place in reversed(missing):
            with told_as_problem(place):
                place.mkdir(exist_ok=True)
            made.append(place)
    except BaseException:
        _remove_folders(made)
        raise
    return made


def _remove_folders(made: Sequence[Path]) -> None:
    for place in reversed(made):
        try:
            place.rmdir()
        except OSError:
            # Something else lies in it by now, so it stays.
            return


def _write_all(due: Sequence[_Due]) -> None:
    written: list[Path] = []
    try:
        wrong = Collector()
        for job in due:
            with told_as_problem(job.target):
                write_beside(job.target, job.data, written)
                data = written[-1].read_bytes()
            wrong.extend(job.read_back(data))
        wrong.raise_if_stopped(ReadBackError)
        for job, beside in zip(due, tuple(written), strict=True):
            with told_as_problem(job.target):
                beside.replace(job.target)
            written.remove(beside)
    finally:
        for beside in written:
            beside.unlink(missing_ok=True)
    for job in due[:1]:
        settle(job.target.parent)


def _differences(job: _Job, data: bytes, *, options: WriteOptions) -> ReadBackError | tuple[()]:
    place = Place(file=str(job.target))
    try:
        read = job.writer.read_back(data, options)
        found = differences(job.drawing, read, largest_sweep=job.writer.largest_sweep)
    except ReadBackError as error:
        found = error.problems
    except Exception as reason:  # a plug-in may raise anything
        found = (problem("read-back-form", reason=f"{type(reason).__name__}: {reason}"),)
    if not found:
        return ()
    return ReadBackError(tuple(one.in_file(str(place.file)) for one in found))


def _told(job: _Job) -> WrittenFile:
    drawing = job.drawing
    return WrittenFile(
        path=job.target,
        piece=drawing.piece,
        side=job.side,
        format=job.writer.name,
        width_mm=drawing.width,
        height_mm=drawing.height,
        layers={
            layer: LayerTotal(len(drawing.on(layer)), drawing.length(layer)) for layer in Layer
        },
    )
