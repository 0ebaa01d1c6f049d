"""The pattern half-fold: one fold, and a closed card as high as its longer page.

By hand: the two pages are fold_y and length - fold_y high, and lie on each other shut; so
the closed card is as wide as the sheet and max(fold_y, length - fold_y) high.
"""

from __future__ import annotations

from .shipped import closed_mm, proof, rules_of


class TestHalfFold:
    def test_the_fold_and_the_closed_size(self) -> None:
        found = proof("half-fold")
        (piece,) = found.resolved.pieces
        (fold,) = piece.folds
        assert [v.at.floats() for v in fold.path.vertices] == [(0, 105), (148, 105)]
        assert closed_mm(found) == (148, 105)

    def test_a_short_page(self) -> None:
        # The closed card is as high as the longer page.
        assert closed_mm(proof("half-fold", fold_y="70")) == (148, 140)

    def test_the_pages_are_named(self) -> None:
        (piece,) = proof("half-fold").pieces
        assert {panel.name for panel in piece.division.panels} == {"lower page", "upper page"}

    def test_limits(self) -> None:
        assert rules_of("half-fold", fold_y="9") == {("below-least", "fold_y")}
        assert rules_of("half-fold", fold_y="201") == {("above-most", "fold_y")}
        assert rules_of("half-fold", width="29") == {("below-least", "width")}
