"""This package: folding."""
