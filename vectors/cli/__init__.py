"""This package is the command line, one small file a command: arguments in, tables out.

Importing it costs next to nothing: each command imports what it needs when it
runs, so that a help text comes at once.
"""

from .run import main

__all__ = ["main"]
