"""This package holds measures: exact lengths, angles and counts, and the expressions of a design.

Lengths are mm, angles degrees.  Every tolerance of the project is in `exact`.
"""

from .exact import LARGEST_MM, Number
from .expression import Expression, Scope, expression_of, name_problem, no_caliper, parse
from .filling_in import filled_in
from .quantity import (
    Kind,
    Quantity,
    angle,
    as_angle,
    as_count,
    as_length,
    as_number,
    bare,
    length,
    number,
)
from .rulers import (
    USUAL_RULERS,
    Rounded,
    Ruler,
    Written,
    exact_text,
    on_ruler,
    round_to,
    written,
)
from .table import work_out
from .units import MM_PER_IN, Unit

__all__ = [
    "LARGEST_MM",
    "MM_PER_IN",
    "USUAL_RULERS",
    "Expression",
    "Kind",
    "Number",
    "Quantity",
    "Rounded",
    "Ruler",
    "Scope",
    "Unit",
    "Written",
    "angle",
    "as_angle",
    "as_count",
    "as_length",
    "as_number",
    "bare",
    "exact_text",
    "expression_of",
    "filled_in",
    "length",
    "name_problem",
    "no_caliper",
    "number",
    "on_ruler",
    "parse",
    "round_to",
    "work_out",
    "written",
]
