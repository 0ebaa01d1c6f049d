"""A design that is written out has the parts of its pattern, and no count any more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

import pytest

from foldwright import plugins
from foldwright.design import (
    BandDraft,
    Design,
    FoldDraft,
    JointDraft,
    JointEndDraft,
    Parameter,
    PatternParts,
    PieceDraft,
    PoseDraft,
    RectangleDraft,
    Scale,
    Sense,
    parse_design,
    resolve,
    write_design,
    written_out,
)
from foldwright.measures import Kind
from foldwright.problems import DesignError

HEAD = 'format = 1\nname = "Pebble"\nunits = "in"\npattern = "pleats"\n'


@dataclass(frozen=True)
class Pleats:
    """A pattern of the tests: a strip in pleats, with a cap where there are two of them or more."""

    name: str = "pleats"
    about: str = "A strip in pleats.  It is for the tests."
    closure: str = "Nothing has to meet."
    materials: Mapping[str, str] = field(default_factory=dict)
    parameters: tuple[Parameter, ...] = (
        Parameter(
            name="width", meaning="width of the strip", default_mm="40", default_in="1 1/2",
            least="10 mm", most="200 mm",
        ),
        Parameter(
            name="depth", meaning="depth of one pleat", default_mm="10", default_in="3/8",
            least="6 mm", most="width / count", scale=Scale.RULER, step_in="1/8 in",
        ),
        Parameter(
            name="count", meaning="how many pleats", kind=Kind.NUMBER, default_mm="3",
            default_in="3", least="1", most="9",
        ),
        Parameter(
            name="turn", meaning="how far each is turned", kind=Kind.ANGLE, default_mm="180",
            default_in="90",
        ),
        Parameter(
            name="cap", meaning="height of the cap", default_mm="5", default_in="1/4",
            least="2 mm", most="depth",
        ),
    )  # fmt: skip

    def parts(self, counts: Mapping[str, int]) -> PatternParts:
        capped = counts["count"] > 1
        strip = PieceDraft(
            name="strip",
            stock="paper",
            outline=RectangleDraft(width="width", height="(count + 1) * depth"),
            bands=[
                BandDraft(
                    name="pleat", start=("width", "count * depth"), end=(0, "count * depth"),
                    walk=["depth / count"] * max(1, counts["count"] - 1),
                    first=Sense.VALLEY, angle="turn",
                )
            ],
        )  # fmt: skip
        cap = PieceDraft(name="cap", outline=RectangleDraft(width="width", height="cap"))
        line = [("0", "0"), ("width", "0")]
        joint = JointDraft(
            glue=JointEndDraft(panel="cap/panel 1", face="back", line=line),
            to=JointEndDraft(panel="strip/panel 1", face="front", line=line),
            slack="cap * count / 3",
        )
        return PatternParts(
            pieces=(strip, cap) if capped else (strip,),
            joints=(joint,) if capped else (),
            poses=(PoseDraft(name="half", hold={"pleat 1": "turn / 2"}),),
            closed=("width", "2 * depth"),
        )


@pytest.fixture(autouse=True)
def installed(monkeypatch: pytest.MonkeyPatch) -> None:
    real = plugins.load

    def load(group: plugins.Group, name: str) -> object:
        return Pleats() if name == "pleats" else real(group, name)

    monkeypatch.setattr(plugins, "load", load)


def full(extra: str = "", **overrides: str) -> Design:
    return written_out(parse_design(HEAD + extra, "card.toml"), overrides)


def measures(design: Design) -> dict[str, str]:
    return {name: str(draft.value.text) for name, draft in design.measures.items()}  # type: ignore[union-attr]


def test_parameters_become_measures_with_all_that_is_said_of_them() -> None:
    design = full()
    assert design.pattern is None
    assert measures(design) == {"width": "1 1/2", "depth": "3/8", "turn": "90 deg", "cap": "1/4"}
    depth = design.measures["depth"]
    assert [str(one.text) for one in (depth.least, depth.most, depth.step)] == [  # type: ignore[union-attr]
        "6 mm",
        "width / 3",
        "1/8 in",
    ]
    assert (depth.scale, depth.about) == (Scale.RULER, "depth of one pleat")


def test_a_count_is_its_number_wherever_it_stands() -> None:
    design = full(count="4")
    text = write_design(design)
    assert "count" not in text
    strip, cap = design.pieces
    assert 'outline = { rectangle = ["width", "5 * depth"] }' in text
    assert 'from = ["width", "4 * depth"]' in text
    assert len(strip.bands[0].walk) == 3
    assert cap.name == "cap"
    assert 'slack = "cap * 4 / 3"' in text
    assert [fold.name for fold in resolve(design).pieces[0].folds] == [
        f"pleat {i}" for i in (1, 2, 3, 4)
    ]


def test_what_the_file_says_goes_before_what_the_pattern_says() -> None:
    extra = (
        "[measures]\n"
        'depth = { is = "spare * count", least = 0.1, keep = true }\n'
        'spare = "1/8 in"\n'
        'share = "count / 4"\n'
        "turn = 120\n"
        '[[pose]]\nname = "half"\nhold = { "pleat 2" = "turn / share / 4" }\n'
        '[[mat]]\non = "strip"\nmargin = "spare / count"\n'
        '[limits]\nclosed = ["width", "count * depth"]\n'
    )
    design = full(extra)
    assert measures(design) == {
        "width": "1 1/2", "depth": "spare * 3", "turn": "120 deg", "cap": "1/4",
        "spare": "1/8 in", "share": "3 / 4",
    }  # fmt: skip
    depth = design.measures["depth"]
    assert (depth.keep, str(depth.least.text)) == (True, "0.1")  # type: ignore[union-attr]
    # A ratio stays one, although a count is no part of it any more.
    assert design.measures["share"].count
    assert [pose.name for pose in design.poses] == ["half"]
    ours, theirs = (
        resolve(parse_design(write_design(design))),
        resolve(parse_design(HEAD + extra, "card.toml")),
    )
    assert {**theirs.measures, "count": None} == {**ours.measures, "count": None}
    assert [one.margin for one in ours.mats] == [Fraction("25.4") / 24]
    assert ours.limits is not None
    assert theirs.limits is not None
    assert ours.limits.closed == theirs.limits.closed
    assert [hold.degrees for hold in ours.poses[0].holds] == [
        hold.degrees for hold in theirs.poses[0].holds
    ]


def test_a_value_of_the_run_is_of_the_kind_that_it_replaces() -> None:
    design = full('[measures]\nlean = "30 deg"\n', turn="100", lean="45 + 5", width="2", count="2")
    assert measures(design) == {
        "width": "2", "depth": "3/8", "turn": "100 deg", "cap": "1/4", "lean": "(45 + 5) deg",
    }  # fmt: skip


def test_what_has_no_use_with_these_counts_is_left_out_with_what_variants_say_of_it() -> None:
    variant = '[variant.tall]\nmeasures = { cap = "1/8", width = 2 }\n'
    assert "cap" in measures(full(variant))
    design = full(variant, count="1")
    assert list(measures(design)) == ["width", "depth", "turn"]
    assert list(design.variants["tall"].measures) == ["width"]
    # No measure is told as one that nothing uses.
    assert [note.rule for note in resolve(design).notes] == ["undeclared-stock"]
    # But one that another measure of the file follows from stays.
    assert "cap" in measures(full('[measures]\nspare = "2 * cap"\n', count="1"))


def test_a_variant_keeps_its_lengths_and_may_not_change_a_count() -> None:
    text = '[variant.wide]\nunits = "mm"\nmeasures = { width = "30 mm * count", count = 3 }\n'
    design = full(text)
    assert resolve(design, variant="wide").measures["width"] == 90
    with pytest.raises(DesignError) as caught:
        full(text, count="2")
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.prefix()) == ("count-in-variant", "card.toml:7")
    assert '"wide" has 3 of "count" in place of 2' in problem.message


def test_a_variant_that_changes_what_a_count_follows_from_is_told_too() -> None:
    text = (
        '[measures]\ncount = { number = "folds + 1" }\nfolds = { number = 1 }\n'
        "[variant.more]\nmeasures = { folds = { number = 2 } }\n"
    )
    with pytest.raises(DesignError) as caught:
        full(text)
    assert [one.rule for one in caught.value.problems] == ["count-in-variant"]


def test_what_does_not_resolve_is_not_written_out() -> None:
    with pytest.raises(DesignError) as caught:
        full(depth="3")
    assert [one.rule for one in caught.value.problems] == ["above-most"]


def test_a_design_of_its_own_pieces_takes_the_values_only() -> None:
    text = 'format = 1\nname = "x"\nunits = "mm"\n[measures]\nw = 9\n[[piece]]\nname = "a"\n'
    text += 'outline = { rectangle = ["w", "w"] }\n'
    design = parse_design(text)
    assert written_out(design) == design
    assert measures(written_out(design, {"w": "2 in"})) == {"w": "2 in"}


def test_folds_keep_their_order(monkeypatch: pytest.MonkeyPatch) -> None:
    # A fold without a name is called by its place among bands and folds.
    def parts(self: Pleats, counts: Mapping[str, int]) -> PatternParts:
        band = BandDraft(start=("width", "depth"), end=(0, "depth"), walk=["depth"], first="valley")
        fold = FoldDraft(sense="valley", points=[(0, "4 * depth"), ("width", "4 * depth")])
        strip = PieceDraft(
            name="strip", outline=RectangleDraft(width="width", height="5 * depth + cap"),
            bands=[band], folds=[fold],
        )  # fmt: skip
        return PatternParts(pieces=(strip,), closed=("width", "depth"))

    monkeypatch.setattr(Pleats, "parts", parts)
    text = HEAD + '[[pose]]\nname = "p"\nhold = { "fold 1" = 30 }\n'
    theirs = resolve(parse_design(text))
    ours = resolve(parse_design(write_design(written_out(parse_design(text)))))
    assert [(f.name, f.path) for f in ours.pieces[0].folds] == [
        (f.name, f.path) for f in theirs.pieces[0].folds
    ]
