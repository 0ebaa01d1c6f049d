"""This module writes the picture of a proof into a file."""

from __future__ import annotations

from pathlib import Path

from ..pictures import carries_our_mark, flat_picture, svg_of
from ..proving import Proof
from ..sources.saving import check_target, replace_file

# As much of a file as is read to find our mark.
_HEAD_BYTES = 1024


def write_picture(proof: Proof, file: Path, *, replace: bool) -> None:
    """Draw a proof into an SVG file, all of it or nothing.

    A file that is there is replaced when it carries our mark, or with
    `replace`.  Raises FileError for whatever keeps it from being written.
    """
    check_target(file, replace=replace, is_ours=lambda: _is_ours(file))
    replace_file(file, svg_of(flat_picture(proof)))


def _is_ours(file: Path) -> bool:
    try:
        with file.open("rb") as stream:
            return carries_our_mark(stream.read(_HEAD_BYTES))
    except PermissionError:
        # What this user may not even read, this user did not write.
        return False
