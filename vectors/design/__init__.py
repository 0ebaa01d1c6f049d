"""This package: design."""
