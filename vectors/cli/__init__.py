"""This package: cli."""
