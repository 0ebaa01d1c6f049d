"""This module lets `python -m foldwright` do what `foldwright` does."""

import sys

from foldwright.cli import main

if __name__ == "__main__":
    sys.exit(main())
