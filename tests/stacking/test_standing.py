"""How cards stand, against closed forms and a worked example."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path as File
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.folding.loops import PanelKey
from foldwright.folding.motion import STILL, Motion
from foldwright.panels import Assembly
from foldwright.stacking.mass import masses_of
from foldwright.stacking.standing import Standing, standing_of
from tests.stacking.dressed import PLATE, card, named
from tests.stacking.placed import folded, motion

PUBLISHED = File(__file__).parents[1] / "published" / "mass.toml"
EVERY = ""


def fold_at(y: float, name: str, sense: str = "valley", width: float = 60) -> str:
    return (
        f'[[piece.fold]]\nname = "{name}"\nsense = "{sense}"\npoints = [[0, {y}], [{width}, {y}]]\n'
    )


def strip(length: float, *folds: str, width: float = 60) -> str:
    """A card of this width, folds across it."""
    outline = f"outline = {{ rectangle = [{width}, {length}] }}\n"
    return f'[[piece]]\nname = "card"\n{outline}{"".join(folds)}'


def stood(
    text: str,
    turned: Mapping[str, float],
    on: Sequence[str] = (),
    move: Motion = STILL,
    gsm: float = 200.0,
) -> Standing:
    """A card with folds at angles, its first panel flat and then moved."""
    assembly, resolved = card(text)
    masses = masses_of(assembly, resolved, {EVERY: gsm})
    placed = {key: move @ one for key, one in folded(assembly, turned).items()}
    keys = named(assembly)
    found = standing_of(assembly, placed, masses, [keys[name] for name in on])
    assert found is not None
    return found


# A right angle: floor a deep, wall b high.


@pytest.mark.parametrize(("floor", "wall"), [(60, 90), (90, 60), (50, 50)])
def test_a_card_folded_to_a_right_angle(floor: float, wall: float) -> None:
    """Its centre is a² / (2 (a + b)) from the wall, b² / (2 (a + b)) high."""
    text = strip(floor + wall, fold_at(floor, "gutter"), width=200)
    text = text.replace("[60, ", "[200, ")
    found = stood(text, {"gutter": 90.0}, ["panel 1"])
    off, high = floor**2 / (2 * (floor + wall)), wall**2 / (2 * (floor + wall))
    rest = found.asked
    assert rest.centre == pytest.approx((100, floor - off, high))
    assert rest.margin_mm == pytest.approx(off)
    assert rest.tip_deg == pytest.approx(math.degrees(math.atan(off / high)))
    assert rest.stands
    # The nearest edge is the foot of the wall.
    ends = [part for end in sorted(rest.edge) for part in end]
    assert ends == pytest.approx([0, floor, 200, floor])
    assert (rest.onto, rest.below) == (STILL, None)
    assert (rest.touching, rest.lying) == ((("card", 0), ("card", 1)), (("card", 0),))
    assert found.mass_g == pytest.approx((floor + wall) * 200 * 200e-6)


def test_the_other_ways_in_which_a_right_angle_rests() -> None:
    """On its wall, on either end, and astride: all five sides of a prism hold it."""
    found = stood(strip(100, fold_at(50, "gutter")), {"gutter": 90.0}, ["panel 1"])
    ways = {tuple(round(part, 6) + 0.0 for part in rest.onto.rows[2]) for rest in found.others}
    half = round(math.sqrt(0.5), 6)
    # Which way of the pose is up then: the wall, at y = 50, looks to -y, the ends to x.
    assert ways == {(0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, half, -half)}
    astride = next(r for r in found.others if r.onto.rows[2][2] < -0.5)
    # A tent of two sides of 50 mm: 50 / sqrt 2 high, its centre half as high, 25 sqrt 2 in
    # from either edge, and 30 from either end.
    assert astride.centre[2] == pytest.approx(50 / math.sqrt(8))
    assert astride.margin_mm == pytest.approx(30)
    end = next(r for r in found.others if r.onto.rows[2][0] > 0.5)
    # The hull of an L is a triangle, though the paper in it is two lines: the centre lies a
    # quarter of an arm from both arms, and (50 - 25) / sqrt 2 from the third side.
    assert end.margin_mm == pytest.approx(min(12.5, (50 - 25) / math.sqrt(2)))
    assert end.tip_deg == pytest.approx(math.degrees(math.atan2(12.5, 30)))
    assert [rest.tip_deg for rest in found.others] == sorted(
        (rest.tip_deg for rest in found.others), reverse=True
    )


def test_a_card_tips_when_its_wall_leans_out_too_far() -> None:
    """Wall b at an angle f over the floor a: it tips where b² cos f > a² + 2 a b, leaning out."""
    floor, wall = 30.0, 90.0
    text = strip(floor + wall, fold_at(floor, "gutter"), width=200).replace("[60, ", "[200, ")
    for lean in (10.0, 40.0, 60.0):
        found = stood(text, {"gutter": 90.0 - lean}, ["panel 1"]).asked
        out = math.sin(math.radians(lean))
        # Measured from the fold, out of the card.
        centre = (wall * wall * out - floor * floor) / (2 * (floor + wall))
        assert found.margin_mm == pytest.approx(-centre)
        assert found.stands == (centre < 0)
        assert found.tip_deg == pytest.approx(math.degrees(math.atan2(-centre, found.centre[2])))
    assert not found.stands
    assert found.tip_deg < 0


def test_a_box_tips_at_the_angle_of_its_diagonal() -> None:
    """A sleeve w by h, open at both ends: its centre is in its middle, so it tips at atan w / h."""
    width, height = 30.0, 70.0
    lines = (
        fold_at(width, "a"), fold_at(width + height, "b"), fold_at(2 * width + height, "c"),
    )  # fmt: skip
    text = strip(2 * (width + height), *lines, width=200).replace("[60, ", "[200, ")
    found = stood(text, dict.fromkeys("abc", 90.0), ["panel 1"])
    assert found.asked.margin_mm == pytest.approx(width / 2)
    assert found.asked.tip_deg == pytest.approx(math.degrees(math.atan(width / height)))
    assert found.asked.centre == pytest.approx((100, width / 2, height / 2))
    # Six faces: it rests on the other five as well, on two of them as open ends.
    assert len(found.others) == 5
    lying = [rest for rest in found.others if rest.margin_mm == pytest.approx(height / 2)]
    assert [rest.tip_deg for rest in lying] == pytest.approx(
        [math.degrees(math.atan(height / width))] * 2
    )


def test_a_tent_stands_on_two_edges() -> None:
    """Two sides of 100 mm, 60 degrees between them: feet 100 apart, centre half way up."""
    text = strip(200, fold_at(100, "ridge", "mountain", width=148), width=148)
    # Laid on its first side the other one hangs below the table.
    hung = stood(text, {"ridge": 120.0}, ["panel 1"])
    assert hung.asked.below == ("card", 1)
    assert hung.asked.below_mm == pytest.approx(100 * math.sin(math.radians(60)))
    assert not hung.asked.stands
    found = stood(text, {"ridge": 120.0}, ["panel 1", "panel 2"])
    assert found.asked.stands
    assert found.asked.lying == ()
    assert found.asked.touching == (("card", 0), ("card", 1))
    assert found.asked.centre[2] == pytest.approx(50 * math.cos(math.radians(30)))
    assert found.asked.margin_mm == pytest.approx(50)
    assert found.asked.onto != STILL
    assert len(found.asked.polygon) == 4


def strut(k: float, q: float, lean: float, height: float) -> str:
    """A panel that leans back on a strut: hinged k up its back, its foot q behind the panel's."""
    leg = math.hypot(k * math.cos(lean), q - k * math.sin(lean))
    return (
        f'[[piece]]\nname = "panel"\noutline = {{ rectangle = [90, {height}] }}\n'
        '[[piece.panel]]\nname = "picture"\nat = [5, 5]\n'
        f'[[piece]]\nname = "strut"\noutline = {{ rectangle = [50, {leg!r}] }}\n'
        '[[piece.panel]]\nname = "leg"\nat = [5, 5]\n'
        '[[joint]]\nglue = { panel = "leg", face = "back", '
        f"line = [[0, {leg!r}], [50, {leg!r}]] }}\n"
        f'to = {{ panel = "picture", face = "back", line = [[70, {k}], [20, {k}]] }}\n'
    )


@pytest.mark.parametrize("lean_deg", [10.0, 15.0, 20.0])
def test_a_panel_on_a_strut(lean_deg: float) -> None:
    """The strut's foot lies k cos(lean) below its hinge, whatever the pose puts flat."""
    k, q, height, lean = 100.0, 40.0, 150.0, math.radians(lean_deg)
    assembly, resolved = card(strut(k, q, lean, height))
    masses = masses_of(assembly, resolved, {EVERY: 300.0})
    leg = math.hypot(k * math.cos(lean), q - k * math.sin(lean))
    # Upright first: the panel in x and z, its front to -y, leaning back to +y about its foot.
    panel = motion((1, 0, 0), 90.0 - lean_deg)
    hinge = panel.apply3((0.0, k, 0.0))
    foot = (0.0, q, 0.0)
    # The leg's own y runs from its foot to the hinge, its x the other way round.
    run = tuple((a - b) / leg for a, b in zip((0.0, *hinge[1:]), foot, strict=True))
    rows = ((-1.0, 0.0, 0.0), (0.0, run[1], run[2]), (0.0, run[2], -run[1]))
    columns = tuple(zip(*rows, strict=True))
    placed = {
        ("panel", 0): panel,
        ("strut", 0): Motion((columns[0], columns[1], columns[2]), (70.0, q, 0.0)),
    }
    assert placed["strut", 0].apply3((0.0, leg, 0.0)) == pytest.approx((70, *hinge[1:]))
    keys = named(assembly)
    on = [keys["picture"], keys["leg"]]
    upright = standing_of(assembly, placed, masses, on)
    assert upright is not None
    own = masses.panels["panel", 0].mass_g, masses.panels["strut", 0].mass_g
    assert own[0] is not None
    assert own[1] is not None
    back = height / 2 * math.sin(lean), (q + k * math.sin(lean)) / 2
    high = height / 2 * math.cos(lean), k * math.cos(lean) / 2
    y, z = ((own[0] * a + own[1] * b) / sum(own) for a, b in (back, high))  # type: ignore[arg-type]
    # On edges of 90 and 50 mm, q apart: the nearest side is that of the panel's foot, or an
    # oblique one from the end of the one to the end of the other.
    slant = (45 - 20 * y / q) * q / math.hypot(q, 20)
    for shown in (placed, laid_on(placed, ("panel", 0))):
        found = standing_of(assembly, shown, masses, on)
        assert found is not None
        assert found.asked.centre[2] == pytest.approx(z)
        assert found.asked.margin_mm == pytest.approx(min(y, q - y, slant))
        assert found.asked.touching == (("panel", 0), ("strut", 0))
        assert found.asked.lying == ()


def laid_on(placed: Mapping[PanelKey, Motion], key: PanelKey) -> dict[PanelKey, Motion]:
    """The same card with one panel on the table, as a pose lays it."""
    (a, b, c), (d, e, f), (g, h, i) = placed[key].rows
    turn = Motion(((a, d, g), (b, e, h), (c, f, i)), (0.0, 0.0, 0.0))
    x, y, z = turn.apply3(placed[key].shift)
    back = Motion(turn.rows, (-x, -y, -z))
    return {one: back @ motion for one, motion in placed.items()}


def test_a_folded_card_stands_like_a_book() -> None:
    """Its fold upright: of the ways in which both pages touch, the one with y up as drawn."""
    gutter = '[[piece.fold]]\nname = "gutter"\nsense = "valley"\npoints = [[50, 0], [50, 60]]\n'
    found = stood(PLATE + gutter, {"gutter": 90.0}, ["panel 1", "panel 2"])
    assert found.asked.centre[2] == pytest.approx(30)
    assert found.asked.margin_mm == pytest.approx(12.5)
    # Drawn the other way up, its fold level, the same card stands astride.
    text = strip(100, fold_at(50, "gutter"))
    assert stood(text, {"gutter": 90.0}, ["panel 1", "panel 2"]).asked.centre[2] < 20


def test_a_flat_card_rests_on_either_face() -> None:
    found = stood(PLATE, {}, ["panel 1"])
    assert (found.asked.margin_mm, found.asked.tip_deg) == pytest.approx((30, 90))
    (other,) = found.others
    assert (other.margin_mm, other.tip_deg) == pytest.approx((30, 90))
    assert other.onto.rows[2] == pytest.approx((0, 0, -1))


def test_a_flat_card_on_its_edge_tips() -> None:
    """Upright a sheet has no width to stand on."""
    found = stood(PLATE, {}, [], motion((1, 0, 0), 90.0))
    assert found.asked.margin_mm == pytest.approx(0, abs=1e-9)
    assert not found.asked.stands
    assert len(found.others) == 2


def test_a_round_card_on_its_rim_tips() -> None:
    disc = '[[piece]]\nname = "card"\noutline = { circle = [0, 0, 40] }\n'
    found = stood(disc, {}, [], motion((1, 0, 0), 90.0, (0, 0, 40)))
    assert not found.asked.stands
    assert found.asked.centre == pytest.approx((0, 0, 40))


def test_a_card_that_floats_is_let_down() -> None:
    text = strip(100, fold_at(50, "gutter"))
    found = stood(text, {"gutter": 90.0}, [], motion(shift=(0, 0, 7)))
    assert found.asked.onto.shift == pytest.approx((0, 0, -7))
    assert found.asked.margin_mm == pytest.approx(12.5)


def test_a_deeper_floor_stands_safer_and_a_weight_on_the_wall_less_safely() -> None:
    text = strip(120, fold_at(50, "gutter"))
    plain = stood(text, {"gutter": 90.0}, ["panel 1"]).asked
    weight = '[[extra]]\non = "panel {n}"\nat = [30, {y}]\nheight = 2\nmass = 0.5\n'
    front = stood(text + weight.format(n=1, y=20), {"gutter": 90.0}, ["panel 1"]).asked
    wall = stood(text + weight.format(n=2, y=110), {"gutter": 90.0}, ["panel 1"]).asked
    assert wall.tip_deg < plain.tip_deg < front.tip_deg
    # The foam stands up from the front of the wall, which looks over the floor.
    paper = 120 * 60 * 200e-6
    assert wall.margin_mm == pytest.approx((plain.margin_mm * paper + 0.5 * 1.0) / (paper + 0.5))


def test_an_extra_under_the_card_lifts_it() -> None:
    """On its front a card lies on a bead in one corner: on that and two of its own corners."""
    bead = '[[extra]]\non = "panel 1"\nat = [10, 10]\nheight = 4\nsize = {s}\nmass = 0\n'
    for size in (2, [2, 2]):
        text = PLATE + bead.format(s=size)
        on_face = stood(text, {}, ["panel 1"], motion((1, 0, 0), 180.0, (0, 60, 0)))
        assert on_face.asked.below == ("card", 0)
        assert on_face.asked.below_mm == pytest.approx(4)
        assert not on_face.asked.stands
        up = stood(text, {}, ["panel 1"])
        assert up.asked.stands
        # It rocks over the bead: the other way to rest leans.
        assert all(abs(rest.onto.rows[2][2]) < 0.9999 for rest in up.others)
        assert up.others


def test_what_nothing_ties_to_the_card_does_not_hold_it() -> None:
    text = strip(100, fold_at(50, "gutter"))
    loose = text + '[[piece]]\nname = "label"\noutline = { rectangle = [10, 10] }\n'
    assembly, resolved = card(loose)
    masses = masses_of(assembly, resolved, {EVERY: 200.0})
    placed = folded(assembly, {"gutter": 90.0})
    aside = {**placed, ("label", 0): motion(shift=(300, 0, 0))}
    alone = standing_of(assembly, placed, masses, [("card", 0)])
    both = standing_of(assembly, aside, masses, [("card", 0)])
    assert both == alone
    assert both is not None
    assert both.panels == (("card", 0), ("card", 1))
    label = standing_of(assembly, aside, masses, [("label", 0)])
    assert label is not None
    assert label.asked.margin_mm == pytest.approx(5)


def test_an_unknown_mass_is_no_standing() -> None:
    assembly, resolved = card(PLATE)
    masses = masses_of(assembly, resolved, {})
    assert standing_of(assembly, {("card", 0): STILL}, masses) is None
    assert standing_of(assembly, {}, masses_of(assembly, resolved, {EVERY: 9.0})) is None


# The worked example.


def example() -> Mapping[str, Any]:
    found: Mapping[str, Any] = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["step_card"]
    return found


def step_card(dressing: str) -> tuple[Assembly, Standing]:
    known = example()
    width, length = known["base"]
    x = known["slit_x"]
    low, high = (length - at for at in reversed(known["slit_from_top"]))
    senses = ("valley", "mountain")
    folds = "".join(
        f'[[piece.fold]]\nname = "wide {i}"\nsense = "{senses[i % 2]}"\n'
        f"points = [[{x}, {length - at}], [{width}, {length - at}]]\n"
        for i, at in enumerate(known["wide_folds_from_top"])
    )
    gutter = length - known["narrow_fold_from_top"]
    text = (
        '[[piece]]\nname = "base"\nstock = "card"\n'
        f"outline = {{ rectangle = [{width}, {length}] }}\n"
        f"[[piece.slit]]\npoints = [[{x}, {low}], [{x}, {high}]]\n{folds}"
        '[[piece.fold]]\nname = "gutter"\nsense = "valley"\n'
        f"points = [[0, {gutter}], [{x}, {gutter}]]\n"
        f"{dressing}[stock.card]\n[stock.mats]\n"
    )
    assembly, resolved = card(text)
    masses = masses_of(assembly, resolved, {"card": known["base_gsm"], "mats": known["mats_gsm"]})
    turned = {hinge.label: 90.0 for hinge in assembly.divisions["base"].hinges}
    found = standing_of(assembly, folded(assembly, turned), masses, [("base", 0)])
    assert found is not None
    return assembly, found


def test_the_worked_example_of_a_step_card_with_its_mats() -> None:
    known = example()
    bare, _ = step_card("")
    mats = ""
    for width, height, x, y in known["mats"]:
        name = next(
            panel.name
            for panel in bare.divisions["base"].panels
            if _holds(panel.ring.box(), panel.area, x, y)
        )
        mass = width * height * known["mats_gsm"] * 1e-6
        mats += f'[[extra]]\non = "{name}"\nat = [{x}, {y}]\nheight = 0\nmass = {mass!r}\n'
    _, found = step_card(mats)
    gutter = known["base"][1] - known["narrow_fold_from_top"]
    rest = found.asked
    assert round(rest.margin_mm, 1) == known["margin_mm"]
    assert round(rest.tip_deg) == known["tips_at_deg"]
    assert round(gutter - rest.centre[1]) == known["in_front_of_the_wall_mm"]
    assert round(rest.centre[2]) == known["high_mm"]
    assert rest.stands


def _holds(box: tuple[float, float, float, float], area: float, x: float, y: float) -> bool:
    """Whether a panel of the step card holds the middle of a mat: two of them are L-shaped."""
    left, bottom, right, top = box
    if not (left < x < right and bottom < y < top):
        return False
    plain = abs(area - (right - left) * (top - bottom)) < 1.0
    return plain or x < 50 or not 45 < y < 175


def test_mats_with_a_margin_of_3_mm_come_to_the_same_but_for_their_cutting() -> None:
    """One mat on each L-shaped panel holds a little more paper than the two of the example."""
    known = example()
    _, found = step_card('[[mat]]\non = "base"\nmargin = 3\nstock = "mats"\n')
    assert found.asked.margin_mm == pytest.approx(known["margin_mm"], abs=0.2)
    assert found.asked.tip_deg == pytest.approx(known["tips_at_deg"], abs=0.5)


# Properties.


@settings(deadline=None, max_examples=40)
@given(
    # Whole numbers: which corners a hair out of a face belong to it depends on rounding.
    st.lists(st.integers(20, 80), min_size=2, max_size=5),
    st.lists(st.integers(20, 150), min_size=4, max_size=4),
    st.floats(0, 360),
    st.tuples(st.floats(-100, 100), st.floats(-100, 100)),
)
def test_a_card_turned_about_the_vertical_stands_the_same(
    lengths: list[int], angles: list[int], degrees: float, shift: tuple[float, float]
) -> None:
    ends = [sum(lengths[: i + 1]) for i in range(len(lengths))]
    folds = [
        fold_at(end, f"f{i}", ("valley", "mountain")[i % 2]) for i, end in enumerate(ends[:-1])
    ]
    text = strip(ends[-1], *folds)
    turned = {f"f{i}": angles[i] for i in range(len(folds))}
    plain = stood(text, turned)
    moved = stood(text, turned, move=motion((0, 0, 1), degrees, (*shift, 0.0)))
    for one, other in ((plain.asked, moved.asked), *zip(plain.others, moved.others, strict=True)):
        assert one.margin_mm == pytest.approx(other.margin_mm, abs=1e-6)
        assert one.tip_deg == pytest.approx(other.tip_deg, abs=1e-6)
        assert one.centre[2] == pytest.approx(other.centre[2], abs=1e-6)
    # A body at rest with its centre lowest of all ways cannot fall: there is always one.
    assert plain.asked.stands or plain.others
