"""The closed card of a proof: plies, thickness, mass, spill and balance, by hand and by number."""

from __future__ import annotations

import math
import sys
from collections import Counter
from functools import partial
from pathlib import Path

import pytest

from foldwright.design import parse_design, read_design
from foldwright.problems import Problem, Severity
from foldwright.proving import Proof, closed_stack, prove_design
from foldwright.proving.model import ClosedStack
from foldwright.stacking import order
from foldwright.stacking.order import Blocked, PlyOrder, plies_at
from foldwright.stacking.spill import NoCover, Spilled

DESIGNS = Path(__file__).parents[1] / "designs"

# Grammage in g/mm2 and caliper in mm of card-200.
GRAMMAGE = 200e-6
CALIPER = 0.23


def proof_of(text: str, *materials: str, overrides: dict[str, str] | None = None) -> Proof:
    return prove_design(
        parse_design(text, "card.toml"),
        materials=materials or ["card-200"],
        overrides=overrides or {},
    )


def strip(folds: str, more: str = "", *, long: int = 160) -> str:
    """A strip 50 mm wide along y, with folds as `100V 160M`."""
    text = f'format = 1\nname = "strip"\nunits = "mm"\n{more}\n'
    text += f'[[piece]]\nname = "card"\noutline = {{ rectangle = [50, {long}] }}\n'
    for fold in folds.split():
        sense = {"V": "valley", "M": "mountain"}[fold[-1]]
        text += f'[[piece.fold]]\nname = "at {fold[:-1]}"\nsense = "{sense}"\n'
        text += f"points = [[0, {fold[:-1]}], [50, {fold[:-1]}]]\n"
    return text


def stack_of(proof: Proof) -> ClosedStack:
    assert proof.closed_stack is not None
    return proof.closed_stack


def found(proof: Proof, rule: str) -> Problem:
    (one,) = [one for one in proof.findings if one.rule == rule]
    return one


def rules(proof: Proof) -> set[str]:
    return {one.rule for one in proof.findings}


@pytest.fixture(scope="module")
def harbour() -> Proof:
    return prove_design(read_design(DESIGNS / "harbour-steps.toml"))


# The harbour steps, by hand


def test_the_plies_of_the_harbour_steps(harbour: Proof) -> None:
    """Shut, the steps of 98 mm lie between 7.5 and 45 mm above the lower edge.

    Measured along y on the closed card the folds are at 45, 10, 40, 5 and 35: from 45 down
    35 (riser), up 30 (tread), down 35, up 30, and the wall from there up to 0.  Between
    neighbouring ends 2 plies lie below 5, 4 from 5 to 10, 6 to 35, 4 to 40, 2 to 45.
    """
    stack = stack_of(harbour)
    steps = Counter[tuple[int, float]]()
    for cell in stack.cover.cells:
        left, bottom, right, top = cell.polygon.bounds
        if left >= 50.0 - 1e-9:
            assert (left, right) == pytest.approx((50, 148))
            steps[len(cell.panels), round(top - bottom, 6)] += 1
    assert steps == {(4, 5.0): 2, (6, 25.0): 1, (2, 5.0): 1}
    (wide,) = [cell for cell in stack.cover.cells if cell.polygon.bounds[0] < 1.0]
    assert len(wide.panels) == 2
    whole = sum(cell.polygon.area * len(cell.panels) for cell in stack.cover.cells)
    assert whole == pytest.approx(148 * 210 - (4 - math.pi) * 9.0, rel=1e-6)
    assert isinstance(stack.order, PlyOrder)
    for cell in stack.cover.cells:
        plies = plies_at(stack.order, cell)
        names = [harbour.assembly.divisions[piece].panels[index].name for piece, index in plies]
        # The gutter is a valley: the floor is below all others and the wall above them.
        assert names[0] == "front floor"
        assert "panel 3" not in names[:-1]


def test_thickness_and_mass_of_the_harbour_steps(harbour: Proof) -> None:
    assert harbour.closed is not None
    assert harbour.closed.thickness_mm == pytest.approx(6 * CALIPER)
    area = 148 * 210 - (4 - math.pi) * 9.0  # the corners are rounded by 3 mm
    # Arcs are polygons in the figures: a hundred thousandth of the card.
    assert harbour.closed.mass_g == pytest.approx(area * GRAMMAGE, rel=1e-5)
    assert "closed-too-thick" not in rules(harbour)


def test_how_the_harbour_steps_stand(harbour: Proof) -> None:
    """Upright paper and level paper in turn, each a product of length, place and height.

    What a round corner of radius r lacks is (1 - pi / 4) r^2, at r (10 - 3 pi) / (12 - 3 pi)
    from both of its sides.
    """
    level, upright = "level", "upright"
    # Width, length, where it begins: y, z.
    parts = [
        (50.0, 105.0, level, 0.0, 0.0),
        (50.0, 105.0, upright, 105.0, 0.0),
        (98.0, 45.0, level, 0.0, 0.0),
        (98.0, 35.0, upright, 45.0, 0.0),
        (98.0, 30.0, level, 45.0, 35.0),
        (98.0, 35.0, upright, 75.0, 35.0),
        (98.0, 30.0, level, 75.0, 70.0),
        (98.0, 35.0, upright, 105.0, 70.0),
    ]
    area = y = z = 0.0
    for width, length, way, at_y, at_z in parts:
        area += width * length
        y += width * length * (at_y + (length / 2 if way is level else 0.0))
        z += width * length * (at_z + (length / 2 if way is upright else 0.0))
    lacks = (1 - math.pi / 4) * 9.0
    off = 3.0 * (10 - 3 * math.pi) / (12 - 3 * math.pi)
    area -= 4 * lacks
    y -= 2 * lacks * (off + 105.0)
    z -= 2 * lacks * (105.0 - off)
    y, z = y / area, z / area
    # It stands on the floor and on the foot of the wall: what is nearest is the line from
    # the right end of the lowest riser, (148, 45), to the right end of the gutter, (50, 105).
    margin = ((74.0 - 148.0) * 60.0 + (y - 45.0) * 98.0) / -math.hypot(98.0, 60.0)
    (pose,) = [one for one in harbour.poses if one.name == "standing"]
    assert pose.standing is not None
    asked = pose.standing.asked
    assert asked.stands
    assert asked.centre == pytest.approx((74.0, y, z), abs=1e-3)
    assert asked.margin_mm == pytest.approx(margin, abs=1e-3)
    assert asked.tip_deg == pytest.approx(math.degrees(math.atan2(margin, z)), abs=1e-3)


@pytest.mark.parametrize(
    ("gutter", "on"),
    [("90", "front"), ("60", "back")],
)
def test_two_panels_balance_by_their_centres(gutter: str, on: str) -> None:
    """Panels of 100 and 60 mm; the one on the table, the other leans over it or stands up."""
    text = strip("100V", long=160) + (
        '[[piece.panel]]\nname = "front"\nat = [25, 10]\n'
        '[[piece.panel]]\nname = "back"\nat = [25, 150]\n'
        f'[[pose]]\nname = "up"\nhold = {{ "at 100" = {gutter} }}\non = ["card/{on}"]\n'
    )
    proof = proof_of(text)
    (pose,) = [one for one in proof.poses if one.name == "up"]
    assert pose.standing is not None
    lies, stands = (100.0, 60.0) if on == "front" else (60.0, 100.0)
    # Along the floor from the fold; turned by t the other panel leads away from it by cos t.
    turned = math.radians(float(gutter))
    along = (lies * lies / 2 - stands * stands / 2 * math.cos(turned)) / 160.0
    height = stands * stands / 2 * math.sin(turned) / 160.0
    margin = min(along, lies - along, 25.0)
    asked = pose.standing.asked
    assert asked.stands is (along > 0)
    assert asked.margin_mm == pytest.approx(margin, abs=1e-5)
    assert asked.centre[2] == pytest.approx(height, abs=1e-6)
    if asked.stands:
        tip = math.degrees(math.atan2(margin, height))
        assert asked.tip_deg == pytest.approx(tip, abs=1e-4)


# Spill


SPILLS = """format = 1
name = "spills"
units = "mm"
[measures]
page = 110
[limits]
closed = [50, {most}]
[[piece]]
name = "card"
outline = {{ rectangle = [50, "140 + page"] }}
[[piece.panel]]
name = "front"
at = [25, 10]
cover = true
[[piece.fold]]
name = "first"
sense = "valley"
points = [[0, 100], [50, 100]]
[[piece.fold]]
name = "second"
sense = "mountain"
points = [[0, "100 + page"], [50, "100 + page"]]
"""


@pytest.mark.parametrize(("most", "severity"), [(120, Severity.WARN), (105, Severity.STOP)])
def test_a_spill_and_the_measure_that_ends_it(most: int, severity: Severity) -> None:
    """The running sum of the bands: 100 up, 110 down, 40 up reaches 10 below the cover."""
    text = SPILLS.format(most=most)
    proof = proof_of(text)
    spilled = stack_of(proof).spilled
    assert isinstance(spilled, Spilled)
    assert spilled.mm == pytest.approx(10.0)
    spills = found(proof, "spills")
    assert spills.severity is severity
    assert spills.measure_mm == pytest.approx(10.0)
    assert spills.mend == "change page from 110 mm to 100 mm"
    assert ("closed-too-large" in rules(proof)) is (severity is Severity.STOP)
    (mend,) = stack_of(proof).mends
    assert (mend.measure, float(mend.to_mm)) == ("page", 100.0)
    # The mend is good, and one step of the ruler less is not enough.
    assert "spills" not in rules(proof_of(text, overrides={"page": "100 mm"}))
    assert "spills" in rules(proof_of(text, overrides={"page": "101 mm"}))


# What there is to say


def test_a_strip_that_cannot_lie_flat_stops() -> None:
    """Outer panels of 30 mm over a middle of 10, both folded in: each is in the other's way."""
    proof = proof_of(strip("30V 40V", long=70))
    assert not proof.proven
    blocked = found(proof, "plies-blocked")
    assert (blocked.severity, blocked.piece) == (Severity.STOP, "card")
    stack = stack_of(proof)
    assert isinstance(stack.order, Blocked)
    assert len(stack.order.panels) == 3
    # What sticks out is not guessed; how many plies lie there is known all the same.
    assert isinstance(stack.spilled, NoCover)
    assert "spill-not-judged" in rules(proof)
    assert stack.thickness.mm == pytest.approx(3 * CALIPER)
    assert "plies-blocked" not in rules(proof_of(strip("30V 40M", long=70)))


@pytest.mark.parametrize("solver", [True, False])
def test_a_search_that_is_cut_short_says_so(
    monkeypatch: pytest.MonkeyPatch, *, solver: bool
) -> None:
    """Two flaps folded onto one page: which of them is on top is free, so it takes a guess."""
    text = strip("100V 200V", long=300)
    known = proof_of(text)
    assert isinstance(stack_of(known).order, PlyOrder)
    monkeypatch.setattr(closed_stack, "ply_order", partial(order.ply_order, nodes=0))
    if not solver:
        monkeypatch.setitem(sys.modules, "pysat.solvers", None)
    proof = proof_of(text)
    stack = stack_of(proof)
    assert isinstance(stack.order, PlyOrder) is solver
    assert ("plies-undecided" in rules(proof)) is not solver
    # What does not depend on the order is known all the same.
    assert stack.thickness.mm == pytest.approx(3 * CALIPER)
    if not solver:
        note = found(proof, "plies-undecided")
        assert (note.severity, note.piece) == (Severity.NOTE, "card")
        assert 'install the extra "layers"' in note.mend
        assert isinstance(stack.spilled, NoCover)
        assert proof.proven


def test_a_box_is_no_stack() -> None:
    proof = prove_design(read_design(DESIGNS / "glued-box.toml"), materials=["card-200"])
    assert proof.closed_stack is None
    assert proof.closed is not None
    assert proof.closed.thickness_mm is None
    assert proof.closed.mass_g is not None
    note = found(proof, "closed-not-flat")
    assert note.severity is Severity.NOTE
    assert proof.proven


def test_a_card_that_does_not_close_has_no_stack() -> None:
    design = read_design(DESIGNS / "harbour-steps.toml")
    proof = prove_design(design, overrides={"spine_y": "107"})
    assert proof.closed_stack is None
    assert found(proof, "stack-not-judged").severity is Severity.NOTE
    assert proof.closed is not None
    assert proof.closed.thickness_mm is None
    # It weighs what it weighs, folded or not.
    assert proof.closed.mass_g == pytest.approx(
        (148 * 210 - (4 - math.pi) * 9) * GRAMMAGE, rel=1e-5
    )


def test_a_card_of_one_panel() -> None:
    proof = proof_of(strip("", long=100))
    stack = stack_of(proof)
    (cell,) = stack.cover.cells
    assert cell.polygon.area == pytest.approx(5000.0)
    assert proof.closed is not None
    assert (proof.closed.thickness_mm, proof.closed.mass_g) == (CALIPER, 1.0)
    assert isinstance(stack.spilled, Spilled)
    assert stack.spilled.mm == 0.0
    assert rules(proof) == set()


@pytest.mark.parametrize(
    ("extra", "rule", "mass", "thick"),
    [
        ("at = [500, 500]\nsize = 4\nheight = 2\nmass = 3", "extra-off-its-piece", 4.6, 2.0),
        ("at = [25, 50]\nsize = 4\nheight = 2\nmass = 3", None, 4.6, 2.46),
        ("at = [25, 50]\nsize = 4\nheight = 2", "extra-mass-unknown", None, 2.46),
        ("at = [25, 50]\nsize = 4\nmass = 3", "thickness-unknown", 4.6, None),
    ],
)
def test_an_extra_on_and_off_the_card(
    extra: str, rule: str | None, mass: float | None, thick: float | None
) -> None:
    """50 by 160 mm of 200 g/m2 are 1.6 g; two plies are 0.46 mm, and beside the card are none."""
    text = strip("80V") + '[[piece.panel]]\nname = "front"\nat = [25, 10]\n'
    proof = proof_of(f'{text}[[extra]]\nname = "gem"\non = "card/front"\n{extra}\n')
    assert proof.closed is not None
    known = proof.closed.mass_g, proof.closed.thickness_mm
    assert known == pytest.approx((mass, thick))
    assert rule is None or rule in rules(proof)


def test_an_unknown_grammage_is_no_mass() -> None:
    text = strip("80V", "[limits]\nstands = true")
    text += '[[pose]]\nname = "up"\nhold = { "at 80" = 90 }\n'
    proof = prove_design(parse_design(text, "card.toml"))
    assert proof.closed is not None
    assert (proof.closed.mass_g, proof.closed.thickness_mm) == (None, None)
    assert (proof.closed.width_mm, proof.closed.height_mm) == (50, 80)
    assert {"grammage-unknown", "standing-unknown", "material-unknown"} <= rules(proof)
    (pose,) = [one for one in proof.poses if one.name == "up"]
    assert pose.standing is None


@pytest.mark.parametrize(("hold", "stands"), [(90, True), (100, True), (20, False)])
def test_the_limit_of_standing(hold: int, stands: bool) -> None:
    """60 mm lie on the table; 100 mm turned up by 20 degrees reach far past the fold."""
    text = strip("60V", "[limits]\nstands = true")
    text += '[[piece.panel]]\nname = "floor"\nat = [25, 10]\n'
    text += f'[[pose]]\nname = "up"\nhold = {{ "at 60" = {hold} }}\non = ["card/floor"]\n'
    proof = proof_of(text)
    assert proof.proven is stands
    if not stands:
        assert found(proof, "tips").severity is Severity.STOP
        assert "tips" in rules(proof_of(text.replace("stands = true", "stands = false")))
        assert proof_of(text.replace("stands = true", "stands = false")).proven


def test_the_closed_size_is_that_of_all_pieces() -> None:
    """A tag of 40 mm glued 10 mm inside the upper edge of a page sticks out by 30 mm."""
    text = strip("80V", long=160) + (
        '[[piece.panel]]\nname = "front"\nat = [25, 10]\n'
        '[[piece]]\nname = "tag"\noutline = { rectangle = [20, 40] }\n'
        '[[joint]]\nglue = { panel = "tag/panel 1", face = "back", line = [[0, 30], [20, 30]] }\n'
        'to = { panel = "card/front", face = "front", line = [[15, 0], [35, 0]] }\n'
    )
    proof = proof_of(text)
    assert proof.closed is not None
    assert (proof.closed.width_mm, proof.closed.height_mm) == (50, 110)
    assert proof.closed.mass_g == pytest.approx((50 * 160 + 20 * 40) * GRAMMAGE)
    assert proof.closed.thickness_mm == pytest.approx(3 * CALIPER)
    assert "first-piece-measured" not in rules(proof)
    assert found(proof, "spills").measure_mm == pytest.approx(30.0)
    loose = proof_of(text[: text.index("[[joint]]")])
    assert loose.closed is not None
    assert (loose.closed.width_mm, loose.closed.height_mm) == (50, 80)
    assert "first-piece-measured" in rules(loose)
