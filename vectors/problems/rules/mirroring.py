"""This module holds the rules for mirrored editions."""

from __future__ import annotations

from .rule import NOTE, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="texts-turned-round",
        severity=NOTE,
        text='mirrored, the texts on a line of "{name}" read {texts} from left to right',
        mend="where they are words of one sentence, write them into the file in the opposite "
        "order; where each is for what it stands on, leave them so",
        about="Letters are not mirrored, but the places of texts are.",
    ),
)
