"""This module holds the rules of the stage: commands."""

from __future__ import annotations

from .rule import Rule

RULES: tuple[Rule, ...] = ()
