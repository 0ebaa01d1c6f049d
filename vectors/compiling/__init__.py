"""This package: compiling."""
