"""What holds of every shipped pattern: it says all of itself, and proves whatever a person sets.

Each pattern's own closed forms stand in the test of its name beside this one.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.cli import main
from foldwright.design import Design, Pattern, load_pattern
from foldwright.design.editions import edition_of, worked_out
from foldwright.design.model import Scale
from foldwright.folding import Verdict
from foldwright.measures import (
    Kind,
    Ruler,
    Scope,
    Unit,
    as_length,
    exact_text,
    no_caliper,
    on_ruler,
    parse,
)
from foldwright.measures.exact import MEETS_MM
from foldwright.problems import DesignError, Severity
from foldwright.proving import Proof

from .shipped import SHIPPED, closed_mm, edition, proof, resolved, shipped
from .within_limits import at_limits, within_limits

# Lines that meet within so much are one, so a closed card may be off by as much.
SAME_MM = MEETS_MM

# How a card stands follows from its paper and its proportions; a person is told, and may lay it
# on its back.
HOW_IT_STANDS = {"stands-barely", "tips"}


def stated_mm(name: str, units: Unit, values: dict[str, str]) -> tuple[float, float]:
    """The closed size that the pattern states, worked out."""
    pattern = load_pattern(name)
    edition = edition_of(Design(name=name, units=units, pattern=name), pattern, None, values)
    measures = worked_out(edition, no_caliper, ())
    counts = {
        p.name: int(measures[p.name].value) for p in pattern.parameters if p.kind is Kind.NUMBER
    }
    scope = Scope.of(units, measures)
    width, height = (
        float(as_length(parse(str(side)).evaluate(scope), units, parse(str(side)).place, "side"))
        for side in pattern.parts(counts).closed
    )
    return width, height


def assert_good(found: Proof, name: str, units: Unit, values: dict[str, str]) -> None:
    """It proves without a word against it, reaches its poses, and closes as it states."""
    told = [
        one
        for one in found.findings
        if one.rule == "bends-on-the-way"
        or (one.severity is not Severity.NOTE and one.rule not in HOW_IT_STANDS)
    ]
    assert not told, (values, told)
    assert found.proven
    assert found.verdict is Verdict.CLOSES
    assert closed_mm(found) == pytest.approx(stated_mm(name, units, values), abs=SAME_MM)
    for pose in found.poses:
        if pose.asked is not None or pose.name == "closed":
            assert pose.folded.reached, (values, pose.name)
            assert not pose.clashes, (values, pose.name)


def test_there_are_twenty_five() -> None:
    assert len(SHIPPED) >= 25


@shipped
class TestWhatItCarries:
    def test_it_says_what_it_is(self, name: str) -> None:
        pattern = load_pattern(name)
        assert isinstance(pattern, Pattern)
        assert pattern.name == name
        for text in (pattern.about, pattern.closure):
            assert text[0].isupper()
            assert text.endswith(".")
        assert pattern.about.count(". ") + 1 >= 2
        assert pattern.materials

    def test_no_piece_is_called_as_a_finding_begins(self, name: str) -> None:
        # "stop: 1 panel" in the list of pieces would look like the end of it all.
        names = {one.name for one in resolved(name).pieces} | {
            one.name for one in resolved(name).joints
        }
        assert not names & {str(one) for one in Severity}

    def test_each_measure_is_documented_and_limited(self, name: str) -> None:
        pattern = load_pattern(name)
        assert pattern.parameters
        for parameter in pattern.parameters:
            assert len(parameter.meaning.split()) > 2
            assert parameter.least is not None, parameter.name
            assert parameter.most is not None, parameter.name
            assert isinstance(parameter.scale, Scale)

    def test_limits_hold_for_both_editions(self, name: str) -> None:
        # A bare length in a limit would be a millimetre in one and an inch in the other.
        for parameter in load_pattern(name).parameters:
            for limit in (parameter.least, parameter.most):
                assert limit is not None
                if parameter.kind is Kind.LENGTH and not parse(limit).names:
                    assert limit.endswith(" mm")


@edition
class TestEditions:
    def test_every_default_is_a_line_of_the_ruler(self, name: str, units: Unit) -> None:
        # Native, not converted: whole or half millimetres, or sixteenths of an inch.
        pattern = load_pattern(name)
        found = resolved(name, units).measures
        rulers = (
            (Ruler.MM, Ruler.HALF_MM) if units is Unit.MM else (Ruler.EIGHTH_IN, Ruler.SIXTEENTH_IN)
        )
        for parameter in pattern.parameters:
            if parameter.kind is Kind.LENGTH and not parse(parameter.default(units)).names:
                value = found[parameter.name]
                assert on_ruler(value, among=rulers), f"{parameter.name} {exact_text(value, units)}"

    def test_every_default_lies_on_its_step(self, name: str, units: Unit) -> None:
        # Or whoever moves a measure by its step never comes back to where it began.
        found = resolved(name, units).measures
        for parameter in load_pattern(name).parameters:
            step = parameter.step(units)
            if step is None:
                continue
            moved = parse(step).evaluate(Scope.of(units, {}))
            by = as_length(moved, units) if parameter.kind is Kind.LENGTH else moved.value
            lines = Fraction(found[parameter.name]) / Fraction(by)
            assert lines.denominator == 1, (parameter.name, found[parameter.name], step)

    def test_it_proves_as_it_is(self, name: str, units: Unit) -> None:
        assert_good(proof(name, units), name, units, {})

    def test_both_editions_are_one_card(self, name: str, units: Unit) -> None:
        # The lengths of a piece follow from the measures alone: a bare number among them
        # would be a millimetre in one edition and an inch in the other.
        other = Unit.IN if units is Unit.MM else Unit.MM
        here = resolved(name, units)
        kinds = {p.name: p.kind for p in load_pattern(name).parameters}
        ends = {Kind.LENGTH: " mm", Kind.ANGLE: " deg"}
        values = {
            key: f"{value}{ends.get(kinds[key], '')}"
            for key, value in here.measures.items()
            if isinstance(value, Fraction | int)
        }
        there = resolved(name, other, **values)
        assert [one.outline for one in there.pieces] == [one.outline for one in here.pieces]
        assert [[fold.path for fold in one.folds] for one in there.pieces] == [
            [fold.path for fold in one.folds] for one in here.pieces
        ]

    def test_at_each_limit_it_proves_and_beyond_it_is_refused(self, name: str, units: Unit) -> None:
        for limit in at_limits(name, units):
            found = proof(name, units, **limit.values)
            assert_good(found, name, units, dict(limit.values))
            with pytest.raises(DesignError) as caught:
                resolved(name, units, **limit.beyond)
            told = " ".join(f"{one.message} {one.mend}" for one in caught.value.problems)
            assert f'"{limit.parameter}"' in told, limit


@shipped
class TestWithinLimits:
    @given(st.data())
    @settings(max_examples=15)
    def test_it_proves_whatever_is_set(self, name: str, data: st.DataObject) -> None:
        units = data.draw(st.sampled_from(Unit), label="units")
        values = data.draw(within_limits(name, units), label="values")
        assert_good(proof(name, units, **values), name, units, values)


@shipped
@given(st.data())
@settings(max_examples=2)
def test_whatever_is_set_is_exported_and_read_back(
    name: str, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    folder: Path = tmp_path_factory.mktemp(name)
    values = data.draw(within_limits(name, near=True), label="values")
    file = folder / "card.toml"
    given_values = [text for key, value in values.items() for text in ("--set", f"{key}={value}")]
    assert main(["new", name, "--to", str(file), *given_values]) == 0
    # Every file is read back before it gets its name; a difference would be a status of 1.
    assert main(["export", str(file), "--tool", "knife", "--to", str(folder / "files")]) == 0
