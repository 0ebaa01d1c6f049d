"""This package reads text files: tables with the lines they came from, by getters that collect."""

from .names import LONGEST_NAME, name_fault, name_problem
from .places import Comment, KeyPath
from .source import Source, key_text, parse_source, read_source
from .table import Origin, Table, shown

__all__ = [
    "LONGEST_NAME",
    "Comment",
    "KeyPath",
    "Origin",
    "Source",
    "Table",
    "key_text",
    "name_fault",
    "name_problem",
    "parse_source",
    "read_source",
    "shown",
]
