"""Plies at their heights: what moved lines give each fold, what is left, what is told."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from foldwright.design import read_design
from foldwright.panels import Division
from foldwright.panels.displaced import Displaced, NotTheSame
from foldwright.problems import Problem, Severity
from foldwright.problems.rules import allowances
from foldwright.profiles.load import load_material
from foldwright.profiles.model import Profile, Tool
from foldwright.proving import Proof, prove, prove_design, thickness_proof
from foldwright.proving.model import Kept, PieceThickness
from foldwright.proving.thickness_judging import clear_for
from foldwright.stacking.heights import Wrap, length_round
from foldwright.stacking.paper import Floats
from tests.conftest import resolved_of
from tests.proving.moved import CHANGES

DESIGNS = Path(__file__).parents[1] / "designs"
CALIPER = 0.23
RULES = {rule.code for rule in allowances.RULES}


def material(
    name: str = "card-200",
    *,
    tool: Tool = Tool.KNIFE,
    gives: float | None = None,
    tolerance: float | None = None,
    allowance: float | None = None,
) -> Profile:
    """A shipped material with other figures."""
    known = load_material(name)
    way = known.tools[tool]
    assert way.score is not None
    assert way.tolerance is not None
    score = way.score
    if allowance is not None:
        score = replace(score, allowance=replace(score.allowance, value=allowance))
    exact = way.tolerance
    if tolerance is not None:
        exact = replace(exact, value=tolerance)
    forgives = known.gives_mm
    if gives is not None:
        forgives = replace(forgives, value=gives)
    changed = replace(way, score=score, tolerance=exact)
    return replace(known, gives_mm=forgives, tools={**known.tools, tool: changed})


def proof_of(text: str, profile: Profile | None = None, tool: Tool | None = Tool.KNIFE) -> Proof:
    return prove(resolved_of(text), {"": profile or material()}, tool)


def told(proof: Proof) -> list[Problem]:
    return [one for one in proof.findings if one.rule in RULES]


def only(proof: Proof) -> PieceThickness:
    (one,) = proof.thickness
    return one


def strip(folds: str, *, long: int = 180, more: str = "") -> str:
    """A strip 50 mm wide along y, with folds as `60V 120V`."""
    text = f'[[piece]]\nname = "card"\noutline = {{ rectangle = [50, {long}] }}\n'
    for fold in folds.split():
        sense = {"V": "valley", "M": "mountain"}[fold[-1]]
        text += f'[[piece.fold]]\nname = "at {fold[:-1]}"\nsense = "{sense}"\n'
        text += f"points = [[0, {fold[:-1]}], [50, {fold[:-1]}]]\n"
    return text + more


def map_of(first: str = "V", second: str = "V") -> str:
    """A sheet folded in half at y = 60, then at x = 50: its outer fold wraps two plies."""
    word = {"V": "valley", "M": "mountain"}
    other = {"V": "mountain", "M": "valley"}
    return f"""
[[piece]]
name = "map"
outline = {{ rectangle = [100, 120] }}
[[piece.fold]]
name = "level"
sense = "{word[first]}"
points = [[0, 60], [50, 60], [100, 60]]
[[piece.fold]]
name = "lower"
sense = "{word[second]}"
points = [[50, 0], [50, 60]]
[[piece.fold]]
name = "upper"
sense = "{other[second]}"
points = [[50, 60], [50, 120]]
"""


# The first panel is longer than the second one, so the third must be folded in first.
LETTER = strip("70V 130V", long=190)


# What is worked in


def test_a_letter_grows_by_one_allowance() -> None:
    """Its first fold wraps the panel that is folded in first; the sheet has no loop."""
    one = only(proof_of(LETTER))
    assert one.wants_mm == pytest.approx((CALIPER, 0.0))
    assert one.gets_mm == pytest.approx(one.wants_mm)
    assert max(one.lacks_mm) == 0.0
    assert one.piece.outline.box() == pytest.approx((0.0, 0.0, 50.0, 190.23))
    assert one.piece.folds[0].path.box() == pytest.approx((0.0, 70.115, 50.0, 70.115))
    assert one.piece.folds[1].path.box() == pytest.approx((0.0, 130.23, 50.0, 130.23))
    assert one.kept is None


def test_the_design_itself_is_proved_without_thickness() -> None:
    proof = proof_of(LETTER)
    assert proof.resolved.pieces[0] is only(proof).designed
    assert proof.assembly.divisions["card"].piece.outline.box()[3] == 190.0
    assert proof.compiled_piece(proof.resolved.pieces[0]) is only(proof).piece
    assert proof.closed is not None
    assert proof.closed.height_mm == 70.0


def test_the_allowance_is_the_profiles() -> None:
    one = only(proof_of(LETTER, material(allowance=0.5)))
    assert max(one.wants_mm) == pytest.approx(0.5)
    none = only(proof_of(LETTER, material(allowance=0.0)))
    assert none.piece is none.designed
    assert max(none.wants_mm) == 0.0


def test_what_is_moved_is_told_with_the_new_size() -> None:
    (note,) = told(proof_of(LETTER))
    assert (note.rule, note.severity) == ("allowance-made", Severity.NOTE)
    assert note.measure_mm == pytest.approx(CALIPER)
    assert "takes up 0.23 mm round" in note.message
    assert "its blank is 50 mm by 190.23 mm, 50 mm by 190 mm in the design" in note.message


def test_a_zigzag_and_a_half_fold_are_left_alone() -> None:
    for folds in ("60V 120M", "90V"):
        proof = proof_of(strip(folds))
        assert told(proof) == []
        assert only(proof).piece is only(proof).designed


# Loops


def test_a_map_shares_what_its_outer_fold_lacks_with_the_other_three() -> None:
    """The outer fold wants 2a, of which a quarter is left at each of the four folds: a/2."""
    proof = proof_of(map_of())
    one = only(proof)
    assert max(one.wants_mm) == pytest.approx(2 * CALIPER)
    assert one.lacks_mm == pytest.approx([CALIPER / 2] * 4, abs=1e-9)
    assert one.gaps_mm == pytest.approx((CALIPER / 2,), abs=1e-9)
    assert proof.thickness_gap("map", 0) == pytest.approx(CALIPER / 2, abs=1e-9)
    assert proof.gap_mm == 0.0


@pytest.mark.parametrize(
    ("gives", "severity"),
    [
        (0.116, Severity.NOTE),
        (0.114, Severity.WARN),
        (0.058, Severity.WARN),
        (0.057, Severity.STOP),
    ],
)
def test_what_is_left_is_judged_by_what_the_material_gives(
    gives: float, severity: Severity
) -> None:
    """a/2 = 0.115 mm."""
    proof = proof_of(map_of(), material(gives=gives, tolerance=0.01))
    (found,) = [one for one in told(proof) if one.rule == "thickness-gap"]
    assert found.severity is severity
    assert found.measure_mm == pytest.approx(CALIPER / 2)
    assert found.piece == "map"
    assert proof.proven is (severity is not Severity.STOP)
    assert re.search(r"takes up 0\.46 mm round .* and gets 0\.345 mm", found.message)
    assert found.mend.startswith("use thinner stock")


def test_what_neither_tool_nor_material_feels_is_not_told() -> None:
    assert [one.rule for one in told(proof_of(map_of(), material(gives=0.2, tolerance=0.15)))] == [
        "allowance-made"
    ]


def test_steps_take_up_nothing() -> None:
    for name in ("card-200", "card-300"):
        for tool in Tool:
            proof = prove_design(
                read_design(DESIGNS / "harbour-steps.toml"), materials=[name], tool=tool
            )
            assert only(proof).gaps_mm == (0.0,)
            assert told(proof) == []


def test_the_twist_takes_up_half_of_what_its_sides_want() -> None:
    """Each side of the square wraps the two plies of a pleat, 2a; half of it fits in its loops."""
    for name, caliper in (("card-200", 0.23), ("card-300", 0.35)):
        proof = prove_design(
            read_design(DESIGNS / "square-twist.toml"), materials=[name], tool=Tool.KNIFE
        )
        one = only(proof)
        assert one.gaps_mm == pytest.approx([caliper] * 4, abs=1e-9)
        assert one.piece is not one.designed
        severity = Severity.NOTE if name == "card-200" else Severity.WARN
        gaps = [found for found in told(proof) if found.rule == "thickness-gap"]
        assert [found.severity for found in gaps] == [severity] * 4


# What a tool can place


def test_a_move_that_the_tool_cannot_place_is_not_made() -> None:
    proof = proof_of(LETTER, material(tolerance=0.25))
    one = only(proof)
    assert one.kept is Kept.SMALL
    assert one.piece is one.designed
    assert max(one.lacks_mm) == pytest.approx(CALIPER)
    assert one.moves_mm == pytest.approx(CALIPER)
    # The material gives 0.4 mm, so nobody feels it.
    assert told(proof) == []


def test_one_that_the_material_would_feel_is_told() -> None:
    (note,) = told(proof_of(LETTER, material(tolerance=0.25, gives=0.2)))
    assert (note.rule, note.severity) == ("allowance-too-small", Severity.NOTE)
    assert "less than the 0.25 mm within which the tool places them (" in note.message
    # The file and the line of the figure.
    assert re.search(r"card-200\.toml:\d+\)", note.message)
    # 0.2 mm are left where the panel ends (0.23^2 - 0.2^2) / 0.8 = 0.016 mm short of it.
    assert "end 0.1 mm short of it" in note.mend


def test_a_move_is_made_all_the_same_where_a_loop_would_feel_it() -> None:
    """The map wants 0.46 mm of its outer fold: unmoved that is more than 0.3 mm."""
    one = only(proof_of(map_of(), material(tolerance=0.8, gives=0.3)))
    assert one.kept is None
    assert one.gaps_mm == pytest.approx((CALIPER / 2,), abs=1e-9)
    calm = only(proof_of(map_of(), material(tolerance=0.8, gives=0.5)))
    assert calm.kept is Kept.SMALL
    assert calm.gaps_mm == pytest.approx((2 * CALIPER,), abs=1e-9)


def test_lines_that_would_make_other_panels_are_kept_and_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def crossing(division: Division, moves: Floats) -> Displaced:
        raise NotTheSame("two of its folds would cross")

    monkeypatch.setattr(thickness_proof, "displaced", crossing)
    proof = proof_of(map_of())
    one = only(proof)
    assert (one.kept, one.why) == (Kept.CHANGED, "two of its folds would cross")
    assert one.piece is one.designed
    assert one.gaps_mm == pytest.approx((2 * CALIPER,), abs=1e-9)
    kept, gap = told(proof)
    assert (kept.rule, kept.severity) == ("allowance-lines-kept", Severity.WARN)
    assert "they would not make the same panels (two of its folds would cross)" in kept.message
    assert (gap.rule, gap.severity) == ("thickness-gap", Severity.WARN)


# What is not judged


def test_without_a_tool_or_a_material_nothing_is_worked_in() -> None:
    for proof in (proof_of(map_of(), tool=None), prove(resolved_of(map_of()), {}, Tool.KNIFE)):
        assert proof.thickness == ()
        assert proof.thickness_gap("map", 0) is None
        assert told(proof) == []
        assert proof.compiled_piece(proof.resolved.pieces[0]) is proof.resolved.pieces[0]


def test_a_card_that_does_not_lie_flat_is_told() -> None:
    text = strip("60V 120V").replace(
        'name = "at 60"\nsense = "valley"', 'name = "at 60"\nsense = "valley"\nangle = 90'
    )
    proof = proof_of(text)
    assert proof.thickness == ()
    (note,) = told(proof)
    assert (note.rule, note.severity) == ("allowance-unknown", Severity.NOTE)
    assert "does not lie flat" in note.message


def test_a_ply_without_a_material_is_told() -> None:
    text = (
        strip("90V")
        + """
[[piece]]
name = "slip"
stock = "other"
outline = { rectangle = [40, 40] }
[[piece.panel]]
name = "slip"
at = [20, 20]
[[piece.fold]]
sense = "valley"
points = [[0, 39], [40, 39]]
[stock.card]
[stock.other]
[[joint]]
glue = { panel = "slip/slip", face = "back", line = [[0, 0], [0, 38]] }
to = { panel = "card/panel 1", face = "front", line = [[5, 10], [5, 48]] }
"""
    )
    text = text.replace('name = "card"\n', 'name = "card"\nstock = "card"\n')
    proof = prove(resolved_of(text), {"card": material(), "other": None}, Tool.KNIFE)
    assert proof.thickness == ()
    (note,) = told(proof)
    assert note.rule == "allowance-unknown"
    assert "not every ply has a material" in note.message


def test_loops_over_joints_are_not_judged_and_their_folds_stay() -> None:
    """The gutter of the card wraps the four plies of the sail, which is glued over it."""
    proof = prove_design(
        read_design(DESIGNS / "v-fold-popup.toml"), materials=["card-200"], tool=Tool.KNIFE
    )
    base, sail = proof.thickness
    assert (base.piece is base.designed, sail.piece is sail.designed) == (True, True)
    assert max(base.wants_mm) == pytest.approx(4 * CALIPER)
    assert base.tied == {0}
    assert sail.gaps_mm == (None,)
    (note,) = told(proof)
    assert (note.rule, note.severity) == ("allowance-glued", Severity.NOTE)
    assert note.measure_mm == pytest.approx(4 * CALIPER)
    assert "are not judged for thickness" in note.message


# Mends


@pytest.mark.parametrize(("height", "length"), [(0.46, 0.4), (0.92, 0.3), (2.0, 0.1)])
def test_the_room_that_is_asked_for_is_enough(height: float, length: float) -> None:
    wrap = Wrap(height_mm=height, clear_mm=0.0, panels=())
    assert length_round(height, clear_for(wrap, length)) == pytest.approx(length)
    assert clear_for(wrap, height * 2) == 0.0


def test_a_panel_that_ends_short_of_the_fold_as_asked_is_felt_no_more() -> None:
    profile = material(gives=0.1, tolerance=0.25)
    (note,) = told(proof_of(LETTER, profile))
    found = re.search(r"end ([\d.]+) mm short of it", note.mend)
    assert found is not None
    shorter = LETTER.replace("[50, 190]", f"[50, {190 - float(found[1])}]")
    proof = proof_of(shorter, profile)
    assert told(proof) == []
    assert 0.0 < max(only(proof).wants_mm) <= 0.1


# The same card, told otherwise


@pytest.mark.parametrize("change", sorted(CHANGES))
def test_the_same_map_told_otherwise(change: str) -> None:
    """Moved, turned, mirrored, renamed: what its folds want, get and lack stays the same."""
    design = resolved_of(map_of())
    one = only(prove(design, {"": material()}, Tool.KNIFE))
    other = only(prove(CHANGES[change](design), {"": material()}, Tool.KNIFE))
    assert sorted(other.wants_mm) == pytest.approx(sorted(one.wants_mm), abs=1e-9)
    assert sorted(other.gets_mm) == pytest.approx(sorted(one.gets_mm), abs=1e-9)
    assert other.gaps_mm == pytest.approx(one.gaps_mm, abs=1e-9)
    assert other.piece.outline.area == pytest.approx(one.piece.outline.area)


SLIP = """
[[piece]]
name = "slip"
outline = { rectangle = [40, 20] }
[[piece.panel]]
name = "left"
at = [10, 10]
[[piece.panel]]
name = "right"
at = [30, 10]
[[piece.fold]]
name = "slip fold"
sense = "valley"
points = [[20, 0], [20, 20]]
[[joint]]
glue = { panel = "slip/left", face = "back", line = [[0, 0], [0, 20]] }
to = { panel = "map/lower left", face = "front", line = [[30, 20], [30, 40]] }
[[joint]]
glue = { panel = "slip/right", face = "back", line = [[40, 0], [40, 20]] }
to = { panel = "map/lower right", face = "front", line = [[70, 20], [70, 40]] }
"""

NAMES = """
[[piece.panel]]
name = "lower left"
at = [25, 30]
[[piece.panel]]
name = "lower right"
at = [75, 30]
"""


def test_glue_over_a_fold_ties_all_that_goes_round_with_it() -> None:
    """A slip over the lower fold: each fold of the map is on a way round with it, or none is."""
    free = only(proof_of(map_of() + NAMES))
    assert free.tied == frozenset()
    assert free.gaps_mm == pytest.approx((CALIPER / 2,), abs=1e-9)
    proof = proof_of(map_of() + NAMES + SLIP)
    sheet, slip = proof.thickness
    assert sheet.tied == {0, 1, 2, 3}
    assert slip.tied == {0}
    assert sheet.piece is sheet.designed
    assert sheet.gaps_mm + slip.gaps_mm == (None, None)
    assert {one.rule for one in told(proof)} == {"allowance-glued"}
    # Glued on one panel only it ties nothing.
    one_joint = SLIP[: SLIP.rindex("[[joint]]")]
    loose = proof_of(map_of() + NAMES + one_joint)
    assert [one.tied for one in loose.thickness] == [frozenset(), frozenset()]
