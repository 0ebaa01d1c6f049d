"""This package: writers."""
