"""What a tool's small errors do to a card: closed forms, settings, rules, invariance."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from foldwright.design import load_pattern, parse_design
from foldwright.design.pieces import Resolved
from foldwright.folding import loops_of
from foldwright.measures import Unit
from foldwright.patterns import starter
from foldwright.problems import Problem, Severity
from foldwright.profiles.load import load_material
from foldwright.profiles.model import Confidence, Profile, Tool
from foldwright.proving import LoopTolerance, Proof, prove, prove_design
from foldwright.proving.sensitivity import meeting_places, sensitivity
from foldwright.proving.stacking_up import root_sum_square, worst_case
from foldwright.proving.tolerance import settings_of
from tests.proving.moved import CHANGES

DesignOf = Callable[[str], Resolved]


def card(walk: str = "[30, 35, 30, 35]", gutter: object = 105, top: int = 175) -> str:
    return f"""
        [[piece]]
        name = "base"
        outline = {{ rectangle = [148, 210] }}
        [[piece.slit]]
        points = [[50, 45], [50, {top}]]
        [[piece.band]]
        name = "steps"
        from = [50, {top}]
        to = [148, {top}]
        walk = {walk}
        sense = "alternate"
        first = "valley"
        [[piece.fold]]
        name = "gutter"
        sense = "valley"
        points = [[0, "{gutter}"], [50, "{gutter}"]]
        """


def material(
    tolerance: float,
    gives: float,
    tool: Tool = Tool.KNIFE,
    confidence: Confidence = Confidence.MEASURED,
) -> Profile:
    known = load_material("card-200")
    way = known.tools[tool]
    assert way.tolerance is not None
    measured = replace(way.tolerance, value=tolerance, confidence=Confidence.MEASURED)
    return replace(
        known,
        gives_mm=replace(known.gives_mm, value=gives, confidence=confidence),
        tools={tool: replace(way, tolerance=measured)},
    )


def proof_of(
    design: Resolved, tolerance: float = 0.2, gives: float = 0.4, tool: Tool = Tool.KNIFE
) -> Proof:
    return prove(design, {"": material(tolerance, gives, tool)}, tool)


def only(proof: Proof) -> LoopTolerance:
    (one,) = proof.tolerances
    return one


def said(proof: Proof) -> list[Problem]:
    return [one for one in proof.findings if one.rule.startswith("tolerance")]


@pytest.mark.parametrize(
    ("walk", "gutter", "lines"),
    [("[30, 35]", 140, 4), ("[30, 35, 30, 35]", 105, 6)],
    ids=["one step", "two steps"],
)
def test_lines_without_skew_add_up_to_twice_their_number(
    walk: str, gutter: int, lines: int, design_of: DesignOf
) -> None:
    """Closed form: n lines, each off by t in parallel, open a gap of 2 n t, or 2 t sqrt(n)."""
    text = card(walk, gutter)
    if lines == 4:
        text = text.replace("[50, 45]", "[50, 110]")
    proof = proof_of(design_of(text))
    (closing,) = proof.pieces[0].closings
    assert closing.gap_mm == 0.0
    for place in meeting_places(closing.loop):
        shifts: dict[object, tuple[float, float]] = {}
        for column in sensitivity(closing.loop, place.at):
            x, y = shifts.get(column.key, (0.0, 0.0))
            shifts[column.key] = (x + column.pull[0], y + column.pull[1])
        pulls = list(shifts.values())
        assert worst_case(pulls, 0.2) == pytest.approx(2 * lines * 0.2)
        assert root_sum_square(pulls, 0.2) == pytest.approx(2 * 0.2 * math.sqrt(lines))
    # Skew makes it worse, never better.
    assert only(proof).worst_mm >= 2 * lines * 0.2


def test_a_fence_setting_is_shared_by_hand_and_by_no_machine(design_of: DesignOf) -> None:
    """The gutter and the third fold lie on one line: at the fence they are one setting."""
    proof = proof_of(design_of(card("[30, 35, 35, 30]", 110)))
    (closing,) = proof.pieces[0].closings
    assert closing.gap_mm == 0.0
    by_hand = settings_of(closing.loop, Tool.HAND, proof.assembly)
    assert sorted(len(one.keys) for one in by_hand) == [1, 1, 1, 1, 2]
    # A fence holds the sheet along its whole edge.
    assert {one.stretch.length for one in by_hand} == {148.0}
    for machine in (Tool.KNIFE, Tool.LASER):
        settings = settings_of(closing.loop, machine, proof.assembly)
        assert [len(one.keys) for one in settings] == [1] * 6
        assert {float(one.stretch.length) for one in settings} == {98.0, 50.0}


def test_errors_of_one_setting_cancel_where_its_lines_pull_apart(design_of: DesignOf) -> None:
    def reckoned(gutter: int, walk: str) -> LoopTolerance:
        design = design_of(card(walk, gutter))
        return only(proof_of(design, tool=Tool.HAND))

    shared, apart = reckoned(110, "[30, 35, 35, 30]"), reckoned(105, "[30, 35, 30, 35]")
    # Four lines that err by themselves against six.
    assert shared.worst_mm < apart.worst_mm
    assert shared.rss_mm < apart.rss_mm


@pytest.mark.parametrize("tool", list(Tool))
def test_more_tolerance_opens_more(tool: Tool, design_of: DesignOf) -> None:
    design = design_of(card())
    before = None
    for tolerance in (0.05, 0.1, 0.4, 0.8):
        one = only(proof_of(design, tolerance, tool=tool))
        assert one.worst_mm >= one.rss_mm > 0.0
        assert one.matters_mm <= one.worst_mm
        if before is not None:
            # The design closes exactly, so both are in proportion to the tolerance.
            ratio = tolerance / before.tolerance_mm
            assert one.worst_mm == pytest.approx(before.worst_mm * ratio)
            assert one.rss_mm == pytest.approx(before.rss_mm * ratio)
            assert (one.largest_mm, one.largest_rss_mm) == pytest.approx(
                (before.largest_mm, before.largest_rss_mm)
            )
        before = one


def test_the_largest_tolerance_just_closes(design_of: DesignOf) -> None:
    design = design_of(card(gutter="105.1"))
    first = only(proof_of(design, gives=0.9))
    at_worst = only(proof_of(design, first.largest_mm, gives=0.9))
    assert at_worst.worst_mm == pytest.approx(0.9)
    as_a_rule = only(proof_of(design, first.largest_rss_mm, gives=0.9))
    assert as_a_rule.rss_mm == pytest.approx(0.9)


def test_the_gap_of_the_design_adds(design_of: DesignOf) -> None:
    """Without skew the errors point along the gap of a step card: both simply add."""
    exact, off = only(proof_of(design_of(card()))), only(proof_of(design_of(card(gutter="105.1"))))
    assert exact.worst_mm < off.worst_mm <= exact.worst_mm + 0.2 + 1e-9
    assert off.rss_mm > exact.rss_mm


@pytest.mark.parametrize("change", sorted(CHANGES))
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.LASER])
def test_the_same_card_told_otherwise(change: str, tool: Tool, design_of: DesignOf) -> None:
    design = design_of(card())
    one = only(proof_of(design, tool=tool))
    other = only(proof_of(CHANGES[change](design), tool=tool))
    for name in ("worst_mm", "rss_mm", "matters_mm", "largest_mm", "largest_rss_mm"):
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-9), name


@pytest.mark.parametrize("change", sorted(CHANGES))
def test_a_card_that_misses_is_told_alike_too(change: str, design_of: DesignOf) -> None:
    """Where the gap is cut open shifts the places by the gap: 0.2 mm on a card of 200 mm."""
    design = design_of(card(gutter="105.1"))
    one, other = only(proof_of(design)), only(proof_of(CHANGES[change](design)))
    assert (other.worst_mm, other.rss_mm) == pytest.approx((one.worst_mm, one.rss_mm), rel=4e-3)


@pytest.mark.parametrize("change", ["moved", "turned", "mirrored", "renamed", "reordered"])
def test_a_fence_does_not_care_where_the_sheet_lies(change: str, design_of: DesignOf) -> None:
    design = design_of(card())
    one = only(proof_of(design, tool=Tool.HAND))
    other = only(proof_of(CHANGES[change](design), tool=Tool.HAND))
    assert (other.worst_mm, other.rss_mm) == pytest.approx((one.worst_mm, one.rss_mm))


def test_severity_follows_the_two_sums(design_of: DesignOf) -> None:
    design = design_of(card())
    one = only(proof_of(design, 0.2))
    for gives, wanted in (
        (one.rss_mm * 0.99, Severity.WARN),
        (one.rss_mm * 1.01, Severity.NOTE),
        (one.worst_mm * 0.99, Severity.NOTE),
        (one.worst_mm * 1.01, None),
    ):
        proof = proof_of(design, 0.2, gives)
        assert [found.severity for found in said(proof)] == ([] if wanted is None else [wanted])
        # The design is right, however the tool errs.
        assert proof.proven


def test_what_rests_on_estimates_is_a_note_and_says_so(design_of: DesignOf) -> None:
    guessed = material(0.2, 0.4, confidence=Confidence.ESTIMATE)
    (note,) = said(prove(design_of(card()), {"": guessed}, Tool.KNIFE))
    assert (note.rule, note.severity) == ("tolerance-exceeds", Severity.NOTE)
    assert note.message.endswith("gives 0.4 mm (by figures that are estimates)")
    (warning,) = said(proof_of(design_of(card()), 0.2))
    assert warning.severity is Severity.WARN
    assert "estimates" not in warning.message


def test_of_many_loops_the_worst_one_speaks_and_the_others_are_counted() -> None:
    pattern = load_pattern("stepped-pop-up")
    design = parse_design(starter(pattern, "cake", Unit.MM, {"boxes": "3"}), "cake.toml")
    proof = prove_design(design, tool=Tool.KNIFE)
    assert len(proof.tolerances) == 6
    (note,) = said(proof)
    assert (note.rule, note.severity) == ("tolerance-exceeds", Severity.NOTE)
    assert note.message.endswith(", and 5 other loops ask for care too")
    assert note.measure_mm == max(one.rss_mm for one in proof.tolerances)
    # It helps, and is no verdict: where to take care, and what to try.
    assert "miss" not in note.message
    assert "and make one on a scrap first" in note.mend


def test_what_is_said_names_the_setting_and_the_tolerance_that_would_do(
    design_of: DesignOf,
) -> None:
    (warning,) = said(proof_of(design_of(card()), 0.2))
    assert warning.rule == "tolerance-exceeds"
    assert "knife" in warning.message
    assert "0.2 mm" in warning.message
    assert warning.mend.startswith("set fold ")
    assert "lines within 0.0" in warning.mend


def test_nothing_is_said_of_a_design_that_does_not_close_itself(design_of: DesignOf) -> None:
    proof = proof_of(design_of(card(gutter=107)))
    assert said(proof) == []
    assert only(proof).largest_mm == 0.0


def test_without_a_tool_or_a_material_nothing_is_reckoned(design_of: DesignOf) -> None:
    design = design_of(card())
    assert prove(design, {"": material(0.2, 0.4)}).tolerances == ()
    assert prove(design, {}, Tool.KNIFE).tolerances == ()


def test_a_tolerance_of_nothing_says_so(design_of: DesignOf) -> None:
    proof = proof_of(design_of(card()), 0.0)
    assert [(one.rule, one.severity) for one in said(proof)] == [("tolerance-zero", Severity.NOTE)]
    assert proof.tolerances == ()


@pytest.mark.parametrize(("tolerance", "odd"), [(147.9, False), (148.0, True), (500.0, True)])
def test_a_tolerance_larger_than_the_card_says_so(
    tolerance: float, odd: bool, design_of: DesignOf
) -> None:
    proof = proof_of(design_of(card()), tolerance)
    assert ([one.rule for one in said(proof)] == ["tolerance-too-large"]) is odd
    assert (proof.tolerances == ()) is odd


def test_loops_that_stand_up_are_not_judged(design_of: DesignOf) -> None:
    text = card().replace('name = "gutter"', 'name = "gutter"\n        angle = 90')
    proof = proof_of(design_of(text))
    assert [one.rule for one in said(proof)] == ["tolerance-flat-only"]
    assert proof.tolerances == ()


def test_joints_err_too_and_their_slack_is_given(design_of: DesignOf) -> None:
    from tests.proving.test_sensitivity import GLUED

    tight = only(proof_of(design_of(GLUED), gives=5.0))
    slack = only(
        proof_of(
            design_of(GLUED.replace('name = "second"', 'name = "second"\nslack = 2')), gives=5.0
        )
    )
    assert (tight.gives_mm, slack.gives_mm) == (5.0, 7.0)
    assert tight.worst_mm == pytest.approx(slack.worst_mm)
    assert slack.largest_mm > tight.largest_mm
    names = {
        step.label for loop in loops_of(proof_of(design_of(GLUED)).assembly) for step in loop.steps
    }
    assert {'joint "first"', 'joint "second"'} <= names
