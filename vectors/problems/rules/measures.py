"""This module holds the rules of the stage: measures."""

from __future__ import annotations

from .rule import Rule

RULES: tuple[Rule, ...] = ()
