"""This module finds files of earlier exports of a design that a new export leaves in the folder."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape
from pathlib import Path

from ..problems import Place, Problem, problem
from .protocol import OUR_MARK

# As much of a file as holds our mark and the title.
_HEAD_BYTES = 2048

_OUR_NAME = re.compile(r"\d{2,}-.+-(front|back)(-\w+)*\.\w+")


def earlier_files(folder: Path, design: str, written: Iterable[Path]) -> tuple[Problem, ...]:
    """A note with the files of `design` in `folder` that carry our mark and are not `written`.

    Nothing where there are none; a file that cannot be read is passed over.
    """
    fresh = {path.name for path in written}
    found = [
        path.name
        for path in sorted(folder.iterdir())
        if path.name not in fresh and _OUR_NAME.fullmatch(path.name) and _is_of(path, design)
    ]
    if not found:
        return ()
    return (problem("earlier-files", place=Place(file=str(folder)), files=", ".join(found)),)


def _is_of(path: Path, design: str) -> bool:
    if not path.is_file():
        return False
    try:
        with path.open("rb") as stream:
            head = stream.read(_HEAD_BYTES).decode(errors="replace")
    except OSError:
        return False
    titles = (f"{name}: " for name in (design, escape(design, quote=False), _in_dxf(design)))
    return OUR_MARK in head and any(title in head for title in titles)


def _in_dxf(text: str) -> str:
    from .dxf import ascii_text

    return ascii_text(text)
