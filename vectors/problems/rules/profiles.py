"""This module holds the rules of the stage: profiles."""

from __future__ import annotations

from .rule import Rule

RULES: tuple[Rule, ...] = ()
