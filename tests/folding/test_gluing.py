"""In which order joints are glued and in which state of the card: closed forms.

That the first foot of a pop-up is glued flat and the second one by folding the
card shut on it is common practice, no source; so is gluing what is covered
before what covers it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import parse_design, read_design, resolve
from foldwright.design.pieces import Resolved
from foldwright.folding.gluing import GluedWhile, gluing_order, gluing_problems
from foldwright.panels import Assembly, assemble, divide

DESIGNS = Path(__file__).parents[1] / "designs"
DesignOf = Callable[[str], Resolved]
FLAT, CLOSED, NEITHER = GluedWhile.FLAT, GluedWhile.CLOSED, GluedWhile.NEITHER


def assembled(resolved: Resolved) -> Assembly:
    divisions = {piece.name: divide(piece) for piece in resolved.pieces}
    assembly = assemble(divisions, resolved.joints)
    assert len(assembly.joints) == len(resolved.joints)
    return assembly


def steps(resolved: Resolved) -> list[tuple[str, GluedWhile, bool]]:
    """Name, state, and whether it connects, of each joint in its turn."""
    order = gluing_order(assembled(resolved))
    return [(step.joint.joint.name, step.state, step.connects) for step in order]


def names(resolved: Resolved) -> list[str]:
    return [name for name, _, _ in steps(resolved)]


def of_file(name: str) -> Resolved:
    return resolve(read_design(DESIGNS / f"{name}.toml"))


def test_a_v_fold_is_glued_flat_by_one_foot_and_shut_by_the_other() -> None:
    # With all folds at 0 the second foot lies on the wrong side of the gutter.
    assert steps(of_file("v-fold-popup")) == [("left", FLAT, True), ("right", CLOSED, False)]


def test_the_second_foot_of_a_parallelogram_can_be_glued_flat() -> None:
    # 30 + 50 mm from foot to foot, on the pages as on the bench.
    assert steps(of_file("parallel-box")) == [("left", FLAT, True), ("right", FLAT, False)]


def test_a_foot_that_reaches_in_neither_state_is_glued_in_a_pose() -> None:
    text = (DESIGNS / "parallel-box.toml").read_text(encoding="utf-8")
    short = text.replace('["2*foot + a + b", "wide"]', '["2*foot + a + b + 4", "wide"]')
    short = short.replace('walk  = ["b", "a"]', 'walk  = ["b + 2", "a + 2"]')
    # 2 mm more on both treads: open it is 4 mm too long; shut, both moves cancel.
    moved = short.replace('"1.5*foot + a + b"', '"1.5*foot + a + b + 4"')
    moved = moved.replace('"foot + a + b"', '"foot + a + b + 4"')
    assert steps(resolve(parse_design(moved)))[1] == ("right", CLOSED, False)
    one = moved.replace('["b + 2", "a + 2"]', '["b + 4", "a"]')
    assert steps(resolve(parse_design(one)))[1] == ("right", NEITHER, False)


def test_slack_of_a_joint_closes_its_loop_for_gluing_too() -> None:
    text = (DESIGNS / "parallel-box.toml").read_text(encoding="utf-8")
    off = text.replace('"page + b", 40]', '"page + b", 41]').replace(
        '["page + b", "40 + wide"]', '["page + b", "41 + wide"]'
    )
    assert steps(resolve(parse_design(off)))[1][1] is NEITHER
    loose = off.replace('name = "right"\nglue', 'name = "right"\nslack = 1\nglue')
    assert steps(resolve(parse_design(loose)))[1][1] is FLAT


def test_the_seam_of_a_box_is_glued_at_its_closed_angles() -> None:
    assert steps(of_file("glued-box")) == [("seam", CLOSED, False)]


def test_a_strut_is_glued_flat() -> None:
    assert steps(of_file("strut")) == [("tongue", FLAT, True)]
    assert gluing_order(assembled(of_file("harbour-steps"))) == ()


def test_a_box_on_two_feet_and_its_loop() -> None:
    first, second = gluing_order(assembled(of_file("everything")))
    assert (first.loop, first.after) == (None, ())
    assert second.loop is not None
    assert second.loop.steps[0].joint is second.joint


def plate(name: str, width: float, height: float, fold: str = "") -> str:
    return f"""
        [[piece]]
        name = "{name}"
        outline = {{ rectangle = [{width}, {height}] }}
        {fold}
        """


def patch(name: str, height: float, at: tuple[float, float], on: str = "page") -> str:
    """A joint of the lower edge, 10 mm long, of a piece that then lies above it."""
    x, y = at
    return f"""
        [[joint]]
        name = "{name}"
        glue = {{ panel = "{name}/panel 1", face = "back", line = [[0, 0], [10, 0]] }}
        to = {{ panel = "{on}/panel 1", face = "front", line = [[{x}, {y}], [{x + 10}, {y}]] }}
        """


PAGE = plate("page", 100, 100)


def test_what_is_covered_is_glued_first_whatever_the_file_says(design_of: DesignOf) -> None:
    # The large patch covers x 20 to 60, y 20 to 60 of the page; the small one lies within.
    pieces = PAGE + plate("large", 40, 40) + plate("small", 10, 5)
    large, small = patch("large", 40, (20, 20)), patch("small", 5, (30, 30))
    resolved = design_of(pieces + large + small)
    assert names(resolved) == ["small", "large"]
    assert names(design_of(pieces + small + large)) == ["small", "large"]
    over = gluing_order(assembled(resolved))[1]
    assert [joint.joint.name for joint in over.after] == ["small"]
    assert list(gluing_problems(assembled(resolved))) == []


@pytest.mark.parametrize(
    ("x", "y", "first"),
    [
        (15.0, 30.0, "small"),  # half of its line is under the large patch
        (5.0, 30.0, "large"),  # beside it
        (10.0, 30.0, "large"),  # the end of the line touches its edge
        (30.0, 20.0, "large"),  # along its lower edge
        (30.0, 60.0, "large"),  # along its upper edge
        (30.0, 20.01, "small"),
        (30.0, 59.99, "small"),
        (30.0, 19.99, "large"),
    ],
)
def test_only_a_line_inside_the_footprint_is_covered(
    design_of: DesignOf, x: float, y: float, first: str
) -> None:
    pieces = PAGE + plate("large", 40, 40) + plate("small", 10, 5)
    resolved = design_of(pieces + patch("large", 40, (20, 20)) + patch("small", 5, (x, y)))
    assert names(resolved)[0] == first


def test_a_line_seen_through_a_window_is_not_covered(design_of: DesignOf) -> None:
    window = "[[piece.opening]]\n        rectangle = [5, 5, 30, 30]"
    pieces = PAGE + plate("large", 40, 40, window) + plate("small", 10, 5)
    text = pieces + patch("large", 40, (20, 20)) + patch("small", 5, (30, 30))
    assert names(design_of(text)) == ["large", "small"]
    # Past the edge of the window the same line is covered.
    assert names(design_of(text.replace("[5, 5, 30, 30]", "[5, 5, 10, 30]"))) == ["small", "large"]


def test_the_other_face_is_not_covered(design_of: DesignOf) -> None:
    pieces = PAGE + plate("large", 40, 40) + plate("small", 10, 5)
    behind = patch("small", 5, (30, 30)).replace('face = "front"', 'face = "back"')
    assert names(design_of(pieces + patch("large", 40, (20, 20)) + behind)) == ["large", "small"]


def test_what_is_glued_under_the_covering_piece_comes_first_too(design_of: DesignOf) -> None:
    # The small patch is glued to the underside of the large one, between it and the page.
    pieces = PAGE + plate("large", 40, 40) + plate("small", 10, 5)
    under = patch("small", 5, (20, 20), on="large").replace('"front"', '"back"')
    assert names(design_of(pieces + patch("large", 40, (20, 20)) + under)) == ["small", "large"]
    above = patch("small", 5, (20, 20), on="large")
    assert names(design_of(pieces + patch("large", 40, (20, 20)) + above)) == ["large", "small"]


def test_a_piece_turned_over_covers_the_other_side_of_its_line(design_of: DesignOf) -> None:
    # Front on front: the large patch lies below its line, y -20 to 20 of the page.
    pieces = PAGE + plate("large", 40, 40) + plate("small", 10, 5)
    turned = patch("large", 40, (20, 50)).replace('face = "back"', 'face = "front"')
    for y, order in ((30, ["small", "large"]), (60, ["large", "small"])):
        assert names(design_of(pieces + turned + patch("small", 5, (30, y)))) == order


def test_two_lines_of_glue_of_one_panel_are_pressed_on_together(design_of: DesignOf) -> None:
    upper = """
        [[joint]]
        name = "upper"
        glue = { panel = "large/panel 1", face = "back", line = [[10, 30], [20, 30]] }
        to = { panel = "page/panel 1", face = "front", line = [[30, 50], [40, 50]] }
        """
    resolved = design_of(PAGE + plate("large", 40, 40) + patch("large", 40, (20, 20)) + upper)
    assert steps(resolved) == [("large", FLAT, True), ("upper", FLAT, False)]
    assert list(gluing_problems(assembled(resolved))) == []


def test_patches_that_cover_each_other_are_told(design_of: DesignOf) -> None:
    # Each patch, 40 by 40 mm, is glued by 10 mm in its middle, under the other one.
    def middle(name: str, x: float, y: float) -> str:
        return f"""
        [[joint]]
        name = "{name}"
        glue = {{ panel = "{name}/panel 1", face = "back", line = [[15, 20], [25, 20]] }}
        to = {{ panel = "page/panel 1", face = "front", line = [[{x}, {y}], [{x + 10}, {y}]] }}
        """

    pieces = PAGE + "".join(plate(name, 40, 40) for name in ("a", "b", "c"))
    far = middle("c", 85, 95).replace("[[15, 20], [25, 20]]", "[[0, 0], [10, 0]]")
    assembly = assembled(design_of(pieces + far + middle("b", 40, 40) + middle("a", 45, 45)))
    (told,) = gluing_problems(assembly)
    assert (told.rule, told.severity, told.at) == ("glued-in-a-ring", "warn", (45, 40))
    assert 'none of joint "b" and joint "a" can be glued first' in told.message
    # All are still listed, in the order of the file.
    assert [step.joint.joint.name for step in gluing_order(assembly)] == ["c", "b", "a"]
    apart = assembled(design_of(pieces + middle("b", 20, 20) + middle("a", 65, 65)))
    assert list(gluing_problems(apart)) == []


def test_what_waits_for_a_ring_comes_after_it(design_of: DesignOf) -> None:
    def middle(name: str, x: float, y: float) -> str:
        return f"""
        [[joint]]
        name = "{name}"
        glue = {{ panel = "{name}/panel 1", face = "back", line = [[15, 20], [25, 20]] }}
        to = {{ panel = "page/panel 1", face = "front", line = [[{x}, {y}], [{x + 10}, {y}]] }}
        """

    pieces = PAGE + plate("sheet", 90, 90) + plate("a", 40, 40) + plate("b", 40, 40)
    sheet = patch("sheet", 90, (5, 5))
    resolved = design_of(pieces + sheet + middle("b", 40, 40) + middle("a", 45, 45))
    assert names(resolved) == ["b", "a", "sheet"]


def test_the_joint_that_comes_last_closes_the_loop(design_of: DesignOf) -> None:
    # A strip glued by both ends; under its second end lies a patch, which moves
    # nothing.  Under the first end lies another one, glued before it.
    strip = plate("strip", 60, 10)
    ends = """
        [[joint]]
        name = "left end"
        glue = { panel = "strip/panel 1", face = "back", line = [[0, 0], [0, 10]] }
        to = { panel = "page/panel 1", face = "front", line = [[20, 20], [20, 30]] }
        [[joint]]
        name = "right end"
        glue = { panel = "strip/panel 1", face = "back", line = [[60, 0], [60, 10]] }
        to = { panel = "page/panel 1", face = "front", line = [[80, 20], [80, 30]] }
        """
    resolved = design_of(PAGE + strip + plate("small", 10, 5) + ends + patch("small", 5, (30, 22)))
    assert steps(resolved) == [
        ("small", FLAT, True),
        ("left end", FLAT, True),
        ("right end", FLAT, False),
    ]


@given(order=st.permutations(range(6)))
def test_a_pile_is_glued_from_the_lowest_up(design_of: DesignOf, order: list[int]) -> None:
    # Patch n covers every patch with a smaller number, in whatever order they are written.
    sizes = [10 + 12 * number for number in range(6)]
    pieces = PAGE + "".join(plate(f"p{n}", size, size) for n, size in enumerate(sizes))
    joints = "".join(patch(f"p{n}", sizes[n], (35 - 5 * n, 35 - 5 * n)) for n in order)
    assert names(design_of(pieces + joints)) == [f"p{number}" for number in range(6)]
