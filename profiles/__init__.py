"""This package holds what materials need: the model of a profile, its loader, the shipped files."""

if __name__ != "foldwright.profiles":
    raise ImportError(
        f"this folder is the package foldwright.profiles, not {__name__!r}: "
        "install it with 'pip install .' and 'import foldwright.profiles'"
    )
