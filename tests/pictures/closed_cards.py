"""Proofs of cards that lie flat when they are closed, by their names."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path as FilePath

from foldwright.design import parse_design, read_design
from foldwright.pictures.closed import ClosedScene
from foldwright.pictures.closed_scene import closed_scene
from foldwright.proving import Proof, prove_design

DESIGNS = FilePath(__file__).parents[1] / "designs"
M, V = "mountain", "valley"


def head(name: str) -> str:
    return f'format = 1\nname = "{name}"\nunits = "mm"\n[stock.card]\nmaterial = "card-200"\n'


def strip(
    name: str, widths: Sequence[float], senses: Sequence[str], high: int, more: str = ""
) -> str:
    """A strip with upright folds between its panels."""
    text = head(name) + (
        '[[piece]]\nname = "strip"\nstock = "card"\n'
        f"outline = {{ rectangle = [{sum(widths)}, {high}] }}\n"
    )
    x = 0.0
    for number, (width, sense) in enumerate(zip(widths, senses, strict=False), 1):
        x += width
        text += (
            f'[[piece.fold]]\nname = "fold {number}"\nsense = "{sense}"\n'
            f"points = [[{x}, 0], [{x}, {high}]]\n{more}"
        )
    return text


def long_bench() -> str:
    """The glued step of the parallel box, so far from the gutter that it comes out of the card."""
    text = (DESIGNS / "parallel-box.toml").read_text(encoding="utf-8")
    return text.replace("is = 30", "is = 50").replace(
        'is = 50, about = "the', 'is = 80, about = "the'
    )


TEXTS = {
    "letter": strip("Letter", (100, 100, 98), (V, V), 210),
    "zigzag": strip("Zigzag", (60, 60, 60), (V, M), 90),
    "accordion-spills": strip("Accordion", (58, 64, 70, 64, 58), (V, M, V, M), 100),
    "crossed-flaps": strip("Crossed flaps", (60, 30, 60), (V, V), 60),
    "single-sheet": strip("Single sheet", (90,), (), 60),
    "scored": strip("Scored", (60, 60), (V,), 90, "still = true\n"),
    "bench-spills": long_bench(),
    "no-material": strip("No material", (60, 60), (V,), 90).replace('material = "card-200"', ""),
}
FILES = ("harbour-steps", "parallel-box", "v-fold-popup", "square-twist", "everything", "strut")
NAMES = (*TEXTS, *FILES)


def proof_of(name: str, variant: str | None = None) -> Proof:
    return _proved(name, variant)


@cache
def _proved(name: str, variant: str | None) -> Proof:
    design = parse_design(TEXTS[name]) if name in TEXTS else read_design(DESIGNS / f"{name}.toml")
    return prove_design(design, variant=variant)


def scene_of(name: str, variant: str | None = None) -> ClosedScene:
    return _made(name, variant)


@cache
def _made(name: str, variant: str | None) -> ClosedScene:
    return fresh(_proved(name, variant))


def fresh(proof: Proof) -> ClosedScene:
    assert proof.closed_stack is not None
    return closed_scene(proof, proof.closed_stack)
