"""This module holds the rules for plug-ins: writers, patterns and materials."""

from __future__ import annotations

from .rule import STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="unknown-plug-in",
        severity=STOP,
        text='there is no {kind} called "{name}"',
        mend="{hint}",
        about="A name that no installed distribution registers; the nearest known one is named.",
    ),
    Rule(
        code="doubled-plug-in",
        severity=STOP,
        text='two distributions register the {kind} "{name}": {first} and {second}',
        mend="uninstall one of the two",
        about="Which of two plug-ins of one name is used must never depend on luck.",
    ),
    Rule(
        code="broken-plug-in",
        severity=WARN,
        text='the {kind} "{name}" of {distribution} does not load: {reason}',
        mend="update or uninstall {distribution}",
        about="A plug-in that fails to import must not take the others down with it.",
    ),
)
