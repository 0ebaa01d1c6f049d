"""This package writes drawings into files, layer by layer, and reads every file back."""

from .compare import differences, path_difference
from .files import LayerTotal, WrittenFile, write_files
from .protocol import (
    DEFAULT_STYLE,
    OUR_MARK,
    ReadBack,
    ReadStroke,
    Style,
    WriteOptions,
    Writer,
    in_file_order,
)

__all__ = [
    "DEFAULT_STYLE",
    "OUR_MARK",
    "LayerTotal",
    "ReadBack",
    "ReadStroke",
    "Style",
    "WriteOptions",
    "Writer",
    "WrittenFile",
    "differences",
    "in_file_order",
    "path_difference",
    "write_files",
]
