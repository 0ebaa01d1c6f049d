"""This package: proving."""
