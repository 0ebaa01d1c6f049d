"""This module is the command export."""

from __future__ import annotations

from .arguments import add_json

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    add_json(parser)
