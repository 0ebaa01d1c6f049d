"""This package holds the shipped material files."""
