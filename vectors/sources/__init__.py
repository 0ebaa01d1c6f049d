"""This package: sources."""
