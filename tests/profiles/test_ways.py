"""This module holds the refusals: no laser for what is unknown or harmful, whatever a file says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.problems import ProfileError
from foldwright.profiles import Profile, Tool, load_material, way_for
from foldwright.profiles.make_up import BURNABLE, DOUBTFUL, HARMFUL, doubt_in, harm_in, is_burnable


def own(folder: Path, *lines: str, name: str = "own.toml") -> Profile:
    (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    return load_material(name, beside=folder)


def whole(made_of: str) -> str:
    """A file that rests on nothing, with all that a laser needs."""
    text = (Path(__file__).parents[2] / "profiles/materials/card-200.toml").read_text("utf-8")
    assert 'made_of  = "paper"\n' in text
    return text.replace('made_of  = "paper"\n', made_of)


def refusals(profile: Profile, tool: Tool) -> list[str]:
    with pytest.raises(ProfileError) as caught:
        way_for(profile, tool)
    return [problem.rule for problem in caught.value.problems]


@pytest.mark.parametrize("made_of", [*BURNABLE, "Paper", "  kraft   board ", "WOOD"])
def test_what_is_known_may_be_burned(made_of: str) -> None:
    profile = replace(load_material("card-200"), made_of=made_of)
    assert way_for(profile, Tool.LASER).tool is Tool.LASER


@pytest.mark.parametrize(
    "made_of", ["", " ", "mystery", "plastic", "paper and film", "felt", "polypropylene", "papers"]
)
def test_what_is_unknown_is_refused_for_a_laser_only(made_of: str) -> None:
    profile = replace(load_material("card-200"), made_of=made_of)
    assert refusals(profile, Tool.LASER) == ["unknown-make-up"]
    assert way_for(profile, Tool.KNIFE).tool is Tool.KNIFE
    assert way_for(profile, Tool.HAND).tool is Tool.HAND


@pytest.mark.parametrize(
    "made_of",
    [
        *HARMFUL, "PVC", "Vinyl", "vinyls", "paper with a PVC film", "polyvinyl-chloride",
        "flame-retarded foam", "artificial_leather", "glitter board (vinyl)", "board, ABS",
    ],
)  # fmt: skip
def test_what_is_harmful_is_refused_for_a_laser_only(made_of: str) -> None:
    profile = replace(load_material("card-200"), made_of=made_of)
    assert refusals(profile, Tool.LASER) == ["harmful-fumes"]
    assert way_for(profile, Tool.KNIFE).tool is Tool.KNIFE


def test_paper_and_wood_are_not_taken_for_something_harmful() -> None:
    assert [made_of for made_of in BURNABLE if harm_in(made_of) is not None] == []
    assert harm_in("absorbent paper") is None
    assert harm_in(None) is None


@given(st.text(max_size=30))
def test_only_what_is_on_the_list_is_burned(made_of: str) -> None:
    assert is_burnable(made_of) is (" ".join(made_of.lower().split()) in BURNABLE)


def test_the_refusal_says_what_is_known_and_where(tmp_path: Path) -> None:
    profile = own(tmp_path, whole(""))
    with pytest.raises(ProfileError) as caught:
        way_for(profile, Tool.LASER)
    line = str(caught.value)
    assert line.startswith(
        f'{tmp_path / "own.toml"}:4: stop: it is not known what the material "card-200" is made of '
        "(made_of is missing)"
    )
    assert "cotton paper" in line


# What lies on paper or behind it: refused by workshops, or to be asked about.
@pytest.mark.parametrize(
    "words",
    [
        *DOUBTFUL, "glitter card", "Mirror card, silver", "card with an adhesive back",
        "self-adhesive paper", "gloss-coated card", "FOILED", "stickers", "foam sheet",
        "card, laminated", "chipboard with plastic film", "glossy photo card", "gummed paper",
        "leather card", "carbon fibre board", "magnetic card", "acrylic, 3 mm", "flocked paper",
    ],
)  # fmt: skip
@pytest.mark.parametrize("key", ["name", "about"])
def test_layers_and_foam_are_for_the_workshop_to_say(words: str, key: str, tmp_path: Path) -> None:
    own(tmp_path, 'based_on = "card-200"', f'{key} = "{words}"', name="a.toml")
    # A file laid over it does not unsay it.
    top = own(tmp_path, 'based_on = "a.toml"', 'name = "x"', 'about = "y"', 'made_of = "paper"')
    assert refusals(top, Tool.LASER) == ["ask-the-workshop"]
    with pytest.raises(ProfileError, match="ask the workshop that has the laser"):
        way_for(top, Tool.LASER)
    assert way_for(top, Tool.KNIFE).tool is Tool.KNIFE


@pytest.mark.parametrize(
    "words", ["uncoated card", "not coated", "un-coated", "paper", "no foil", "a film star", None]
)
def test_what_has_no_layer_is_not_asked_about(words: str | None) -> None:
    assert doubt_in(words) is None


# A user's own file.


@pytest.mark.parametrize(
    ("made_of", "rule"),
    [
        ("", "unknown-make-up"),
        ('made_of = ""\n', "unknown-make-up"),
        ('made_of = "secret"\n', "unknown-make-up"),
        ('made_of = "pvc"\n', "harmful-fumes"),
    ],
)
def test_a_users_own_file_is_refused_like_any_other(
    made_of: str, rule: str, tmp_path: Path
) -> None:
    assert refusals(own(tmp_path, whole(made_of)), Tool.LASER) == [rule]


def test_a_users_own_file_of_something_known_is_good(tmp_path: Path) -> None:
    assert way_for(own(tmp_path, whole('made_of = "cotton paper"\n')), Tool.LASER).kerf is not None


def test_a_base_that_is_harmful_stays_so_under_any_number_of_files(tmp_path: Path) -> None:
    own(tmp_path, whole('made_of = "vinyl"\n'), name="a.toml")
    own(tmp_path, 'based_on = "a.toml"', 'name = "nice card"', 'made_of = "paper"', name="b.toml")
    top = own(tmp_path, 'based_on = "b.toml"', 'made_of = "cotton paper"')
    assert (top.made_of, top.harmful) == ("cotton paper", "vinyl")
    assert refusals(top, Tool.LASER) == ["harmful-fumes"]
    with pytest.raises(ProfileError, match=r'"nice card" \(vinyl\) gives off hydrogen chloride'):
        way_for(top, Tool.LASER)


def test_a_harmful_file_in_the_middle_stays_harmful(tmp_path: Path) -> None:
    own(tmp_path, 'based_on = "card-200"', 'made_of = "pvc film"', name="a.toml")
    assert refusals(own(tmp_path, 'based_on = "a.toml"', 'made_of = "paper"'), Tool.LASER) == [
        "harmful-fumes"
    ]


def test_a_base_named_for_something_harmful_is_not_made_good_by_a_new_name(tmp_path: Path) -> None:
    own(tmp_path, 'based_on = "card-200"', 'name = "vinyl film"', name="a.toml")
    top = own(tmp_path, 'based_on = "a.toml"', 'name = "film"', 'made_of = "paper"')
    assert top.made_of == "paper"
    assert refusals(top, Tool.LASER) == ["harmful-fumes"]


@pytest.mark.parametrize("steps", [1, 2])
def test_the_make_up_of_a_base_is_not_that_of_a_users_own_sheet(tmp_path: Path, steps: int) -> None:
    """What an own sheet is made of its own file says, not the card it was compared with."""
    base = "card-300"
    for step in range(steps):
        made_of = 'made_of = "board"' if step < steps - 1 else ""
        lines = 'name = "black card"', f'based_on = "{base}"', made_of
        base = f"own-{step}.toml"
        profile = own(tmp_path, *lines, name=base)
    assert profile.made_of is None
    assert way_for(profile, Tool.KNIFE).tool is Tool.KNIFE
    with pytest.raises(ProfileError) as caught:
        way_for(profile, Tool.LASER)
    (problem,) = caught.value.problems
    assert problem.rule == "unknown-make-up"
    assert "made_of is missing, and that of" in problem.message
    assert 'add the line made_of = "..." to its file' in problem.mend


def test_a_users_own_sheet_that_says_what_it_is_made_of_is_good(tmp_path: Path) -> None:
    profile = own(tmp_path, 'name = "kraft"', 'based_on = "card-300"', 'made_of = "kraft board"')
    assert way_for(profile, Tool.LASER).tool is Tool.LASER


def test_emptying_the_make_up_of_a_good_base_makes_it_unknown(tmp_path: Path) -> None:
    profile = own(tmp_path, 'based_on = "card-200"', 'made_of = ""')
    assert refusals(profile, Tool.LASER) == ["unknown-make-up"]


# Tools that a profile has nothing for, or refuses.


def test_a_tool_that_is_missing_names_those_that_are_there() -> None:
    card = load_material("card-200")
    tools = {Tool.HAND: card.tools[Tool.HAND], Tool.LASER: card.tools[Tool.LASER]}
    profile = replace(card, tools=MappingProxyType(tools))
    with pytest.raises(
        ProfileError,
        match=r'"card-200" has nothing for the tool "knife"; use hand or laser, or add '
        r"\[tool.knife\] to the material's file \(no-tool-way\)",
    ):
        way_for(profile, Tool.KNIFE)


def test_a_material_for_no_tool_at_all() -> None:
    profile = replace(load_material("card-200"), tools=MappingProxyType({}))
    with pytest.raises(ProfileError, match="use another material"):
        way_for(profile, Tool.HAND)


def test_a_refused_tool_says_why(tmp_path: Path) -> None:
    profile = own(tmp_path, 'based_on = "card-300"', '[tool.knife]\nrefused = "it is too thick"')
    with pytest.raises(
        ProfileError,
        match=r'is not for the tool "knife": it is too thick; use hand or laser \(refused-tool\)',
    ):
        way_for(profile, Tool.KNIFE)
    assert way_for(profile, Tool.HAND).tool is Tool.HAND


def test_a_refused_tool_needs_no_figures(tmp_path: Path) -> None:
    lines = whole("").split("[tool.laser]")[0] + '[tool.laser]\nrefused = "it melts"\n'
    profile = own(tmp_path, lines)
    # What the file refuses itself needs no advice on how to have it burned.
    assert refusals(profile, Tool.LASER) == ["refused-tool"]


def test_a_refusal_is_not_taken_back_by_a_file_above(tmp_path: Path) -> None:
    own(tmp_path, 'based_on = "card-300"', '[tool.laser]\nrefused = "it melts"', name="a.toml")
    profile = own(tmp_path, 'based_on = "a.toml"', 'made_of = "paper"')
    assert refusals(profile, Tool.LASER) == ["refused-tool"]
