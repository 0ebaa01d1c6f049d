"""This module puts bytes on the disk: all of a file gets its name, or none of it does.

A file is first written beside its target under another name and settled there;
only then is it renamed over the target.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from ..problems import FileError, FoldwrightError, Place, problem

# What the operating system says, and the rule that tells it to a user.
_RULES = {
    errno.ENOSPC: "disk-full",
    errno.EDQUOT: "disk-full",
    errno.EACCES: "read-only",
    errno.EPERM: "read-only",
    errno.EROFS: "read-only",
    errno.ENOTDIR: "folder-is-a-file",
    errno.EISDIR: "target-is-a-folder",
}


@contextmanager
def told_as_problem(place: Path) -> Iterator[None]:
    """Turn what the operating system raises about `place` into a FileError of one line."""
    try:
        yield
    except FoldwrightError:
        raise
    except (OSError, ValueError) as reason:
        # ValueError: a zero byte in a path, or a letter that the file system's
        # encoding lacks.
        number = reason.errno if isinstance(reason, OSError) else None
        text = (reason.strerror if isinstance(reason, OSError) else None) or str(reason)
        raise FileError(
            problem(
                _RULES.get(number or 0, "cannot-write"),
                place=Place(file=str(place)),
                reason=text[:1].lower() + text[1:],
            )
        ) from reason


def check_not_read(target: Path, inputs: Iterable[Path]) -> None:
    """Raise FileError where a target is one of the files that were read, by whatever name."""
    with told_as_problem(target):
        for file in inputs:
            if _same(target, file):
                raise FileError(problem("target-was-read", place=Place(file=str(target))))


def _same(one: Path, other: Path) -> bool:
    try:
        # The name tells it before the file is there, the file where it has two names.
        return one.resolve() == other.resolve() or one.samefile(other)
    except (OSError, RuntimeError):
        # One of them is not there, or is a ring of links: nothing can be lost by it.
        return False


def check_target(target: Path, *, replace: bool, is_ours: Callable[[], bool]) -> None:
    """Raise FileError where a target may not be replaced.

    A folder, a link or a device never is; a file is where it carries our mark,
    which `is_ours` tells, or with `replace`.
    """
    place = Place(file=str(target))
    with told_as_problem(target):
        try:
            kind = target.lstat().st_mode
        except FileNotFoundError:
            return
        if stat.S_ISDIR(kind):
            raise FileError(problem("target-is-a-folder", place=place))
        if not stat.S_ISREG(kind):
            raise FileError(problem("target-is-a-link", place=place))
        if not replace and not is_ours():
            raise FileError(problem("target-not-ours", place=place))


def write_beside(target: Path, data: bytes, written: list[Path]) -> None:
    """Write a new file beside a target and append its path to `written`.

    It is appended before it is filled, so that whoever asked can remove it
    whatever happens.  Raises OSError.
    """
    # Plain `open` flags, not a private temporary file: what gets the target's
    # name must have the rights that any new file of the user has.
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    for attempt in range(1000):
        beside = target.with_name(f".{os.getpid()}-{attempt}-{len(written)}.part")
        try:
            handle = os.open(beside, flags, 0o666)
        except FileExistsError:
            continue
        written.append(beside)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            # A full disk may only show here.
            os.fsync(stream.fileno())
        return
    raise FileExistsError(errno.EEXIST, "too many unfinished files", str(beside))


def settle(folder: Path) -> None:
    """Put the new names of a folder on the disk, where the system can do that."""
    # The new names are on the disk only when the folder is; the files
    # themselves are safe by now.
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        return
    finally:
        os.close(handle)


def replace_file(target: Path, data: bytes) -> None:
    """Give a file these bytes, all of them or none.  Raises FileError."""
    written: list[Path] = []
    try:
        with told_as_problem(target):
            write_beside(target, data, written)
            written[-1].replace(target)
        written.pop()
    finally:
        for beside in written:
            beside.unlink(missing_ok=True)
    settle(target.parent)
