"""The command prove for cards that are made: what the tool's errors do, what a made card tells."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.shapes import NUMBER, Maybe, fits

Run = Callable[..., Any]

TOLERANCE = {
    "piece": str,
    "loop": str,
    "tool": {"hand", "knife", "laser"},
    "tolerance_mm": NUMBER,
    "gives_mm": NUMBER,
    "worst_mm": NUMBER,
    "rss_mm": NUMBER,
    "matters_most": [str],
    "matters_mm": NUMBER,
    "largest_mm": NUMBER,
    "largest_rss_mm": NUMBER,
}
MEASURED = {
    "piece": str,
    "line": str,
    "designed_mm": NUMBER,
    "measured_mm": NUMBER,
    "off_mm": NUMBER,
}
DIAGNOSIS = {
    "sentence": str,
    "cause": {"design", "making", "order", "vertex", "elsewhere", "nothing"},
    "design_closes": bool,
    "measured_gap_mm": Maybe(NUMBER),
    "gives_mm": NUMBER,
    "measured": [MEASURED],
    "suspects": [
        {
            **MEASURED,
            "times_tolerance": Maybe(NUMBER),
            "share": Maybe(NUMBER),
            "gap_put_back_mm": Maybe(NUMBER),
            "closes_put_back": Maybe(bool),
        }
    ],
    "put_back": [str],
    "mends": [{"piece": str, "moves": [{"line": str, "from_mm": NUMBER, "to_mm": NUMBER}]}],
    "unmeasured": [str],
}


def test_shares_below_nought_are_explained(foldwright: Run, harbour: Path) -> None:
    explained = "one below 0 % takes from it"
    both = foldwright("prove", harbour, "--measured", "steps 3=113,steps 2=146")
    assert "-50 %" in both.out
    assert explained in both.out
    assert explained not in foldwright("prove", harbour, "--measured", "steps 3=113").out


def test_a_tool_has_its_sums(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--tool", "hand")
    # What a tool may spoil is no fault of the design.
    assert ran.status == 0
    assert "made by hand:\n  loop around" in ran.out
    assert "tolerance-exceeds" in ran.rules
    (one,) = foldwright("prove", harbour, "--tool", "hand", "--json").json["tolerances"]
    assert fits(one, TOLERANCE)
    assert (one["tool"], one["tolerance_mm"], one["gives_mm"]) == ("hand", 0.8, 0.4)
    # Closed form: six lines, each off by 0.8 mm in parallel, make 2 x 6 x 0.8 mm.
    assert one["worst_mm"] >= 9.6
    laser = foldwright("prove", harbour, "--tool", "laser", "--json").json["tolerances"][0]
    assert laser["worst_mm"] < one["worst_mm"]


def test_without_a_tool_there_are_none(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--json")
    assert (ran.json["tolerances"], ran.json["diagnosis"]) == ([], None)
    assert "made by" not in foldwright("prove", harbour).out


def test_the_sentence_comes_first(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--measured", "steps 2=146.5", "--tool", "knife")
    # The status is that of the design, which is good.
    assert ran.status == 0
    first, *rest = ran.out.splitlines()
    assert first == (
        "Harbour steps, as made: it was the making, not the design: "
        'fold "steps 2" lies at 146.5 mm in place of 145 mm, 1.5 mm too far up, and the card as '
        'measured buckles by 3 mm round slit 1 of "base"; score it again at 145 mm'
    )
    assert "suspects, most likely first:" in rest
    assert any("times the tolerance of knife" in line for line in rest)
    assert "gap of the card as measured: 3 mm; the material gives 0.4 mm" in rest
    assert "not measured: steps 1, steps 3, steps 4, steps 5, gutter" in rest
    assert rest.index("suspects, most likely first:") < rest.index(
        "Harbour steps: closes: its one loop (ring of panels) closes exactly"
    )


def test_its_json(foldwright: Run, harbour: Path) -> None:
    ran = foldwright(
        "prove", harbour, "--json", "--measured", "steps 2=146.5", "--measured", "gutter=105"
    )
    found = ran.json["diagnosis"]
    assert fits(found, DIAGNOSIS)
    assert (found["cause"], found["design_closes"]) == ("making", True)
    assert (found["measured_gap_mm"], found["put_back"]) == (3, ["steps 2"])
    (suspect,) = found["suspects"]
    assert (suspect["off_mm"], suspect["share"], suspect["gap_put_back_mm"]) == (1.5, 1, 0)
    assert suspect["times_tolerance"] is None
    assert "verdict" in ran.json


def test_the_status_stays_that_of_the_design(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--set", "spine_y=107", "--measured", "gutter=107")
    assert ran.status == 1
    assert ran.out.startswith("Harbour steps, as made: the design itself never could have closed")


def test_the_inch_edition_is_measured_in_inches(foldwright: Run, harbour: Path) -> None:
    answer = foldwright("prove", harbour, "--variant", "inch", "--json").json
    places = {mend["line"]: mend for mend in answer["mends"] if mend.get("line")}
    assert places == {}
    ran = foldwright("prove", harbour, "--variant", "inch", "--measured", "gutter=4 1/4 in")
    assert "4 1/4 in in place of 4 1/8 in, 1/8 in too far up" in ran.out
    bare = foldwright("prove", harbour, "--variant", "inch", "--measured", "gutter=4 1/4")
    assert bare.out == ran.out


@pytest.mark.parametrize(
    ("measured", "rule", "hint"),
    [
        ("step 2=66", "measured-unknown-fold", 'did you mean "steps 2"?'),
        ("base/step 2=66", "measured-unknown-fold", 'did you mean "base/steps 2"?'),
        ("steps 2#1=66", "measured-one-stretch", 'call it "steps 2"'),
        ("steps 2", "measured-not-read", "--measured"),
        ("gutter=900", "measured-off-piece", "lower left corner"),
    ],
)
def test_bad_input(foldwright: Run, harbour: Path, measured: str, rule: str, hint: str) -> None:
    ran = foldwright("prove", harbour, "--measured", measured)
    assert (ran.status, ran.out, ran.rules) == (2, "", [rule])
    assert hint in ran.err
    told = foldwright("prove", harbour, "--json", "--measured", measured)
    assert [found["rule"] for found in told.json["findings"]] == [rule]


def test_a_made_card_is_one_edition(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--all-variants", "--measured", "gutter=105")
    assert (ran.status, ran.rules) == (2, ["measured-one-edition"])
