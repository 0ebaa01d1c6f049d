"""This package is the one table of rules: every problem's code, severity, wording and mend.

Messages, documentation and tests are made from it.  Each stage of the pipeline
has its rules in a module of its own; `RULES` joins them.
"""

from __future__ import annotations

from types import MappingProxyType

from ..problem import Place, Problem, Severity, spot
from . import (
    allowances,
    commands,
    compiling,
    designs,
    diagnosis,
    dressing,
    folding,
    gauging,
    limits,
    mats,
    measures,
    mending,
    mirroring,
    panels,
    plugins,
    poses,
    profiles,
    sets,
    sizes,
    sources,
    stacking,
    standing,
    tolerance,
    writing,
)
from .rule import Rule

# In the order in which a design passes the stages.
STAGES: tuple[tuple[str, tuple[Rule, ...]], ...] = (
    ("commands", commands.RULES),
    ("plug-ins", plugins.RULES),
    ("measures", measures.RULES),
    ("sources", sources.RULES),
    ("designs", designs.RULES),
    ("mirroring", mirroring.RULES),
    ("sizes", sizes.RULES),
    ("profiles", profiles.RULES),
    ("panels", panels.RULES),
    ("folding", folding.RULES),
    ("poses", poses.RULES),
    ("stacking", stacking.RULES),
    ("standing", standing.RULES),
    ("allowances", allowances.RULES),
    ("mending", mending.RULES),
    ("tolerance", tolerance.RULES),
    ("diagnosis", diagnosis.RULES),
    ("limits", limits.RULES),
    ("dressing", dressing.RULES),
    ("mats", mats.RULES),
    ("sets", sets.RULES),
    ("compiling", compiling.RULES),
    ("gauging", gauging.RULES),
    ("writing", writing.RULES),
)


def _join() -> dict[str, Rule]:
    table: dict[str, Rule] = {}
    for _, rules in STAGES:
        for rule in rules:
            if rule.code in table:
                raise ValueError(f"rule {rule.code} is in the table twice")
            table[rule.code] = rule
    return table


RULES = MappingProxyType(_join())


def problem(
    code: str,
    *,
    place: Place | None = None,
    piece: str | None = None,
    at: tuple[float, float] | None = None,
    measure_mm: float | None = None,
    severity: Severity | None = None,
    mend: str | None = None,
    **fields: object,
) -> Problem:
    """A problem by the rule `code`, its text and mend filled with `fields`.

    `at` is in mm in the piece's coordinates; text and mend may use it as
    `{spot}`, and the piece's name as `{piece}`.  `severity` and `mend` take the
    place of the rule's own where given.  Raises KeyError for a code that is not
    in the table or a field left out.
    """
    rule = RULES[code]
    fields.setdefault("piece", piece)
    if at is not None:
        fields.setdefault("spot", spot(*at))
    return Problem(
        rule=code,
        severity=rule.severity if severity is None else severity,
        message=rule.text.format_map(fields),
        mend=rule.mend.format_map(fields) if mend is None else mend,
        place=Place() if place is None else place,
        piece=piece,
        at=at,
        measure_mm=measure_mm,
    )


__all__ = ["RULES", "STAGES", "Rule", "problem"]
