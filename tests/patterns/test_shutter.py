"""The pattern shutter: three bands between two leaves, the middle one folded the other way.

By hand, with leaf l, pleat p, centre c, height h and bands h1 (lower), h2 (middle), h3 (upper):

Folds.  All three bands have them at l, l + p, l + p + c and l + 2 p + c, the sheet is
2 l + 2 p + c wide.  With the worked measures (45, 25, 70): 45, 70, 140, 165 on 210 mm.

Closure.  Turned by a, a band leads from leaf to leaf over p cos a + c + p cos a along the sheet
and p sin a - p sin a across it; with all senses changed the same, so both sides of a slit agree.

Closed.  a = 180: the right leaf begins c - 2 p after the left one ends, so the card is
2 l + c - 2 p wide: 2 * 45 + 70 - 50 = 110 mm.  A centre lies from l - p to l - p + c: p - l past
the leaf's outer edge where that is more than nothing.

Half open, a = 90: the middle centre p before the leaves, the two others p behind them.

Standing on its lower edges.  It touches the table along the leaves and the lower band, at 0 to
-p.  Before the leaves lie a centre at p and two pleats at p / 2 on the mean, over h2; behind them
the same over h1 + h3: the centre of mass lies (h1 + h3 - h2) (c p + p p) / (h (2 l + 2 p + c))
behind the leaves.

Freedom.  Twelve parallel folds, two loops of three conditions each in the plane, one fold held:
12 - 6 - 1 = 5.

The worked measures are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import Design, load_pattern, measures
from foldwright.design.model import PieceDraft
from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.problems import Severity
from foldwright.proving import Proof, prove_design

from .posed import extent, pose_of
from .shipped import closed_mm, proof, resolved, rules_of

IN = Fraction("25.4")
WORKED = {"height": 148, "pleat": 25, "leaf": 45, "centre": 70, "lower": 55, "upper": 55}


def sheet() -> PieceDraft:
    """The sheet as the pattern draws it."""
    (found,) = load_pattern("shutter").parts({}).pieces
    return found


def unlimited(piece: PieceDraft, **changed: int) -> Proof:
    """The proof of a sheet with measures that no limit holds."""
    design = Design(name="Sheet", measures=measures(**{**WORKED, **changed}), pieces=(piece,))
    return prove_design(design)


def rules(found: Proof) -> set[str]:
    """The rules that say more than a note."""
    return {one.rule for one in found.findings if one.severity is not Severity.NOTE}


class TestWhereEverythingLies:
    @pytest.mark.parametrize(
        ("units", "factor", "folds", "slits", "width"),
        [
            (Unit.MM, Fraction(1), (45, 70, 140, 165), (55, 93), 210),
            (
                Unit.IN,
                IN,
                (Fraction(7, 4), Fraction(11, 4), Fraction(11, 2), Fraction(13, 2)),
                (Fraction(17, 8), Fraction(29, 8)),
                Fraction(33, 4),
            ),
        ],
    )
    def test_folds_and_slits(
        self,
        units: Unit,
        factor: Fraction,
        folds: tuple[Fraction, ...],
        slits: tuple[Fraction, Fraction],
        width: Fraction,
    ) -> None:
        (piece,) = resolved("shutter", units).pieces
        by_name = {fold.name: fold for fold in piece.folds}
        for band, outer, inner in (
            ("lower", "mountain", "valley"),
            ("middle", "valley", "mountain"),
            ("upper", "mountain", "valley"),
        ):
            found = [by_name[f"{band} {i}"] for i in range(1, 5)]
            assert [one.path.start.x / factor for one in found] == list(folds)
            assert [str(*one.senses) for one in found] == [outer, inner, inner, outer]
        for cut, y in zip(piece.slits, slits, strict=True):
            ends = [(at.x / factor, at.y / factor) for at in (cut.path.start, cut.path.end)]
            assert ends == [(folds[0], y), (folds[3], y)]
        assert piece.outline.box()[2] == pytest.approx(float(width * factor))

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof("shutter")) == (110, 148)
        # 2 * 1 3/4 + 2 3/4 - 2 = 4 1/4 in by 5 3/4 in.
        assert closed_mm(proof("shutter", Unit.IN)) == pytest.approx((107.95, 146.05))


class TestHowItFolds:
    @given(
        st.fractions(8, 60, max_denominator=16),
        st.fractions(2, 60, max_denominator=16),
        st.fractions(1, 60, max_denominator=16),
    )
    @settings(max_examples=15)
    def test_the_closed_width(self, pleat: Fraction, over: Fraction, between: Fraction) -> None:
        leaf, centre = pleat + over, 2 * pleat + between
        found = proof("shutter", pleat=str(pleat), leaf=str(leaf), centre=str(centre))
        assert found.gap_mm == 0
        assert closed_mm(found)[0] == pytest.approx(float(2 * leaf + between))

    def test_half_open(self) -> None:
        # One centre lies level and still; only what lies between panels is told.
        found = proof("shutter")
        level = {
            panel: extent(found, "half open", panel, 2)
            for panel in (
                "left leaf",
                "right leaf",
                "lower centre",
                "middle centre",
                "upper centre",
            )
        }
        assert all(low == high for low, high in level.values())
        leaf = level["left leaf"][0]
        assert level["right leaf"][0] == leaf
        assert level["lower centre"][0] == level["upper centre"][0] == leaf - 25
        assert level["middle centre"][0] == leaf + 25

    def test_at_most_three_plies(self) -> None:
        found = proof("shutter")
        assert found.closed is not None
        # Three sheets of 0.23 mm, as the material says.
        assert found.closed.thickness_mm == pytest.approx(0.69)

    def test_five_freedoms(self) -> None:
        pose = pose_of(proof("shutter"), "half open")
        assert pose.freedom is not None
        assert pose.freedom.count == 5


class TestWhyTheLimits:
    def test_leaves_on_each_other_pass_through_on_the_way(self) -> None:
        # c < 2 p: 45 mm against two pleats of 25 mm.
        way = pose_of(unlimited(sheet(), centre=45), "closed").clashes_on_way
        assert way
        assert not pose_of(unlimited(sheet(), centre=51), "closed").clashes_on_way

    def test_a_centre_narrower_than_a_pleat_cannot_lie_flat(self) -> None:
        # c < p: the fold between centre and pleat would have the other leaf in it.
        assert "plies-blocked" in rules(unlimited(sheet(), centre=24))
        assert "plies-blocked" not in rules(unlimited(sheet(), centre=26))

    @pytest.mark.parametrize(("leaf", "width"), [(25, 70), (20, 70), (30, 80)])
    def test_a_leaf_narrower_than_a_pleat_leaves_the_centre_outside(
        self, leaf: int, width: int
    ) -> None:
        # From l >= p on the leaves make the width, 2 l + c - 2 p; below it the centre does, c.
        assert closed_mm(unlimited(sheet(), leaf=leaf))[0] == max(2 * leaf + 70 - 50, 70) == width

    @pytest.mark.parametrize("part", ["short", "long"])
    def test_slits_end_on_the_outermost_folds(self, part: str) -> None:
        by = "5 mm" if part == "short" else "-5 mm"
        whole = sheet()
        slits = tuple(
            replace(slit, points=[(f"leaf + {by}", y), (f"leaf + 2 * pleat + centre - {by}", y)])
            for slit, y in zip(whole.slits, ("lower", "height - upper"), strict=True)
        )
        # Whatever lies between a slit's end and the fold would have to turn both ways.
        assert rules(unlimited(replace(whole, slits=slits))) == {"slit-end-hangs"}
        assert not rules(unlimited(whole))

    def test_bands_at_other_places_do_not_close(self) -> None:
        whole = sheet()
        lower, middle, upper = whole.bands
        wider = replace(middle, walk=["pleat", "centre", "pleat - 1 mm"])
        found = unlimited(replace(whole, bands=(lower, wider, upper)))
        assert found.verdict is not Verdict.CLOSES

    def test_limits(self) -> None:
        resolved("shutter", leaf="27", centre="51")
        assert rules_of("shutter", leaf="26.9") == {("below-least", "leaf")}
        assert rules_of("shutter", centre="50.9") == {("below-least", "centre")}
        assert rules_of("shutter", pleat="35") == {("below-least", "centre")}
        # 148 mm less bands of 55 mm and 24 mm.
        assert rules_of("shutter", upper="69.1") == {("above-most", "upper")}
        assert rules_of("shutter", lower="11.9") >= {("below-least", "lower")}


def upright(found: Proof) -> list[float]:
    """What the half open card has to spare on its lower edges, nothing where it does not stand."""
    standing = pose_of(found, "half open").standing
    assert standing is not None
    (piece,) = found.pieces
    named = [
        ({piece.division.panels[index].name for _, index in one.touching}, one.margin_mm)
        for one in standing.others
    ]
    return [
        margin
        for names, margin in named
        if {"left leaf", "lower centre"} <= names and "upper centre" not in names
    ]


class TestHowItStands:
    @pytest.mark.parametrize("band", [50, 55, 60])
    def test_on_its_lower_edges(self, band: int) -> None:
        behind = (2 * band - (148 - 2 * band)) * (70 * 25 + 25 * 25) / (148 * 210)
        assert upright(proof("shutter", lower=str(band))) == [pytest.approx(behind)]

    def test_not_where_the_middle_band_is_higher_than_the_others(self) -> None:
        assert not upright(proof("shutter", lower="36"))
