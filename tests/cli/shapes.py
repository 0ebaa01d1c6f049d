"""The shape of a JSON answer, written by hand: which keys there are and what each holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Maybe:
    """The shape, or null."""

    shape: Any


NUMBER = (int, float)

FINDING = {
    "rule": str,
    "severity": {"stop", "warn", "note"},
    "piece": Maybe(str),
    "at": Maybe([NUMBER]),
    "measure_mm": Maybe(NUMBER),
    "message": str,
    "mend": str,
}


def fits(value: Any, shape: Any, where: str = "answer") -> bool:
    """Whether a value has the shape; raises AssertionError that says where it has not.

    A dict asks for its keys (more are allowed), a list for items of one shape, a
    set for one of its words, a type or a tuple of types for an instance.
    """
    if isinstance(shape, Maybe):
        return value is None or fits(value, shape.shape, where)
    if isinstance(shape, dict):
        assert isinstance(value, dict), f"{where} is no object"
        missing = shape.keys() - value.keys()
        assert not missing, f"{where} lacks {sorted(missing)}"
        return all(fits(value[key], inner, f"{where}.{key}") for key, inner in shape.items())
    if isinstance(shape, list):
        assert isinstance(value, list), f"{where} is no list"
        return all(fits(item, shape[0], f"{where}[{i}]") for i, item in enumerate(value))
    if isinstance(shape, set):
        assert value in shape, f"{where} is {value!r}"
        return True
    assert isinstance(value, shape), f"{where} is {value!r}"
    # True is an int to Python, but no number to a reader of JSON.
    assert not isinstance(value, bool) or shape is bool, f"{where} is a flag"
    return True
