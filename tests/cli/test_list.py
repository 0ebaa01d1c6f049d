"""The command list: everything that is installed, plug-ins included, broken ones told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib.metadata import EntryPoint
from typing import Any

import pytest

from foldwright.design import PatternParts
from foldwright.patterns.half_fold import pattern as half_fold
from foldwright.plugins import Group, registry
from tests.cli.shapes import NUMBER, Maybe, fits

Run = Callable[..., Any]

SHIPS = {"name": str, "distribution": str, "version": str, "state": {"good"}, "about": str}
FIGURE = {"is": NUMBER, "basis": str, "confidence": {"measured", "estimate"}}
RANGE = {
    "default_mm": NUMBER,
    "least_mm": NUMBER,
    "most_mm": NUMBER,
    "step_mm": Maybe(NUMBER),
}
END = {"panel": str, "face": {"front", "back"}}
FOLD = {
    "name": str,
    "senses": [str],
    "angle_deg": NUMBER,
    "still": bool,
}
PATTERNS = {
    "patterns": [
        {
            **SHIPS,
            "closure": str,
            "editions": [str],
            "materials": dict,
            "closed": {
                "width_mm": NUMBER,
                "height_mm": NUMBER,
                "inch_edition": {"width_mm": NUMBER, "height_mm": NUMBER},
                "written": [str],
            },
            "parameters": [
                {
                    "name": str,
                    "meaning": str,
                    "kind": {"length", "number", "angle"},
                    "scale": {"with", "fixed", "ruler"},
                    **RANGE,
                    "inch_edition": RANGE,
                    "written": {
                        "default": str,
                        "default_in": str,
                        "least": Maybe(str),
                        "most": Maybe(str),
                        "step": Maybe(str),
                        "step_in": Maybe(str),
                    },
                }
            ],
            "pieces": [
                {
                    "name": str,
                    "stock": str,
                    "copies": int,
                    "panels": [str],
                    "folds": [FOLD],
                }
            ],
            "joints": [{"name": str, "glue": END, "to": END}],
            "poses": [{"name": str, "hold": dict, "on": [str], "view_deg": Maybe(NUMBER)}],
            "mats": [
                {
                    "name": str,
                    "on": str,
                    "panels": Maybe([str]),
                    "face": {"front", "back"},
                    "margin_mm": Maybe(NUMBER),
                    "stock": str,
                    "up_deg": Maybe(NUMBER),
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
    "patterns": sorted(
        [
            "half-fold",
            "tent",
            "gate-meeting",
            "gate-overlapping",
            "z-fold",
            "letter-fold",
            "accordion",
            "side-steps",
            "centre-steps",
            "column-steps",
            "easel",
            "shutter",
            "pop-up-box",
            "stepped-pop-up",
            "v-fold-pop-up",
            "map-fold",
            "square-twist",
            "pocket",
            "tuck-box",
            "pillow-box",
            "square-blank-envelope",
            "four-flap-envelope",
            "tag",
            "belly-band",
            "corner-fold",
            "strut-back",
        ]
    ),
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


def test_all_of_them_without_a_word(foldwright: Run) -> None:
    kinds = [*ALL, "occasions"]
    ran = foldwright("list")
    assert ran.out == "\n".join(foldwright("list", kind).out for kind in kinds)
    assert list(foldwright("list", "--json").json) == kinds


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
    assert tread["inch_edition"] == {
        "default_mm": 28.575,
        "least_mm": 12,
        "most_mm": 33.925,
        "step_mm": 1.5875,
    }
    count = next(one for one in steps["parameters"] if one["name"] == "steps")
    assert (count["default_mm"], count["least_mm"], count["most_mm"]) == (2, 1, 8)
    assert "tread" in foldwright("list", "patterns").out


def test_a_pattern_is_told_with_all_that_it_carries(foldwright: Run) -> None:
    # By hand from vectors/patterns/side_steps.py: two steps, the sheet 148 mm by 210 mm.
    patterns = foldwright("list", "patterns", "--json").json["patterns"]
    steps = next(pattern for pattern in patterns if pattern["name"] == "side-steps")
    assert steps["closed"] == {
        "width_mm": 148,
        "height_mm": 105,
        "inch_edition": {"width_mm": 146.05, "height_mm": 104.775},
        "written": ["width", "max(gutter_y, length - gutter_y)"],
    }
    (base,) = steps["pieces"]
    assert (base["name"], base["stock"]) == ("base", "card")
    assert base["panels"] == ["wall", "floor", "tread 1", "riser 1", "tread 2", "riser 2"]
    assert [(fold["name"], fold["senses"], fold["angle_deg"]) for fold in base["folds"]] == [
        ("gutter", ["valley"], 180),
        ("steps 1", ["valley"], 180),
        ("steps 2", ["mountain"], 180),
        ("steps 3", ["valley"], 180),
        ("steps 4", ["mountain"], 180),
        ("steps 5", ["valley"], 180),
    ]
    assert steps["joints"] == []
    assert steps["poses"] == [
        {"name": "standing", "hold": {"base/gutter": 90}, "on": ["base/floor"], "view_deg": 240}
    ]
    (mat,) = steps["mats"]
    assert (mat["on"], mat["panels"], mat["stock"], mat["up_deg"]) == ("base", None, "print", 90)
    assert steps["materials"] == {"card": "card-200", "print": "text-120"}
    assert steps["editions"] == ["mm", "in"]
    glued = next(pattern for pattern in patterns if pattern["joints"])
    assert set(glued["joints"][0]["glue"]) == {"panel", "face"}


def test_a_person_reads_what_a_pattern_closes_to_and_why(foldwright: Run) -> None:
    out = foldwright("list", "patterns").out
    start = out.index("  half-fold: A card of one fold")
    lines = out[start:].splitlines()[:6]
    assert lines[1] == "    closure: Nothing has to meet: one fold closes wherever it lies."
    assert lines[2] == "    closed: 148 mm by 105 mm, or 5 1/2 in by 4 1/4 in"
    assert lines[3].split() == ["measure", "mm", "in", "meaning", "least", "most"]
    assert " ".join(lines[4].split()) == (
        "width 148 5 1/2 width of the sheet, along the fold 30 mm 600 mm"
    )


class Foreign:
    """A pattern of somebody else's, made like the shipped one but for one thing."""

    def __init__(self, **odd: Any) -> None:
        given = {key: getattr(half_fold, key) for key in half_fold.__slots__ if key != "draw"}
        self.__dict__.update({**given, "name": "zz-foreign", "parts": half_fold.parts, **odd})


def _fails(counts: Mapping[str, int]) -> PatternParts:
    raise KeyError("panels")


@pytest.mark.parametrize(
    ("odd", "reason"),
    [
        ({"parts": _fails}, "KeyError"),
        ({"parts": lambda counts: 7}, "in place of its parts"),
        ({"parts": lambda counts: PatternParts(pieces=(), closed=("1 mm", "1 mm"))}, "no piece"),
        ({"parameters": 7}, "its parameters are no tuple"),
        ({"parameters": ()}, "there is no measure called"),
        ({"materials": 7}, "its materials are no mapping"),
        ({"name": "somebody"}, 'it calls itself "somebody"'),
    ],
)
def test_a_pattern_that_fails_as_it_is_asked_is_told_as_broken(
    foldwright: Run, monkeypatch: pytest.MonkeyPatch, odd: dict[str, Any], reason: str
) -> None:
    real = registry._entries
    broken = EntryPoint(name="zz-foreign", value="nowhere:pattern", group=Group.PATTERNS.value)
    loads = EntryPoint.load

    def entries(asked: Group) -> tuple[EntryPoint, ...]:
        return (broken,) if asked is Group.PATTERNS else real(asked)

    def load(self: EntryPoint) -> Any:
        return Foreign(**odd) if self.name == "zz-foreign" else loads(self)

    monkeypatch.setattr(registry, "_entries", entries)
    monkeypatch.setattr(EntryPoint, "load", load)
    for more in ((), ("--json",)):
        ran = foldwright("list", "patterns", *more)
        assert (ran.status, ran.rules) == (0, ["broken-plug-in"])
        assert reason in ran.err
    assert ran.json["patterns"][-1]["state"] == "broken"
    assert reason in ran.json["patterns"][-1]["message"]
    # Nor does a design that is to start from it end in a traceback.
    ran = foldwright("new", "zz-foreign", "--written-out", "--mats")
    assert (ran.status, ran.out) == (2, "")


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
