"""The command list: everything that is installed, plug-ins included, broken ones told."""

from __future__ import annotations

from collections.abc import Callable
from importlib.metadata import EntryPoint
from typing import Any

import pytest

from foldwright.plugins import Group, registry
from tests.cli.shapes import NUMBER, Maybe, fits

Run = Callable[..., Any]

SHIPS = {"name": str, "distribution": str, "version": str, "state": {"good"}, "about": str}
FIGURE = {"is": NUMBER, "basis": str, "confidence": {"measured", "estimate"}}
PATTERNS = {
    "patterns": [
        {
            **SHIPS,
            "parameters": [
                {
                    "name": str,
                    "meaning": str,
                    "kind": {"length", "number", "angle"},
                    "default_mm": NUMBER,
                    "least_mm": Maybe(NUMBER),
                    "most_mm": Maybe(NUMBER),
                    "inch_edition": {
                        "default_mm": NUMBER,
                        "least_mm": Maybe(NUMBER),
                        "most_mm": Maybe(NUMBER),
                    },
                    "written": {
                        "default": str,
                        "default_in": str,
                        "least": Maybe(str),
                        "most": Maybe(str),
                    },
                }
            ],
        }
    ]
}
MATERIALS = {
    "materials": [
        {
            **SHIPS,
            "grammage": FIGURE,
            "caliper_mm": FIGURE,
            "gives_mm": FIGURE,
            "cautions": [str],
            "grain": Maybe({"long", "short"}),
            "tools": dict,
        }
    ]
}
BRIDGE = {"length_mm": FIGURE, "pitch_mm": FIGURE, "clear_mm": FIGURE, "holds_g": Maybe(FIGURE)}
WAY = {
    "kerf_mm": FIGURE,
    "kerf_y_mm": Maybe(FIGURE),
    "tolerance_mm": FIGURE,
    "knife_offset_mm": Maybe(FIGURE),
    "cautions": [str],
    "slit": {
        "work": {"through", "half-cut"},
        "bridged": bool,
        "end": {"full", "short", "hole"},
        "size_mm": Maybe(FIGURE),
        "tear": {"perforated", "half-cut"},
    },
}
SCORE = {
    "work": {"creased", "half-cut", "perforated"},
    "inset_mm": FIGURE,
    "allowance_mm": FIGURE,
    "shift_mm": FIGURE,
    "valleys_from": {"front", "back"},
    "registration_mm": Maybe(FIGURE),
    "dashes": Maybe({"burn_mm": FIGURE, "skip_mm": FIGURE}),
}
WRITERS = {"writers": [{**SHIPS, "suffix": str}]}
ALL = {"patterns": PATTERNS, "materials": MATERIALS, "writers": WRITERS}
NAMES = {
    "patterns": ["half-fold", "side-steps"],
    "materials": [
        "board-08",
        "card-176",
        "card-200",
        "card-216",
        "card-270",
        "card-300",
        "corrugated-e",
        "felt-2",
        "greyboard-1",
        "kraft-300",
        "mirror-card",
        "plywood-3",
        "polypropylene-05",
        "text-120",
        "text-160",
        "translucent-110",
        "watercolour-300",
    ],
    "writers": ["dxf", "plain", "svg"],
}


@pytest.mark.parametrize("kind", ALL)
def test_its_json(foldwright: Run, kind: str) -> None:
    ran = foldwright("list", kind, "--json")
    assert (ran.status, ran.err) == (0, "")
    assert list(ran.json) == [kind]
    assert fits(ran.json, ALL[kind])
    assert [row["name"] for row in ran.json[kind]] == NAMES[kind]


@pytest.mark.parametrize("kind", ALL)
def test_what_a_person_reads(foldwright: Run, kind: str) -> None:
    ran = foldwright("list", kind)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(f"{kind}:\n")
    for name in NAMES[kind]:
        assert f"\n  {name}" in ran.out


def test_every_tool_of_a_material_has_its_figures_or_says_why_not(foldwright: Run) -> None:
    for row in foldwright("list", "materials", "--json").json["materials"]:
        assert list(row["tools"]) == ["hand", "knife", "laser"]
        for way in row["tools"].values():
            if "refused" in way:
                assert fits(way, {"refused": str})
                continue
            rest = {key: way.pop(key) for key in ("score", "bridge", "perforation") if key in way}
            assert fits(rest.get("score", {}), SCORE if "score" in rest else {})
            assert fits(rest.get("bridge", {}), BRIDGE if "bridge" in rest else {})
            waste = way.pop("waste")
            assert waste in (None, "loose") or fits(waste, BRIDGE)
            assert fits(way, WAY)
            assert way["cautions"][-1].startswith("Follow the machine's manual")


def test_a_person_reads_how_each_tool_works_and_why_one_must_not(foldwright: Run) -> None:
    out = foldwright("list", "materials").out
    card = "    hand: scores creased, no bridges\n    knife: scores creased, bridges 0.4 mm\n"
    assert card + "    laser: kerf 0.1 mm, scores perforated, bridges 0.4 mm\n" in out
    assert "    not laser: polypropylene melts, drips and burns" in out
    assert "    not hand: plywood of 3 mm is sawn" in out
    assert "scores half-cut in dashes, valleys from the back" in out
    assert "scores creased in two lines" in out
    assert "slits end in 1.5 mm holes" in out and "slits end 0.5 mm short" in out
    assert "  card-216: Card of 216 g/m² (80 lb cover)" in out
    assert "    216.3 g/m², caliper (paper thickness) 0.241 mm" in out


def test_all_three_without_a_word(foldwright: Run) -> None:
    ran = foldwright("list")
    assert ran.out == "\n".join(foldwright("list", kind).out for kind in ALL)
    assert list(foldwright("list", "--json").json) == list(ALL)


def test_the_measures_of_a_pattern_have_limits_and_two_editions(foldwright: Run) -> None:
    patterns = foldwright("list", "patterns", "--json").json["patterns"]
    steps = next(pattern for pattern in patterns if pattern["name"] == "side-steps")
    tread = next(one for one in steps["parameters"] if one["name"] == "tread")
    written = tread["written"]
    assert (written["default"], written["default_in"]) == ("30", "1 1/8")
    assert (written["least"], tread["least_mm"]) == ("12 mm", 12)
    # A limit that follows from other measures is told as it is with their defaults:
    # a page of 105 mm less 2 mm and a riser of 35 mm, for two treads.
    assert (tread["default_mm"], tread["most_mm"]) == (30, 34)
    # 1 1/8 in is 28.575 mm; a page of 4 1/8 in less 2 mm and 1 3/8 in, halved, 33.925 mm.
    assert tread["inch_edition"] == {"default_mm": 28.575, "least_mm": 12, "most_mm": 33.925}
    count = next(one for one in steps["parameters"] if one["name"] == "steps")
    assert (count["default_mm"], count["least_mm"], count["most_mm"]) == (2, 1, 8)
    assert "tread" in foldwright("list", "patterns").out


@pytest.mark.parametrize(
    ("group", "kind", "value"),
    [
        (Group.WRITERS, "writers", "no_such_module:writer"),
        (Group.WRITERS, "writers", "json:dumps"),
        (Group.PATTERNS, "patterns", "json:dumps"),
        (Group.MATERIALS, "materials", "json:dumps"),
        (Group.MATERIALS, "materials", "no_such_module:material"),
    ],
)
def test_a_broken_plug_in_is_told_and_takes_nobody_down(
    foldwright: Run, monkeypatch: pytest.MonkeyPatch, group: Group, kind: str, value: str
) -> None:
    real = registry._entries
    broken = EntryPoint(name="zz-broken", value=value, group=group.value)

    def entries(asked: Group) -> tuple[EntryPoint, ...]:
        return (*real(asked), broken) if asked is group else real(asked)

    monkeypatch.setattr(registry, "_entries", entries)
    ran = foldwright("list", kind)
    assert ran.status == 0
    assert '"zz-broken"' in ran.err
    assert ran.out.count("\n  ") >= len(NAMES[kind])
    rows = foldwright("list", kind, "--json").json[kind]
    assert [row["state"] for row in rows] == ["good"] * len(NAMES[kind]) + ["broken"]
    assert rows[-1]["message"]


def test_a_measure_is_taken_and_said_to_change_nothing(foldwright: Run) -> None:
    ran = foldwright("list", "patterns", "--set", "tread=3")
    assert (ran.status, ran.out) == (0, foldwright("list", "patterns").out)
    assert ran.err.startswith('note: --set "tread" changes nothing here')
