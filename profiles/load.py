"""This module loads a material: a registered one by its name, a user's own file by its path."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from importlib.resources.abc import Traversable
from pathlib import Path

from foldwright.plugins import Group, find
from foldwright.problems import (
    Collector,
    DesignError,
    FoldwrightError,
    Place,
    PlugInError,
    ProfileError,
    Severity,
    problem,
)
from foldwright.sources import Source, Table, read_source

from .model import Profile
from .overlay import Overlay
from .read import read_profile


def load_material(name_or_path: str, *, beside: Path | None = None) -> Profile:
    """The material of that name, or in that file.

    What ends in `.toml` or has a slash in it is a path, from the folder `beside`
    or else from the current one; anything else is the name of an installed
    material.  A file's `based_on` starts from the folder of that file, and lends
    it everything but `made_of`: what a sheet is made of nobody knows but its owner.

    Raises PlugInError for an unknown name, FileError for a file that cannot be
    read, ProfileError for one that cannot be used, with everything that is
    wrong in it.
    """
    top, folder = _read(name_or_path, Path() if beside is None else beside)
    sources = [top]
    seen = {_identity(name_or_path, Path() if beside is None else beside): name_or_path}
    while (base := _base_of(sources[-1])) is not None:
        identity = _identity(base, folder)
        place = sources[-1].place("based_on")
        if identity in seen:
            chain = " - ".join(f'"{name}"' for name in (*seen.values(), base))
            raise ProfileError(problem("base-goes-round", place=place, chain=chain))
        seen[identity] = base
        source, folder = _read_base(base, folder, place)
        sources.append(source)
    return read_profile(Overlay(sources=tuple(sources)), own=_is_path(name_or_path))


def material_files(name_or_path: str, *, beside: Path | None = None) -> tuple[Path, ...]:
    """The files of its user that `load_material` reads for a material, as far as they are there."""
    files: list[Path] = []
    name: str | None = name_or_path
    folder = Path() if beside is None else beside
    while name is not None and _is_path(name) and folder / name not in files:
        files.append(folder / name)
        try:
            source, folder = _read(name, folder)
            name = _base_of(source)
        except FoldwrightError:
            # Loading it says what is wrong with it.
            break
    return tuple(files)


def _is_path(name_or_path: str) -> bool:
    return name_or_path.endswith(".toml") or "/" in name_or_path or "\\" in name_or_path


def _identity(name_or_path: str, folder: Path) -> Path | str:
    """The same for two ways of writing one file, or one name."""
    if not _is_path(name_or_path):
        return name_or_path
    try:
        return (folder / name_or_path).resolve()
    except (OSError, ValueError, RuntimeError):
        # A path that no system takes, or a ring of links: reading it will say so.
        return folder / name_or_path


def _base_of(source: Source) -> str | None:
    found = Collector()
    base = Table(source.table, source, found).text("based_on")
    found.raise_if_stopped(ProfileError)
    return base


def _read(name_or_path: str, folder: Path) -> tuple[Source, Path]:
    """The source of a material, and the folder from which its `based_on` starts."""
    try:
        if _is_path(name_or_path):
            path = folder / name_or_path
            return read_source(path), path.parent
        with _registered(name_or_path) as path:
            return read_source(path, shown_as=f"{name_or_path}.toml"), path.parent
    except DesignError as reason:
        # The text is not TOML: here that is a fault of the profile.
        raise ProfileError(reason.problems) from None


def _read_base(base: str, folder: Path, place: Place) -> tuple[Source, Path]:
    try:
        return _read(base, folder)
    except ProfileError:
        raise
    except FoldwrightError as reason:
        # Told where the base is named, not where it is missing.
        first = reason.problems[0]
        mend = f"{first.mend}, or a path that starts from this file's folder"
        raise ProfileError(
            problem(
                "unknown-base",
                place=place,
                base=base,
                reason=first.message,
                mend=mend if isinstance(reason, PlugInError) else None,
            )
        ) from None


@contextmanager
def _registered(name: str) -> Iterator[Path]:
    """The file of an installed material, for as long as the context lasts."""
    plug_in = find(Group.MATERIALS, name)
    if plug_in.problem is not None:
        # In a list of all materials a broken one is a warning; here it is the one
        # that was asked for.
        raise PlugInError(replace(plug_in.problem, severity=Severity.STOP))
    loaded = plug_in.loaded
    if isinstance(loaded, Path):
        yield loaded
    elif isinstance(loaded, Traversable):
        from importlib.resources import as_file

        with as_file(loaded) as path:
            yield path
    else:
        raise ProfileError(
            problem(
                "not-a-material-file",
                name=name,
                distribution=plug_in.distribution,
                found=f"a {type(loaded).__name__}",
            )
        )
