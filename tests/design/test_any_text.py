"""Whatever stands in a design file is read, or refused with file and line: never a traceback."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import parse_design, resolve
from foldwright.problems import DesignError

DESIGNS = Path(__file__).parents[1] / "designs"
LINES = (DESIGNS / "everything.toml").read_text(encoding="utf-8").splitlines()

# The lines of one key and its whole value.
ONE_LINERS = [
    index
    for index, line in enumerate(LINES)
    if "=" in line and not line.strip().startswith(("#", "outline = { path", "{", "["))
]
ODD = (
    "nan",
    "inf",
    "-inf",
    "1e400",
    "1e99",
    "-5",
    "0",
    "true",
    '""',
    '"#"',
    '"/"',
    '"1/0"',
    '"sqrt(0 - 1)"',
    '"caliper(none)"',
    '"width width"',
    '"\\u0000"',
    "[]",
    "{}",
    "[[]]",
    "[[1, 2]]",
    "[1, 2]",
    "[[0, 0], [0, 0], [0, 0]]",
    "{ is = 5 }",
    "{ is = {} }",
    "{ at = [1, 2], round = 1 }",
    "2020-01-01",
    "1_0.5",
    "'''a\nb'''",
)


@settings(max_examples=150)
@given(
    changes=st.lists(
        st.tuples(st.sampled_from(ONE_LINERS), st.sampled_from(ODD)), min_size=1, max_size=3
    ),
    gone=st.none() | st.sampled_from(range(3, len(LINES))),
)
def test_odd_values_are_refused_or_read(changes: list[tuple[int, str]], gone: int | None) -> None:
    lines = list(LINES)
    for index, value in changes:
        key = lines[index].partition("=")[0]
        lines[index] = f"{key}= {value}"
    if gone is not None:
        lines[gone] = ""
    try:
        design = parse_design("\n".join(lines), "odd.toml")
        resolve(design, variant="inch" if "inch" in design.variants else None)
    except DesignError as error:
        for problem in error.problems:
            assert problem.place.file == "odd.toml"
            assert 1 <= (problem.place.line or 0) <= len(lines) + 4
            assert problem.mend


@settings(max_examples=100)
@given(text=st.text(alphabet='[]{}=".,#\n abpiece01', max_size=60))
def test_any_text_is_refused(text: str) -> None:
    try:
        parse_design(f"format = 1\nname = 'x'\nunits = 'mm'\n{text}", "odd.toml")
    except DesignError as error:
        assert all(problem.place.file == "odd.toml" for problem in error.problems)
    else:
        raise AssertionError("a design without a piece was read")
