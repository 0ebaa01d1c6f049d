"""This package: patterns."""
