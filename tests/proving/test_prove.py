"""The proof as a whole: verdict, severities, closed size, what is noted."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path

import pytest

from foldwright.design import parse_design, read_design
from foldwright.design.pieces import Resolved
from foldwright.folding import Verdict
from foldwright.problems import DesignError, PlugInError, ProfileError, Severity
from foldwright.profiles.load import load_material
from foldwright.profiles.model import Profile, Tool
from foldwright.proving import Proof, bubble_rise, prove, prove_design

DesignOf = Callable[[str], Resolved]
HARBOUR = Path(__file__).parents[1] / "designs" / "harbour-steps.toml"

CARD = """
    [[piece]]
    name = "base"
    stock = "card"
    outline = {{ rectangle = [148, 210] }}
    [[piece.slit]]
    points = [[50, 45], [50, 175]]
    [[piece.band]]
    name = "steps"
    from = [50, 175]
    to = [148, 175]
    walk = [30, 35, 30, 35]
    sense = "alternate"
    first = "valley"
    [[piece.fold]]
    name = "gutter"
    sense = "valley"
    points = [[0, {gutter}], [50, {gutter}]]
    """


def rules(proof: Proof) -> list[str]:
    return [one.rule for one in proof.findings]


def test_the_shipped_design_closes_exactly_in_both_editions() -> None:
    design = read_design(HARBOUR)
    proof = prove_design(design)
    assert (proof.verdict, proof.gap_mm, proof.proven) == (Verdict.CLOSES, 0.0, True)
    assert proof.closed is not None
    assert (proof.closed.width_mm, proof.closed.height_mm) == (148.0, 105.0)
    assert proof.materials == ("card-200",)
    inch = prove_design(design, variant="inch")
    assert inch.closed is not None
    # 5 3/4 by 4 1/8 in: the inch edition is native, not a conversion.
    assert (inch.closed.width_mm, inch.closed.height_mm) == (146.05, 104.775)
    assert inch.resolved.units == "in"


def test_one_changed_measure_is_seen_and_mended() -> None:
    proof = prove_design(read_design(HARBOUR), overrides={"spine_y": "107"})
    assert proof.verdict is Verdict.BUCKLES
    assert proof.gap_mm == pytest.approx(4)
    assert not proof.proven
    (finding,) = [one for one in proof.findings if one.severity is Severity.STOP]
    assert finding.place.file is not None
    assert finding.place.line is not None
    assert "moves" not in finding.message
    assert any((mend.moves[0].line, mend.moves[0].to_mm) == ("gutter", 105) for mend in proof.mends)


@pytest.mark.parametrize("share", [0.25, 1.0, 1.01, 1.9, 2.0, 2.01])
def test_severity_follows_what_the_material_forgives(share: float, design_of: DesignOf) -> None:
    profile = load_material("card-200")
    gives = Fraction(profile.gives_mm.value)
    # The gutter off by d leaves a gap of 2 d.
    off = gives * Fraction(share) / 2
    gutter = f'"105 + {off.numerator} / {off.denominator}"'
    proof = prove(design_of(CARD.format(gutter=gutter)), {"card": profile})
    (finding,) = [one for one in proof.findings if one.rule in ("buckles", "gapes")]
    wanted = Severity.NOTE if share <= 1.0 else Severity.WARN if share <= 2.0 else Severity.STOP
    assert finding.severity is wanted
    assert finding.measure_mm == pytest.approx(float(gives) * share)
    assert proof.proven is (wanted is not Severity.STOP)


def test_without_a_material_nothing_is_forgiven(design_of: DesignOf) -> None:
    proof = prove(design_of(CARD.format(gutter=105.001)), {})
    assert not proof.proven
    assert "material-unknown" in rules(proof)


def test_thickness_and_mass_need_a_material(design_of: DesignOf) -> None:
    """Six plies lie on each other in the steps: 6 x 0.23 mm; 148 x 210 mm of 200 g/m2."""
    card = design_of(CARD.format(gutter=105))
    known = prove(card, {"card": load_material("card-200")}).closed
    bare = prove(card, {}).closed
    assert known is not None
    assert bare is not None
    assert (known.thickness_mm, known.mass_g) == (1.38, 6.216)
    assert (bare.thickness_mm, bare.mass_g) == (None, None)


def test_the_rise_of_a_bubble_is_that_of_a_shallow_parabola() -> None:
    """sqrt(3 l e / 8), against the length of the parabola itself."""
    length, excess = 100.0, 1.0
    rise = bubble_rise(length, excess)
    assert rise == pytest.approx(math.sqrt(37.5))
    span = length - excess

    # y = 4 h x (span - x) / span^2, its length by Simpson's rule.
    def slope(x: float) -> float:
        return 4 * rise * (span - 2 * x) / span**2

    count = 1000
    step = span / count
    total = sum(
        (1 if i in (0, count) else 4 if i % 2 else 2) * math.hypot(1.0, slope(i * step))
        for i in range(count + 1)
    )
    assert total * step / 3 == pytest.approx(length, rel=5e-4)


def test_a_piece_that_cannot_be_divided_is_unproven_and_has_no_size(design_of: DesignOf) -> None:
    proof = prove(
        design_of(
            CARD.format(gutter=105)
            + """
    [[piece.fold]]
    sense = "valley"
    points = [[10, 10], [20, 10]]
    """
        ),
        {},
    )
    assert (proof.verdict, proof.closed, proof.mends) == (Verdict.UNPROVEN, None, ())
    assert "fold-end-hangs" in rules(proof)


def test_the_verdict_is_the_worst_loops(design_of: DesignOf) -> None:
    two = CARD.format(gutter=105) + CARD.format(gutter=106).replace('"base"', '"second"')
    proof = prove(design_of(two), {})
    assert proof.verdict is Verdict.BUCKLES
    assert proof.gap_mm == 2.0
    assert "first-piece-measured" in rules(proof)
    assert [one.name for one in proof.pieces] == ["base", "second"]
    assert {mend.piece for mend in proof.mends} == {"second"}


def test_a_sheet_without_loops_closes(design_of: DesignOf) -> None:
    proof = prove(
        design_of(
            """
            [[piece]]
            name = "tent"
            outline = { rectangle = [100, 150] }
            [[piece.fold]]
            sense = "valley"
            points = [[0, 70], [100, 70]]
            """
        ),
        {},
    )
    assert (proof.verdict, proof.gap_mm) == (Verdict.CLOSES, 0.0)
    assert proof.closed is not None
    assert (proof.closed.width_mm, proof.closed.height_mm) == (100, 80)


def test_nothing_that_proof_says_depends_on_where_the_piece_lies(design_of: DesignOf) -> None:
    """Moved, turned a quarter, mirrored with its senses kept: the same gap and verdict."""

    def card(place: Callable[[Fraction, Fraction], tuple[Fraction, Fraction]]) -> Proof:
        def at(x: int, y: int) -> str:
            u, v = place(Fraction(x), Fraction(y))
            return f'["{u}", "{v}"]'

        lines = [("gutter", (0, 107), (50, 107), "valley")]
        for i, y in enumerate((175, 145, 110, 80, 45)):
            sense = "mountain" if i % 2 else "valley"
            lines.append((f"steps {i + 1}", (50, y), (148, y), sense))
        folds = "".join(
            f'[[piece.fold]]\nname = "{name}"\nsense = "{sense}"\n'
            f"points = [{at(*start)}, {at(*end)}]\n"
            for name, start, end, sense in lines
        )
        corners = ", ".join(at(*corner) for corner in ((0, 0), (148, 0), (148, 210), (0, 210)))
        return prove(
            design_of(
                f'[[piece]]\nname = "base"\noutline = {{ polygon = [{corners}] }}\n'
                f"[[piece.slit]]\npoints = [{at(50, 45)}, {at(50, 175)}]\n{folds}"
            ),
            {},
        )

    three, four, five = Fraction(3), Fraction(4), Fraction(5)
    ways: Mapping[str, Callable[[Fraction, Fraction], tuple[Fraction, Fraction]]] = {
        "as it is": lambda x, y: (x, y),
        "moved": lambda x, y: (x + 7, y + Fraction(1, 3)),
        "a quarter turned": lambda x, y: (300 - y, x),
        "turned by the 3-4-5 angle": lambda x, y: (
            (four * x - three * y) / five + 300,
            (three * x + four * y) / five,
        ),
        "mirrored": lambda x, y: (200 - x, y),
    }
    for name, way in ways.items():
        proof = card(way)
        assert proof.verdict is Verdict.BUCKLES, name
        assert proof.gap_mm == pytest.approx(4.0, abs=1e-12), name
        assert {mend.moves[0].line for mend in proof.mends} == {
            "gutter",
            *(f"steps {i}" for i in range(1, 6)),
        }, name


def test_materials_are_chosen_by_stock() -> None:
    text = """
format = 1
name = "two papers"
units = "mm"
[stock.card]
material = "card-200"
[stock.inlay]
material = "text-120"
[[piece]]
name = "base"
stock = "card"
outline = { rectangle = ["100 + caliper(inlay)", 100] }
[[piece]]
name = "inside"
stock = "inlay"
outline = { rectangle = [90, 90] }
[variant.heavy]
stock = { card = { material = "card-300" } }
"""
    design = parse_design(text)
    names: Callable[[Mapping[str, Profile | None]], dict[str, str | None]] = lambda profiles: {  # noqa: E731
        stock: None if profile is None else profile.name
        for stock, profile in profiles.items()
        if stock
    }
    assert names(prove_design(design).profiles) == {"card": "card-200", "inlay": "text-120"}
    one = prove_design(design, materials=["inlay=card-300"])
    assert names(one.profiles) == {"card": "card-200", "inlay": "card-300"}
    every = prove_design(design, materials=["text-120", "card=card-300"])
    assert names(every.profiles) == {"card": "card-300", "inlay": "text-120"}
    heavy = prove_design(design, variant="heavy")
    assert names(heavy.profiles) == {"card": "card-300", "inlay": "text-120"}
    thin = load_material("text-120").caliper.value
    assert heavy.closed is not None
    assert heavy.closed.width_mm == pytest.approx(100 + thin)
    with pytest.raises(DesignError, match=r'"crad".*did you mean "card"') as caught:
        prove_design(design, materials=["crad=card-200"])
    assert caught.value.problems[0].rule == "unknown-stock"
    with pytest.raises(PlugInError, match="card-2000"):
        prove_design(design, materials=["card-2000"])


def test_a_tool_that_the_material_refuses_is_refused_at_once(tmp_path: Path) -> None:
    unknown = tmp_path / "mystery.toml"
    unknown.write_text(
        'name = "mystery sheet"\nbased_on = "card-200"\nmade_of = "unknown"\n', encoding="utf-8"
    )
    design = read_design(HARBOUR)
    assert prove_design(design, materials=[str(unknown)], tool=Tool.KNIFE).proven
    with pytest.raises(ProfileError):
        prove_design(design, materials=[str(unknown)], tool=Tool.LASER)


def test_a_card_that_closes_and_does_not_prove_is_never_headed_good(design_of: DesignOf) -> None:
    from foldwright.proving import verdict_sentence

    cross = """
        [[piece]]
        name = "map"
        outline = {{ rectangle = [100, 100] }}
        [[piece.fold]]
        sense = "valley"
        points = [[0, 50], [100, 50]]
        [[piece.fold]]
        sense = {senses}
        points = [[50, 0], [50, 50], [50, 100]]
        """
    bad = prove(design_of(cross.format(senses='"valley"')), {})
    assert (bad.verdict, bad.proven) == (Verdict.CLOSES, False)
    # Four valleys at a vertex: what is told of the folds is told of the plies too.
    assert "plies-blocked" in rules(bad)
    assert verdict_sentence(bad).endswith("but it does not prove: 2 stops, see the findings")
    good = prove(design_of(cross.format(senses='["valley", "mountain"]')), {})
    assert good.proven
    assert verdict_sentence(good).endswith("closes exactly")


def test_a_material_that_is_not_to_be_had_is_told_where_it_is_named() -> None:
    text = """
format = 1
name = "two papers"
units = "mm"
[stock.card]
material = "card-20"
[stock.inlay]
material = "no-such.toml"
[[piece]]
name = "base"
stock = "card"
outline = { rectangle = [100, 100] }
[variant.thick.stock.inlay]
material = "card-3"
"""
    design = parse_design(text)
    with pytest.raises(PlugInError) as caught:
        prove_design(design)
    assert [(one.place.file, one.place.line) for one in caught.value.problems] == [
        ("design.toml", 6),
        ("design.toml", 8),
    ]
    assert "no-such.toml" in caught.value.problems[1].message
    with pytest.raises(PlugInError) as caught:
        prove_design(design, variant="thick", materials=["card=card-2"])
    assert [one.place.prefix() for one in caught.value.problems] == [
        "--material card=card-2",
        "design.toml:14",
    ]
