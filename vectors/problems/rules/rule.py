"""This module holds what a rule is: one row of the table of rules."""

from __future__ import annotations

from dataclasses import dataclass

from ..problem import Severity


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """A kind of problem: its code, its usual severity, its text and its mend.

    `text` and `mend` may hold `{name}` fields that are filled in where the
    problem is found.  `about` is a sentence for the documentation: why the rule
    is there.
    """

    code: str
    severity: Severity
    text: str
    mend: str
    about: str


STOP, WARN, NOTE = Severity.STOP, Severity.WARN, Severity.NOTE
