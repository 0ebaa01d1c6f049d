"""What holds of every occasion in every edition: it proves without a warning, and is made as it is.

The closed sizes are reckoned by hand: a card of one gutter is as wide as its sheet and half as
high, a row or a gate as wide and as high as its cover, an easel as wide as its sheet and as high as
half of it.
"""

from __future__ import annotations

import json
import tomllib
from contextlib import redirect_stdout
from fractions import Fraction
from functools import cache
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import tomlkit

from foldwright.cli import main
from foldwright.design import parse_design, resolve
from foldwright.design.rewriting import with_measures
from foldwright.design.writer import write_design
from foldwright.folding import Verdict
from foldwright.measures import Ruler, Unit, exact_text, on_ruler, parse
from foldwright.occasions import find, shipped
from foldwright.occasions.catalogue import told
from foldwright.problems import DesignError

from .editions import EDITIONS, NAMES, design, edition, occasion, proof, resolved

CLOSED_MM: dict[tuple[str, str | None], tuple[float, float]] = {
    ("attic-cradle", None): (148, 105),
    ("attic-cradle", "inch"): (5.5 * 25.4, 4.25 * 25.4),
    ("attic-cradle", "larger"): (190, 140),
    ("beach-huts", None): (92, 130),
    ("beach-huts", "inch"): (3.625 * 25.4, 5.125 * 25.4),
    ("beach-huts", "larger"): (102, 146),
    ("cake-terrace", None): (148, 105),
    ("cake-terrace", "inch"): (5.5 * 25.4, 4.25 * 25.4),
    ("cake-terrace", "larger"): (190, 135),
    ("flower-stall", None): (148, 105),
    ("flower-stall", "inch"): (5.75 * 25.4, 4.125 * 25.4),
    ("flower-stall", "larger"): (190, 135),
    ("lantern-bridge", None): (148, 105),
    ("lantern-bridge", "inch"): (5.75 * 25.4, 4.125 * 25.4),
    ("lantern-bridge", "stiff"): (148, 105),
    ("lighthouse-stair", None): (148, 105),
    ("lighthouse-stair", "inch"): (5.75 * 25.4, 4.125 * 25.4),
    ("lighthouse-stair", "left-handed"): (148, 105),
    ("night-train", None): (132, 95),
    ("night-train", "inch"): (5.25 * 25.4, 3.75 * 25.4),
    ("night-train", "longer"): (120, 95),
    ("orchard-gate", None): (140, 105),
    ("orchard-gate", "inch"): (5.75 * 25.4, 4.125 * 25.4),
    ("orchard-gate", "stiff"): (140, 105),
    ("orchard-gate", "wicket"): (140, 105),
    ("snowy-roofs", None): (148, 105),
    ("snowy-roofs", "inch"): (5.75 * 25.4, 4.125 * 25.4),
    ("snowy-roofs", "left-handed"): (148, 105),
    ("sunny-sill", None): (105, 148),
    ("sunny-sill", "inch"): (4.25 * 25.4, 5.5 * 25.4),
    ("sunny-sill", "kraft"): (105, 148),
}

# Notes that a person is to read; a warning is none of them.  Steps beside a strip are held by their
# creases alone, and more than one motion is left to them.
STANDS = "held-by-the-crease-alone"
BOUGHT = "envelope-paper-assumed"
NOTES = {
    "attic-cradle": {STANDS},
    "beach-huts": {STANDS, BOUGHT},
    "cake-terrace": {STANDS},
    "flower-stall": {STANDS, "floppy"},
    "lantern-bridge": {STANDS},
    "lighthouse-stair": {STANDS, "floppy", BOUGHT},
    "night-train": {STANDS, BOUGHT},
    "orchard-gate": {STANDS},
    "snowy-roofs": {STANDS, "floppy", BOUGHT},
    "sunny-sill": {BOUGHT},
}


@cache
def proved(name: str, variant: str | None) -> tuple[int, dict[str, Any]]:
    """Status and answer of `prove` for an edition of the file that `new` writes."""
    return answer("prove", name, variant)


def answer(command: str, name: str, variant: str | None, *more: str) -> tuple[int, dict[str, Any]]:
    """Write an occasion with `new`, run a command on an edition of it, give status and answer."""
    with TemporaryDirectory() as folder, redirect_stdout(StringIO()) as out:
        file = Path(folder) / "card.toml"
        assert main(["new", name, "--to", str(file)]) == 0
        out.truncate(out.seek(0))
        chosen = [] if variant is None else ["--variant", variant]
        status = main([command, str(file), "--json", *chosen, *more])
        return status, json.loads(out.getvalue())


def test_there_are_ten_scenes_for_ten_occasions() -> None:
    assert len(NAMES) == 10
    assert len({one.occasion for one in shipped()}) == 10
    patterns = [design(name).pattern for name in NAMES]
    assert len({one for one in patterns if one is not None}) >= 8
    assert patterns.count(None) == 2
    forms = {draft.form for name in NAMES if (draft := design(name).envelope) is not None}
    assert {"standard", "square-blank", "four-flap"} <= {str(form) for form in forms}


def test_an_unknown_name_finds_nothing() -> None:
    assert find("night-trian") is None


def test_the_head_of_a_file_tells_what_it_is() -> None:
    assert told("# Moving out: a van\n# with a map.\n#\n# More.\nx = 1\n") == (
        "Moving out",
        "A van with a map.",
    )
    assert told("# Moving out: a van.\nx = 1 # not this\n") == ("Moving out", "A van.")


@occasion
class TestItsFile:
    def test_it_says_in_a_sentence_what_it_is(self, name: str) -> None:
        found = find(name)
        assert found is not None
        assert found.name == name
        assert found.occasion[0].isupper()
        assert found.about[0].isupper()
        assert found.about.endswith(".")
        assert found.about.count(".") == 1

    def test_it_has_an_inch_edition_and_another(self, name: str) -> None:
        found = design(name)
        assert found.variants["inch"].units is Unit.IN
        assert len(found.variants) >= 2

    def test_it_has_what_belongs_to_a_card(self, name: str) -> None:
        found = design(name)
        assert found.mats
        assert any(mat.up is not None for mat in found.mats)
        assert all(mat.stock is not None and mat.margin is not None for mat in found.mats)
        assert found.envelope is not None
        limits = found.limits
        assert limits is not None
        assert limits.closed is not None
        assert limits.thickness is not None
        assert limits.stands
        assert len(limits.post) == 2

    def test_its_text_goes_round(self, name: str) -> None:
        found = find(name)
        assert found is not None
        assert tomlkit.dumps(tomlkit.parse(found.text)) == found.text
        first = design(name)
        assert with_measures(first, {}) == found.text
        again = parse_design(write_design(first), f"{name}.toml")
        assert write_design(again) == write_design(first)
        for variant in (None, *first.variants):
            assert _pieces(again, variant) == _pieces(first, variant)

    def test_every_measure_is_explained(self, name: str) -> None:
        found = find(name)
        assert found is not None
        begin = found.text.index("[measures]")
        for line in found.text[begin:].split("\n\n", 1)[0].splitlines()[1:]:
            assert "#" in line or "about" in line or _follows(line), line


def _follows(line: str) -> bool:
    """Whether a measure is reckoned from others: its name and theirs say what it is."""
    (value,) = tomllib.loads(line).values()
    return isinstance(value, str) and any(letter.isalpha() for letter in value)


def _pieces(found: Any, variant: str | None) -> object:
    return [
        (
            piece.outline,
            [fold.path for fold in piece.folds],
            [slit.path for slit in piece.slits],
            [opening.path for opening in piece.openings],
        )
        for piece in resolve(found, variant=variant).pieces
    ]


def test_the_table_of_closed_sizes_has_every_edition() -> None:
    assert list(CLOSED_MM) == sorted(EDITIONS, key=lambda one: list(CLOSED_MM).index(one))
    assert set(NOTES) == set(NAMES)


@edition
class TestEditions:
    def test_it_proves_without_a_warning(self, name: str, variant: str | None) -> None:
        status, found = proved(name, variant)
        assert status == 0
        assert found["proven"]
        assert found["verdict"] == Verdict.CLOSES
        loud = [one for one in found["findings"] if one["severity"] != "note"]
        assert loud == []
        assert {one["rule"] for one in found["findings"]} == NOTES[name]
        assert all(one["reached"] for one in found["poses"])

    def test_it_stays_within_its_limits_and_its_envelope(
        self, name: str, variant: str | None
    ) -> None:
        _, found = proved(name, variant)
        closed = found["closed"]
        size = (closed["width_mm"], closed["height_mm"])
        assert size == pytest.approx(CLOSED_MM[name, variant], abs=1e-6)
        limits = resolved(name, variant).limits
        assert limits is not None
        assert limits.closed is not None
        assert limits.thickness is not None
        assert tuple(map(float, limits.closed)) == pytest.approx(size, abs=1e-6)
        assert closed["thickness_mm"] <= float(limits.thickness)
        # Room for a greeting: common practice, no source, is two lines of handwriting.
        writing = found["greeting"]["writing"]
        assert writing["width_mm"] >= 70
        assert writing["height_mm"] >= 25
        (standing,) = [one for one in found["poses"] if one["name"] == "standing"]
        assert standing["stands"]
        assert standing["margin_mm"] > 5
        envelope = found["envelope"]
        inside = envelope["inside_mm"]
        # At least the clearance of 3 mm, 1/8 in, is left at both ends of each side.
        clear = 2 * (3.175 if variant == "inch" else 3)
        for room, side in zip(inside, sorted(size, reverse=True), strict=True):
            assert room >= side + clear - 1e-9
        kept = {one["service"]: one["verdict"] for one in found["post"]}
        for service in limits.post:
            assert kept[service] == "good", service

    def test_the_whole_set_is_written_and_read_back(
        self, tmp_path: Path, name: str, variant: str | None
    ) -> None:
        folder = tmp_path / "files"
        # The papers are those that the file names: card for the pieces, text paper for the rest.
        form = "svg,dxf" if variant is None else "svg"
        status, found = answer(
            "export", name, variant, "--tool", "knife", "--format", form, "--to", str(folder)
        )
        assert status == 0
        assert {one["read_back"] for one in found["files"]} == {"same"}
        kinds = {one["kind"] for one in found["files"]}
        draft = design(name).envelope
        assert draft is not None
        own = str(draft.form) != "standard"
        assert kinds == {"base", "mat", "envelope"} if own else {"base", "mat"}
        mats = [one for one in found["parts"] if one["kind"] == "mat"]
        assert sum(one["count"] for one in mats) == _panels_with_mats(name, variant)
        assert not [one for one in found["findings"] if one["severity"] == "stop"]

    def test_its_measures_lie_on_a_ruler(self, name: str, variant: str | None) -> None:
        found = resolved(name, variant).measures
        drafts = design(name).measures
        own = {} if variant is None else design(name).variants[variant].measures
        rulers = (
            (Ruler.EIGHTH_IN, Ruler.SIXTEENTH_IN)
            if variant == "inch"
            else (Ruler.MM, Ruler.HALF_MM)
        )
        for measure, draft in drafts.items():
            value = found[measure]
            plain = not _names_in(draft.value)
            if not plain or not isinstance(value, Fraction | int) or draft.count:
                continue
            if "deg" in str(draft.value):
                continue
            if variant == "inch":
                # Native, not converted: every length is said anew for the other ruler.
                assert measure in own, measure
            assert on_ruler(Fraction(value), among=rulers), (
                f"{measure} {exact_text(Fraction(value), Unit.IN)}"
            )


def _names_in(value: object) -> bool:
    return bool(parse(str(getattr(value, "text", value))).names)


def _panels_with_mats(name: str, variant: str | None) -> int:
    """How many panels have a mat, one piece each but for an L that is cut as two rectangles."""
    proved = proof(name, variant)
    panels = {
        piece.division.piece.name: [panel.name for panel in piece.division.panels]
        for piece in proved.pieces
    }
    return sum(
        (len(panels[mat.on]) if mat.panels == "all" else len(mat.panels))
        * (2 if str(mat.l_shape) == "two" else 1)
        for mat in design(name).mats
    )


class TestWhatIsWrittenInFull:
    """The two designs without a pattern have limits of their own, and keep to them."""

    @pytest.mark.parametrize("name", [one for one in NAMES if design(one).pattern is None])
    def test_each_measure_at_its_limits_proves_or_is_refused(self, name: str) -> None:
        limits = tomllib.loads(design(name).source.text)["measures"]  # type: ignore[union-attr]
        tried = 0
        for measure, draft in limits.items():
            if not isinstance(draft, dict):
                continue
            for limit in (draft.get("least"), draft.get("most")):
                if limit is None:
                    continue
                try:
                    found = proof(name, **{measure: f"{limit}"})
                except DesignError as error:
                    # Another measure is out of its limits then, and is named.
                    told = {one.rule for one in error.problems}
                    assert told <= {"below-least", "above-most", "limits-contradict"}, (
                        measure,
                        limit,
                        told,
                    )
                    continue
                tried += 1
                broken = {
                    one.rule
                    for one in found.findings
                    if str(one.severity) == "stop" and one.rule not in OTHER_LIMITS
                }
                assert not broken, (measure, limit)
                assert found.verdict is Verdict.CLOSES
        assert tried >= 6


# What a card says of itself where a person changes it: its own limits, which they change too.
OTHER_LIMITS = {"limit-closed", "limit-thickness", "limit-stands", "post-refuses"}
