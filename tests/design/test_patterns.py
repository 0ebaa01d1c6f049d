"""A pattern stands in place of pieces: its parameters are measures, its counts decide the parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

import pytest

from foldwright import plugins
from foldwright.design import (
    BandDraft,
    Parameter,
    PatternParts,
    PieceDraft,
    RectangleDraft,
    load_pattern,
    parse_design,
    resolve,
)
from foldwright.measures import Kind, Unit
from foldwright.patterns import starter
from foldwright.problems import DesignError, PlugInError

HEAD = 'format = 1\nname = "Pebble"\nunits = "{units}"\npattern = "pleats"\n'


@dataclass(frozen=True)
class Pleats:
    """A pattern of the tests: a strip in pleats."""

    name: str = "pleats"
    about: str = "A strip in pleats.  It is for the tests."
    closure: str = "Nothing has to meet."
    materials: Mapping[str, str] = field(default_factory=dict)
    parameters: tuple[Parameter, ...] = (
        Parameter(name="width", meaning="of the strip", default_mm="40", default_in="1 1/2"),
        Parameter(
            name="depth",
            meaning="of one pleat",
            default_mm="width / 4",
            default_in="3/8",
            least="6 mm",
            most="width / 2",
        ),
        Parameter(
            name="count",
            meaning="how many pleats",
            kind=Kind.NUMBER,
            default_mm="3",
            default_in="4",
            least="1",
            most="9",
        ),
        Parameter(
            name="turn",
            meaning="how far each is turned",
            kind=Kind.ANGLE,
            default_mm="180",
            default_in="90",
        ),
    )

    def parts(self, counts: Mapping[str, int]) -> PatternParts:
        strip = PieceDraft(
            name="strip",
            stock="paper",
            outline=RectangleDraft(width="width", height="(count + 1) * depth"),
            bands=[
                BandDraft(
                    name="pleat",
                    start=("width", "depth"),
                    end=(0, "depth"),
                    walk=["depth + caliper"] * (counts["count"] - 1),
                    first="valley",
                    angle="turn",
                )
            ]
            if counts["count"] > 1
            else [],
        )
        return PatternParts(pieces=(strip,), closed=("width", "2 * depth"))


@pytest.fixture(autouse=True)
def installed(monkeypatch: pytest.MonkeyPatch) -> None:
    known = {"pleats": Pleats(), "broken": "not a pattern"}

    def load(group: plugins.Group, name: str) -> object:
        assert group is plugins.Group.PATTERNS
        return known[name] if name in known else real(group, name)

    real = plugins.load
    monkeypatch.setattr(plugins, "load", load)


def design(extra: str = "", units: str = "mm") -> str:
    return HEAD.replace("{units}", units) + extra


def test_the_parameters_are_measures_in_the_edition_of_the_file() -> None:
    metric = resolve(parse_design(design()))
    assert dict(metric.measures) == {"width": 40, "depth": 10, "count": 3, "turn": 180}
    inches = resolve(parse_design(design(units="in")))
    assert inches.measures["width"] == Fraction("38.1")
    assert inches.measures["depth"] == Fraction("9.525")
    assert (inches.measures["count"], inches.measures["turn"]) == (4, 90)
    assert [fold.angle for fold in inches.pieces[0].folds] == [90] * 4


def test_measures_set_the_parameters_and_may_add_their_own() -> None:
    text = design('[measures]\ncount = 5\nturn = 120\ndepth = "spare"\nspare = "1/2 in"\n')
    resolved = resolve(parse_design(text))
    assert [fold.name for fold in resolved.pieces[0].folds] == [f"pleat {n}" for n in range(1, 6)]
    assert resolved.measures["depth"] == Fraction("12.7")
    assert resolved.measures["turn"] == 120


def test_a_variant_and_an_override_reach_the_counts() -> None:
    text = design('[variant.long]\nunits = "in"\nmeasures = { count = 7, width = 2 }\n')
    long = resolve(parse_design(text), variant="long")
    assert (len(long.pieces[0].folds), long.units) == (7, "in")
    assert long.measures["width"] == Fraction("50.8")
    assert len(resolve(parse_design(text), overrides={"count": "2"}).pieces[0].folds) == 2


def test_the_first_piece_of_a_pattern_lends_its_paper_to_the_measures() -> None:
    text = design('[measures]\nspare = "4 * caliper"\n')
    resolved = resolve(parse_design(text), {"paper": Fraction("0.25")})
    assert resolved.measures["spare"] == 1
    first, second, *_ = resolved.pieces[0].folds
    assert second.path.start.y - first.path.start.y == Fraction("10.25")


@pytest.mark.parametrize(
    ("measure", "rule"),
    [
        ("count = 10", "above-most"),
        ("count = 0", "below-least"),
        ("count = 2.5", "not-a-count"),
        ("depth = 5", "below-least"),
        ("depth = 21", "above-most"),
        ('count = "width"', "not-a-number"),
    ],
)
def test_the_limits_of_a_parameter_hold(measure: str, rule: str) -> None:
    with pytest.raises(DesignError) as caught:
        resolve(parse_design(design(f"[measures]\n{measure}\n"), "card.toml"))
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.prefix()) == (rule, "card.toml:6")


def test_a_limit_of_the_file_replaces_that_of_the_pattern() -> None:
    text = design("[measures]\ndepth = { is = 4, least = 3 }\n")
    assert resolve(parse_design(text)).measures["depth"] == 4


def test_what_comes_from_a_pattern_is_told_where_the_file_asks_for_it() -> None:
    resolved = resolve(parse_design(design(), "card.toml"))
    piece = resolved.pieces[0]
    assert piece.place.prefix() == piece.folds[0].place.prefix() == "card.toml:4"
    with pytest.raises(DesignError) as caught:
        resolve(parse_design(design("[measures]\nturn = 181\n"), "card.toml"))
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.prefix()) == ("fold-angle", "card.toml:4")


def test_references_to_the_pieces_of_a_pattern_are_checked_when_they_are_known() -> None:
    text = design('[[pose]]\nname = "standing"\nhold = { "pleat 3" = 90 }\n')
    assert resolve(parse_design(text)).pieces
    with pytest.raises(DesignError) as caught:
        resolve(parse_design(text, "card.toml"), overrides={"count": "2"})
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.prefix()) == ("unknown-part", "card.toml:7")


def test_a_pattern_that_is_not_there_is_told_with_the_others_at_its_line() -> None:
    text = design("colour = 3\n").replace("pleats", "half-fould")
    with pytest.raises(DesignError) as caught:
        parse_design(text, "card.toml")
    told = {problem.rule: problem for problem in caught.value.problems}
    assert set(told) == {"unknown-plug-in", "unknown-key"}
    assert told["unknown-plug-in"].place.prefix() == "card.toml:4"
    assert "half-fold" in told["unknown-plug-in"].mend


def test_what_is_installed_as_a_pattern_must_be_one() -> None:
    with pytest.raises(DesignError) as caught:
        parse_design(design().replace("pleats", "broken"))
    assert [problem.rule for problem in caught.value.problems] == ["not-a-pattern"]


def _fails(counts: Mapping[str, int]) -> PatternParts:
    raise KeyError("panels")


@pytest.mark.parametrize(
    ("odd", "reason"),
    [
        ({"name": "folds"}, 'it calls itself "folds"'),
        ({"closure": None}, "its closure is no text"),
        ({"materials": ("paper",)}, "its materials are no mapping"),
        ({"parameters": ("width",)}, "its parameters are no tuple of them"),
        ({"parts": _fails}, "KeyError: 'panels'"),
        ({"parts": lambda counts: 7}, "it gives a int in place of its parts"),
    ],
)
def test_a_pattern_that_is_at_fault_is_told_and_no_traceback(
    monkeypatch: pytest.MonkeyPatch, odd: dict[str, object], reason: str
) -> None:
    monkeypatch.setattr(plugins, "load", lambda group, name: Misfit(**odd))
    with pytest.raises((DesignError, PlugInError)) as caught:
        resolve(parse_design(design(), "card.toml"))
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.prefix()) == ("pattern-fails", "card.toml:4")
    assert reason in problem.message


class Misfit(Pleats):
    """The same pattern with something odd about it."""

    def __init__(self, **odd: object) -> None:
        super().__init__()
        for key, value in odd.items():
            object.__setattr__(self, key, value)


def test_a_python_design_names_its_pattern_too() -> None:
    built = replace(parse_design(design()), source=None)
    assert len(resolve(built).pieces[0].folds) == 3
    with pytest.raises(PlugInError):
        resolve(replace(built, pattern="half-fould"))


def test_what_is_added_to_a_piece_of_the_pattern_is_told_as_that_alone() -> None:
    text = starter(load_pattern("half-fold"), "card", Unit.MM)
    with pytest.raises(DesignError) as caught:
        parse_design(text + "\n[[piece.mark]]\nline = [[10, 10], [20, 10]]\n", "card.toml")
    (problem,) = caught.value.problems
    assert problem.rule == "pieces-and-pattern"
    assert problem.place.line == text.count("\n") + 2
    assert "foldwright new half-fold --written-out --to FILE" in problem.mend
