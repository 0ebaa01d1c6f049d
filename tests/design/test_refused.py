"""Files that are refused: each says in comments what is wrong with it, above the line at fault.

    # problem: stop: the angle of fold 1 is 181 degrees; give 0 (flat) ... (fold-angle)
    angle = 181

A file is called by the rule that it breaks first of all.  `--update-goldens`
writes the comments anew; that each file still breaks its own rule is asserted
then too.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from foldwright.design import parse_design, resolve
from foldwright.problems import DesignError, Problem, Severity
from foldwright.problems.rules import designs

FOLDER = Path(__file__).parents[1] / "designs" / "refused"
FILES = sorted(FOLDER.glob("*.toml"))
MARK = "# problem: "

# Rules that no file can break: these are broken in other tests, named here.
ELSEWHERE = {
    "count-in-variant": "test_writing_out",
    "too-many-points": "test_reader",
    "not-a-pattern": "test_patterns",
    "pattern-fails": "test_patterns",
    "no-value": "test_resolve",
    "undeclared-stock": "test_resolve",
    "unused-measure": "test_usage",
    "extra-off-its-piece": "test_dressing",
    "unknown-sheet": "test_envelopes_and_sheets",
    "curve-fitted": "test_curves",
}


def problems_of(text: str, file: str) -> tuple[Problem, ...]:
    with pytest.raises(DesignError) as caught:
        resolve(parse_design(text, file))
    return caught.value.problems


def told(problem: Problem) -> str:
    return problem.line().removeprefix(problem.place.prefix() + ": ")


def expected(text: str) -> list[tuple[int, str]]:
    """The line and the words of each problem that the comments of a text announce.

    What is wrong with the file as a whole is told at its first line, even
    though comments stand there.
    """
    found: list[tuple[int, str]] = []
    waiting: list[str] = []
    top = True
    for number, line in enumerate(text.splitlines(), start=1):
        stripped = line.strip()
        if stripped.startswith(MARK):
            waiting.append(stripped.removeprefix(MARK))
        else:
            found += [(1 if top else number, words) for words in waiting]
            waiting, top = [], False
    return sorted(found)


def announced(text: str, file: str) -> str:
    """The text with the comments that announce what is wrong with it."""
    # What is told may itself name a line, so the comments are laid until they
    # stay as they are.
    for _ in range(3):
        lines = text.splitlines()
        at: dict[int, set[str]] = {}
        for problem in problems_of(text, file):
            at.setdefault(problem.place.line or 1, set()).add(told(problem))
        laid: list[str] = []
        for number, line in enumerate(lines, start=1):
            indent = line[: len(line) - len(line.lstrip())]
            laid += [f"{indent}{MARK}{words}" for words in sorted(at.get(number, ()))]
            if not line.strip().startswith(MARK):
                laid.append(line)
        text = "\n".join(laid) + "\n"
    return text


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_refused_file_is_told_all_that_is_wrong_line_by_line(
    file: Path, request: pytest.FixtureRequest
) -> None:
    text = file.read_text(encoding="utf-8")
    if request.config.getoption("--update-goldens"):
        text = announced(text, file.name)
        file.write_text(text, encoding="utf-8")
    problems = problems_of(text, file.name)
    assert file.stem in {problem.rule for problem in problems}
    assert expected(text) == sorted((p.place.line or 0, told(p)) for p in problems), (
        "look at what changed, then run pytest tests/design/test_refused.py --update-goldens"
    )
    assert {problem.place.file for problem in problems} == {file.name}


def test_every_rule_of_designs_is_broken_by_a_file_or_elsewhere() -> None:
    codes = {rule.code for rule in designs.RULES}
    files = {file.stem for file in FILES}
    assert codes - files == set(ELSEWHERE)
    for code, test in ELSEWHERE.items():
        assert f'"{code}"' in (Path(__file__).parent / f"{test}.py").read_text(encoding="utf-8")


def test_only_notes_do_not_stop() -> None:
    soft = {rule.code for rule in designs.RULES if rule.severity is not Severity.STOP}
    assert soft == {
        "undeclared-stock",
        "curve-fitted",
        "unused-measure",
        "extra-off-its-piece",
        "unknown-sheet",
    }
