"""A pattern that is written out in full proves, and is drawn, as the design that refers to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.cli import main
from foldwright.cli.cutting import mats_json
from foldwright.cli.dressing import dressed
from foldwright.cli.proofs import proof_json
from foldwright.design import Design, load_pattern, parse_design, read_design, resolve
from foldwright.design.written import expression
from foldwright.measures import Kind, Unit
from foldwright.patterns import in_full, starter
from foldwright.proving import prove_design

from .shipped import edition, shipped
from .within_limits import within_limits


def full(name: str, units: Unit = Unit.MM, **values: str) -> Design:
    """The design that is written out, read back."""
    return parse_design(in_full(load_pattern(name), "card", units, values, mats=True), "card.toml")


def both(
    name: str, units: Unit, values: Mapping[str, str], folder: Path, **more: bool
) -> Iterator[Path]:
    """The files of the design that refers to its pattern, and of the one that has it in it."""
    pattern = load_pattern(name)
    texts = {
        "short": starter(pattern, "card", units, values, **more),
        "full": in_full(pattern, "card", units, values, **more),
    }
    for form, text in texts.items():
        file = folder / f"{form}-{len(list(folder.iterdir()))}" / "card.toml"
        file.parent.mkdir()
        file.write_text(text, encoding="utf-8")
        yield file


def ran(*arguments: str) -> str:
    """What a command that ends well prints."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        status = main(arguments)
    assert status == 0, err.getvalue()
    return out.getvalue()


def proved(file: Path) -> dict[str, Any]:
    """All that `prove` tells, but for where in its file a finding lies and the room for words."""
    card = dressed(prove_design(read_design(file)))
    told: dict[str, Any] = proof_json(card.proof)
    for finding in told["findings"]:
        del finding["file"], finding["line"]
    return {**told, "mats": mats_json(card.mats), "measures": card.proof.resolved.measures}


@edition
class TestEditions:
    def test_the_lines_fit_an_editor_and_no_count_is_left(self, name: str, units: Unit) -> None:
        pattern = load_pattern(name)
        text = in_full(pattern, "card", units, mats=True)
        assert max(map(len, text.splitlines())) <= 100
        assert text.startswith(f"# {pattern.about.split()[0]} ")
        design = parse_design(text, "card.toml")
        assert design.pattern is None
        counts = {one.name for one in pattern.parameters if one.kind is Kind.NUMBER}
        assert not counts & design.measures.keys()
        # A name of a count elsewhere would be told as that of no measure.
        assert [p.severity for p in resolve(design).notes if p.severity != "note"] == []

    def test_every_angle_says_that_it_is_one(self, name: str, units: Unit) -> None:
        design = full(name, units)
        creases = [crease for piece in design.pieces for crease in piece.creases]
        written = [piece.grain for piece in design.pieces]
        written += [one.angle for one in creases if expression(one.angle).text != "180"]
        written += [angle for pose in design.poses for angle in pose.hold.values()]
        written += [pose.view for pose in design.poses]
        written += [mat.up for mat in design.mats]
        for one in written:
            if one is not None and not expression(one).names:
                assert expression(one).text.endswith(" deg")

    def test_measures_say_all_that_the_pattern_says_of_them(self, name: str, units: Unit) -> None:
        measures = full(name, units).measures
        whole = resolve(parse_design(starter(load_pattern(name), "card", units))).measures
        found = resolve(full(name, units)).measures
        for parameter in load_pattern(name).parameters:
            if parameter.name not in measures:
                continue
            draft = measures[parameter.name]
            assert found[parameter.name] == whole[parameter.name]
            assert (draft.about, draft.scale) == (parameter.meaning, parameter.scale)
            assert draft.least is not None
            assert draft.most is not None
            assert (draft.step is None) == (parameter.step(units) is None)

    def test_what_is_written_out_needs_no_units(self, name: str, units: Unit) -> None:
        # A bare number other than 0 in a piece would be a millimetre in one edition
        # and an inch in the other.
        other = Unit.IN if units is Unit.MM else Unit.MM
        values = resolve(full(name, units)).measures
        kinds = {one.name: one.kind for one in load_pattern(name).parameters}
        ends = {Kind.LENGTH: " mm", Kind.ANGLE: " deg"}
        given = {
            key: f"{value}{ends[kinds[key]]}"
            for key, value in values.items()
            if not isinstance(value, float)
        }
        there = resolve(full(name, other), overrides=given)
        here = resolve(full(name, units))
        assert [one.outline for one in there.pieces] == [one.outline for one in here.pieces]
        assert [one.margin for one in there.mats] == [one.margin for one in here.mats]


@shipped
@given(st.data())
@settings(max_examples=2)
def test_it_proves_and_is_drawn_the_same(
    name: str, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    units = data.draw(st.sampled_from(Unit), label="units")
    values = data.draw(within_limits(name, units, near=True), label="values")
    more = {"mats": data.draw(st.booleans()), "mirrored": data.draw(st.booleans())}
    folder = tmp_path_factory.mktemp(name)
    short, long = both(name, units, values, folder, **more)
    # Verdicts, gaps, loops, panels, folds, poses with every angle and place, closed size,
    # order and thickness of its plies, findings, mats.
    ours, theirs = proved(long), proved(short)
    assert ours.pop("measures").items() <= theirs.pop("measures").items()
    assert ours == theirs
    assert ours["verdict"] == "closes"
    drawn = []
    for file in (short, long):
        files = file.parent / "files"
        ran("export", str(file), "--tool", "knife", "--to", str(files))
        drawn.append({one.name: one.read_bytes() for one in files.iterdir()})
    assert drawn[0]
    assert drawn[0] == drawn[1]
