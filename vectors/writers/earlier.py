"""This module finds files of earlier exports of a design that a new export leaves in the folder."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape
from pathlib import Path

from ..problems import Place, Problem, problem
from .manifest import MANIFEST, UNPROVEN_MANIFEST, is_manifest_of
from .protocol import OUR_MARK

# As much of a file as holds our mark and the title.
_HEAD_BYTES = 2048

_OUR_NAME = re.compile(r"\d{2,}-.+-(front|back)(-\w+)*\.\w+")


def earlier_files(
    folder: Path, design: str, written: Iterable[Path], others: Iterable[str] = ()
) -> tuple[Problem, ...]:
    """A note with the files of `design` in `folder` that carry our mark and are not `written`.

    `others` are the starts of the names of files that were left alone on purpose.  Nothing where
    there are none; a file that cannot be read is passed over.
    """
    fresh = {path.name for path in written}
    left = tuple(others)
    found = [
        path.name
        for path in sorted(folder.iterdir())
        if path.name not in fresh
        and not (left and path.name.startswith(left))
        and (_OUR_NAME.fullmatch(path.name) or path.name in (MANIFEST, UNPROVEN_MANIFEST))
        and _is_of(path, design)
    ]
    if not found:
        return ()
    return (problem("earlier-files", place=Place(file=str(folder)), files=", ".join(found)),)


def _is_of(path: Path, design: str) -> bool:
    if not path.is_file():
        return False
    try:
        with path.open("rb") as stream:
            data = stream.read(_HEAD_BYTES)
    except OSError:
        return False
    if path.name in (MANIFEST, UNPROVEN_MANIFEST):
        return is_manifest_of(data, design)
    head = data.decode(errors="replace")
    titles = (f"{name}: " for name in (design, escape(design, quote=False), _in_dxf(design)))
    return OUR_MARK in head and any(title in head for title in titles)


def _in_dxf(text: str) -> str:
    from .dxf import ascii_text

    return ascii_text(text)
