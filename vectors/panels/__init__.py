"""This package: panels."""
