"""This package: measures."""
