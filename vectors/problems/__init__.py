"""This package says what is wrong: problems, places, rules, and the errors that carry them."""

from .collector import Collector
from .errors import (
    DesignError,
    FileError,
    FoldwrightError,
    PlugInError,
    ProfileError,
    ReadBackError,
)
from .likely import likely
from .problem import Place, Problem, Severity
from .rules import RULES, Rule, problem

__all__ = [
    "RULES",
    "Collector",
    "DesignError",
    "FileError",
    "FoldwrightError",
    "Place",
    "PlugInError",
    "Problem",
    "ProfileError",
    "ReadBackError",
    "Rule",
    "Severity",
    "likely",
    "problem",
]
