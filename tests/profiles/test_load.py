"""This module holds the loading of materials: by name, by path, one laid over another."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.drawing import Work
from foldwright.plugins import Group, PlugIn
from foldwright.problems import FileError, PlugInError, ProfileError, problem
from foldwright.profiles import Profile, Tool, cautions_for, load_material, needs_of
from foldwright.profiles.overlay import Overlay
from foldwright.sources import Source, parse_source

FIGURE = '{{ is = {}, basis = "calliper, five sheets", confidence = "measured" }}'


def figure(value: object) -> str:
    return FIGURE.format(value)


# The least that a material's file can say.
LEAST = f"""
name     = "own card"
about    = "a test card"
grammage = {figure(180)}
caliper  = {figure(0.21)}
gives_mm = {figure(0.3)}
"""
KNIFE = f"""
[tool.knife]
kerf      = {figure(0)}
tolerance = {figure(0.2)}
"""
SCORE = f"""
[tool.knife.score]
work      = "creased"
inset     = {figure(0.5)}
allowance = {figure(0.2)}
shift     = {figure(0)}
"""


def write(folder: Path, text: str, name: str = "own.toml") -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def loaded(folder: Path, text: str) -> Profile:
    return load_material(str(write(folder, text)))


def faults(folder: Path, text: str) -> list[str]:
    """The problems of a file, each without the folder's name."""
    path = write(folder, text)
    with pytest.raises(ProfileError) as caught:
        load_material(str(path))
    return [one.line().replace(f"{folder}/", "") for one in caught.value.problems]


def told(profile: Profile, tool: Tool) -> tuple[str, ...]:
    """The cautions of the material and the tool where nothing is known of the job."""
    return cautions_for(profile, tool, needs_of(tool))


def test_a_file_with_the_least_is_a_material_without_tools(tmp_path: Path) -> None:
    profile = loaded(tmp_path, LEAST)
    assert (profile.name, profile.caliper.value, profile.made_of) == ("own card", 0.21, None)
    assert profile.caliper.basis == "calliper, five sheets"
    assert profile.caliper.confidence == "measured"
    assert dict(profile.tools) == {}
    assert profile.place.line == 2


def test_a_tool_without_score_bridge_and_perforation(tmp_path: Path) -> None:
    way = loaded(tmp_path, LEAST + KNIFE).tools[Tool.KNIFE]
    assert way.kerf is not None and way.kerf.value == 0
    assert (way.score, way.bridge, way.perforation) == (None, None, None)


def test_a_whole_tool(tmp_path: Path) -> None:
    text = f"""{LEAST}{KNIFE}{SCORE}
[tool.knife.bridge]
length = {figure(0.4)}
pitch  = {figure(60)}
clear  = {figure(5)}
[tool.knife.perforation]
cut = {figure(2)}
tie = {figure(1)}
"""
    way = loaded(tmp_path, text).tools[Tool.KNIFE]
    assert way.score is not None and way.bridge is not None and way.perforation is not None
    assert (way.score.work, way.score.inset.value) == (Work.CREASED, 0.5)
    assert (way.bridge.length.value, way.bridge.pitch.value, way.bridge.clear.value) == (0.4, 60, 5)
    assert (way.perforation.cut.value, way.perforation.tie.value) == (2, 1)


# Where a file is looked for.


def test_a_path_starts_from_the_current_folder_or_the_one_beside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, LEAST, "mine/own.toml")
    monkeypatch.chdir(tmp_path / "mine")
    assert load_material("own.toml").name == "own card"
    assert load_material("./own.toml").name == "own card"
    monkeypatch.chdir("/")
    assert load_material("own.toml", beside=tmp_path / "mine").name == "own card"
    assert load_material("mine/own.toml", beside=tmp_path).name == "own card"
    assert load_material(str(tmp_path / "mine" / "own.toml"), beside=tmp_path).name == "own card"


def test_a_name_is_never_taken_for_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, LEAST, "card-200")
    monkeypatch.chdir(tmp_path)
    assert load_material("card-200").name == "card-200"


def test_an_unknown_name_names_the_nearest() -> None:
    with pytest.raises(PlugInError, match='did you mean "card-200"'):
        load_material("card-2000")


@pytest.mark.parametrize("name", ["none.toml", "./none", "no/such.toml"])
def test_a_missing_file(name: str, tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"there is no file .* \(no-such-file\)"):
        load_material(name, beside=tmp_path)


def test_what_is_not_toml_is_a_fault_of_the_profile(tmp_path: Path) -> None:
    assert faults(tmp_path, "name = \n") == [
        "own.toml:1: stop: this is not TOML: invalid value (column 8); "
        'write a value behind the sign of "name": a number, or a text in quotes (not-toml)'
    ]


@pytest.mark.parametrize("given_object", [7, "card.toml", {"name": "x"}])
def test_an_entry_point_that_is_no_file(
    given_object: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    def found(group: Group, name: str) -> PlugIn:
        return PlugIn(
            name=name, group=group, distribution="papers", version="1", loaded=given_object
        )

    monkeypatch.setattr("foldwright.profiles.load.find", found)
    with pytest.raises(ProfileError, match=r'the material "felt" of papers gives a .*not the path'):
        load_material("felt")


def test_an_entry_point_that_does_not_load(monkeypatch: pytest.MonkeyPatch) -> None:
    def found(group: Group, name: str) -> PlugIn:
        trouble = problem(
            "broken-plug-in", kind=group.one, name=name, distribution="papers", reason="it broke"
        )
        return PlugIn(name=name, group=group, distribution="papers", version="1", problem=trouble)

    monkeypatch.setattr("foldwright.profiles.load.find", found)
    with pytest.raises(PlugInError, match=r"^stop: .*it broke"):
        load_material("felt")


def test_a_registered_file_may_be_inside_an_archive(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import zipfile

    with zipfile.ZipFile(tmp_path / "papers.zip", "w") as archive:
        archive.writestr("papers/own.toml", LEAST + 'based_on = "card-200"\n')
    inside = zipfile.Path(tmp_path / "papers.zip") / "papers" / "own.toml"
    real = load_material.__globals__["find"]

    def found(group: Group, name: str) -> PlugIn:
        if name != "own":
            plug_in = real(group, name)
            assert isinstance(plug_in, PlugIn)
            return plug_in
        return PlugIn(name=name, group=group, distribution="papers", version="1", loaded=inside)

    monkeypatch.setattr("foldwright.profiles.load.find", found)
    profile = load_material("own")
    assert profile.caliper.value == 0.21
    assert profile.caliper.place.file == "own.toml"
    assert Tool.LASER in profile.tools


# One laid over another.


@pytest.mark.parametrize("base", ["text-120", "card-200", "card-300"])
def test_an_overlay_of_nothing_is_the_base(base: str, tmp_path: Path) -> None:
    over = loaded(tmp_path, f'based_on = "{base}"\n')
    # All but what it is made of: that of another sheet is nobody's word on this one.
    assert over == replace(load_material(base), made_of=None)
    assert over.based_on == base


def test_only_what_is_written_again_changes(tmp_path: Path) -> None:
    base = load_material("card-200")
    over = loaded(
        tmp_path,
        f'based_on = "card-200"\nname = "mine"\n[tool.laser]\nkerf = {figure(0.17)}\n'
        f"[tool.laser.bridge]\nlength = {figure(0.6)}\n",
    )
    assert over.name == "mine"
    assert over.tools[Tool.HAND] == base.tools[Tool.HAND]
    assert over.tools[Tool.KNIFE] == base.tools[Tool.KNIFE]
    mine, theirs = over.tools[Tool.LASER], base.tools[Tool.LASER]
    assert mine.kerf is not None and mine.bridge is not None and theirs.bridge is not None
    assert (mine.kerf.value, mine.kerf.confidence) == (0.17, "measured")
    assert mine.bridge.length.value == 0.6
    assert mine.bridge.pitch == theirs.bridge.pitch
    changed = {"kerf", "bridge"}
    for item in fields(mine):
        same = getattr(mine, item.name) == getattr(theirs, item.name)
        assert same is (item.name not in changed), item.name


def test_each_figure_knows_the_file_it_came_from(tmp_path: Path) -> None:
    over = loaded(tmp_path, f'based_on = "card-200"\n\ncaliper = {figure(0.26)}\n')
    assert (over.caliper.place.file, over.caliper.place.line) == (str(tmp_path / "own.toml"), 3)
    assert over.grammage.place.file == "card-200.toml"


def test_a_figure_is_replaced_whole(tmp_path: Path) -> None:
    # The basis of the one below says nothing of the number above.
    assert [
        line.partition(";")[0]
        for line in faults(tmp_path, 'based_on = "card-200"\ncaliper.is = 1\n')
    ] == [
        'own.toml:2: stop: "caliper.basis" is missing',
        'own.toml:2: stop: "caliper.confidence" is missing',
    ]


def test_a_base_is_found_from_the_folder_of_the_file_that_names_it(tmp_path: Path) -> None:
    write(tmp_path, LEAST, "papers/base.toml")
    write(tmp_path, 'based_on = "base.toml"\nname = "middle"', "papers/middle.toml")
    write(tmp_path, 'based_on = "../papers/middle.toml"\nabout = "top"', "mine/top.toml")
    profile = load_material("mine/top.toml", beside=tmp_path)
    assert (profile.name, profile.about, profile.grammage.value) == ("middle", "top", 180)


def test_cautions_are_added_and_never_taken_back(tmp_path: Path) -> None:
    base = load_material("card-200")
    over = loaded(
        tmp_path,
        'based_on = "card-200"\ncautions = ["Dyed paper bleeds when damp."]\n'
        '[tool.laser]\ncautions = []\n[tool.knife]\ncautions = ["Mind the rollers well."]\n',
    )
    assert told(over, Tool.LASER) == (
        "Dyed paper bleeds when damp.",
        *told(base, Tool.LASER),
    )
    assert over.tools[Tool.KNIFE].cautions == (
        *base.tools[Tool.KNIFE].cautions,
        "Mind the rollers well.",
    )


@pytest.mark.parametrize("tool", Tool)
def test_a_users_own_file_has_the_usual_cautions_without_saying_so(
    tool: Tool, tmp_path: Path
) -> None:
    own = loaded(tmp_path, LEAST)
    shipped = told(load_material("text-120"), tool)
    assert set(told(own, tool)) <= set(shipped)
    assert len(told(own, tool)) >= 4


@pytest.mark.parametrize(
    ("files", "chain"),
    [
        ({"own.toml": "own.toml"}, '"own.toml" - "own.toml"'),
        ({"own.toml": "./x/../own.toml"}, '"own.toml" - "./x/../own.toml"'),
        (
            {"own.toml": "b/b.toml", "b/b.toml": "../own.toml"},
            '"own.toml" - "b/b.toml" - "../own.toml"',
        ),
        (
            {"own.toml": "b.toml", "b.toml": "c.toml", "c.toml": "b.toml"},
            '"own.toml" - "b.toml" - "c.toml" - "b.toml"',
        ),
    ],
)
def test_files_based_on_each_other_are_told_in_full(
    files: dict[str, str], chain: str, tmp_path: Path
) -> None:
    (tmp_path / "x").mkdir()
    for name, base in files.items():
        write(tmp_path, f'based_on = "{base}"\n', name)
    with pytest.raises(ProfileError) as caught:
        load_material("own.toml", beside=tmp_path)
    (found,) = caught.value.problems
    assert found.rule == "base-goes-round"
    assert chain in found.message
    assert found.place.line == 1


@pytest.mark.parametrize(
    ("base", "reason"),
    [
        ("card-2000", 'there is no material called "card-2000"; did you mean "card-200"?'),
        ("none.toml", "there is no file "),
        ("folder/", "is a folder, not a file"),
        ("", 'there is no material called ""'),
        (r"a\u0000.toml", "cannot be read: "),
        ("ring.toml", "cannot be read: "),
    ],
)
def test_a_base_that_is_not_there_is_told_where_it_is_named(
    base: str, reason: str, tmp_path: Path
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "ring.toml").symlink_to("ring.toml")
    (line,) = faults(tmp_path, f'\nbased_on = "{base}"\n')
    assert line.startswith('own.toml:2: stop: "')
    assert '" cannot be the base of a material: ' in line
    assert reason in line
    assert line.endswith("(unknown-base)")


def test_a_fault_inside_a_base_is_told_there(tmp_path: Path) -> None:
    write(tmp_path, LEAST + "thickness = 3\n", "base.toml")
    (line,) = faults(tmp_path, 'based_on = "base.toml"\n')
    assert line.startswith('base.toml:7: stop: there is no key "thickness"')


def test_a_base_that_is_not_toml_is_told_there(tmp_path: Path) -> None:
    write(tmp_path, "name = 1 2\n", "base.toml")
    (line,) = faults(tmp_path, 'based_on = "base.toml"\n')
    assert line.startswith("base.toml:1: stop: this is not TOML")


# What is wrong with a file, and every problem that it must bring, in order.
WRONG = {
    "nothing": (
        "",
        [
            '1: stop: "name" is missing',
            '1: stop: "about" is missing',
            '1: stop: "grammage" is missing',
            '1: stop: "caliper" is missing; add caliper = { is = ..., basis = "...", confidence = '
            '"measured" or "estimate" }, or take it from a material that has it, with based_on = '
            '"..."',
            '1: stop: "gives_mm" is missing',
        ],
    ),
    "a bare number": (
        LEAST.replace(figure(0.21), "0.21"),
        ['5: stop: "caliper" should be { is = ..., basis = "...", confidence = "measured" or '],
    ),
    "a figure without its parts": (
        LEAST.replace(figure(180), "{}"),
        [
            '4: stop: "grammage.is" is missing',
            '4: stop: "grammage.basis" is missing',
            '4: stop: "grammage.confidence" is missing',
        ],
    ),
    "an empty basis, a wrong word and a stray key": (
        LEAST.replace(figure(180), '{ is = 1, basis = " ", confidence = "measure", unit = "g" }'),
        [
            '4: stop: "grammage.confidence" should be "measured" or "estimate", not "measure"; did',
            '4: stop: "grammage.basis" is empty',
            '4: stop: there is no key "unit" in "grammage"',
        ],
    ),
    "no paper is that thick": (
        LEAST.replace("0.21", "210"),
        ['5: stop: "caliper.is" should be more than 0 and at most 5 mm, not 210 mm'],
    ),
    "no paper is without thickness": (
        LEAST.replace("0.21", "0").replace("180", "-3"),
        [
            '4: stop: "grammage.is" should be more than 0 and at most 5000 g/m², not -3 g/m²',
            '5: stop: "caliper.is" should be more than 0 and at most 5 mm, not 0 mm',
        ],
    ),
    "a number of no use": (
        LEAST.replace("0.21", "inf"),
        ['5: stop: "caliper.is" should be a number of ordinary size'],
    ),
    "truth for a number": (
        LEAST.replace("0.21", "true"),
        ['5: stop: "caliper.is" should be a number, not true'],
    ),
    "a kerf that is negative, and one too wide": (
        LEAST + f"[tool.knife]\nkerf = {figure(-0.1)}\n[tool.laser]\nkerf = {figure(5.01)}\n",
        [
            '8: stop: "tool.knife.kerf.is" should be 0 to 5 mm, not -0.1 mm',
            '7: stop: "tool.knife.tolerance" is missing',
            '10: stop: "tool.laser.kerf.is" should be 0 to 5 mm, not 5.01 mm',
            '9: stop: "tool.laser.tolerance" is missing',
        ],
    ),
    "a tool nobody knows": (
        LEAST + "[tool.knive]\nkerf = 1\n",
        ['7: stop: there is no key "knive" in "tool"; did you mean "knife"?'],
    ),
    "a tool nobody is reminded of": (
        LEAST + "[tool.plasma]\nkerf = 1\n",
        [
            '7: stop: there is no tool "plasma"; '
            "use one of hand, knife, laser, or take the table out"
        ],
    ),
    "a tool that is no table": (
        LEAST + "tool.knife = 3\n",
        ['7: stop: "tool.knife" should be a table, not 3'],
    ),
    "a score that is not one": (
        LEAST + KNIFE + SCORE.replace("creased", "through").replace("inset", "insert"),
        [
            '13: stop: "tool.knife.score.work" should be "creased" or "half-cut" or "perforat',
            '12: stop: "tool.knife.score.inset" is missing',
            '14: stop: there is no key "insert" in "tool.knife.score"; did you mean "inset"?',
        ],
    ),
    "valleys from the back, and nothing said of how far they may lie off": (
        LEAST + KNIFE + SCORE + 'valleys_from = "back"\n',
        [
            '12: stop: "tool.knife.score.registration" is missing; add registration = { is = ..., '
            'basis = "...", confidence = "measured" or "estimate" }: how far lines of the second '
            'face may lie off; valleys_from = "back" needs it'
        ],
    ),
    "dashes of a score that is no half cut": (
        f"{LEAST}{KNIFE}{SCORE}[tool.knife.score.dashes]\nburn = {figure(2)}\nskip = {figure(1)}\n",
        ['17: stop: "tool.knife.score.dashes" is for scores of the work "half-cut", not "creased"'],
    ),
    "half a rhythm of dashes": (
        LEAST + KNIFE + SCORE.replace("creased", "half-cut") + f"dashes.burn = {figure(2)}\n",
        ['17: stop: "tool.knife.score.dashes.skip" is missing'],
    ),
    "an end of slits without its size": (
        f'{LEAST}{KNIFE}[tool.knife.slit]\nend = "hole"\nshort = {figure(1)}\n',
        ['11: stop: "tool.knife.slit.hole" is missing'],
    ),
    "a size of slit ends without the end": (
        f"{LEAST}{KNIFE}[tool.knife.slit]\nshort = {figure(1)}\n",
        ['11: stop: "tool.knife.slit.end" is missing'],
    ),
    "slits that are no slits": (
        f'{LEAST}{KNIFE}[tool.knife.slit]\nwork = "creased"\ntear = "through"\nbridged = 1\n',
        [
            '12: stop: "tool.knife.slit.work" should be "through" or "half-cut", not "creased"',
            '14: stop: "tool.knife.slit.bridged" should be true or false',
            '13: stop: "tool.knife.slit.tear" should be "perforated" or "half-cut", not "through"',
        ],
    ),
    "what the kerf swallows": (
        f"{LEAST}[tool.laser]\nkerf = {figure(0.1)}\nkerf_y = {figure(0.5)}\n"
        f"tolerance = {figure(0.1)}\n[tool.laser.perforation]\ncut = {figure(0.5)}\n"
        f'tie = {figure(0.1)}\n[tool.laser.slit]\nend = "hole"\nhole = {figure(0.4)}\n'
        "[tool.laser.score]\n"
        + SCORE.partition("]\n")[2]
        .replace("creased", "half-cut")
        .replace(f"shift     = {figure(0)}", f"shift = {figure(0.2)}")
        + f"dashes.burn = {figure(0.3)}\ndashes.skip = {figure(0.3)}\n",
        [
            '12: stop: "tool.laser.perforation.cut" is 0.5 mm, no more than the kerf of 0.5 mm (',
            '22: stop: "tool.laser.score.dashes.burn" is 0.3 mm, no more than the kerf of 0.5 mm',
            '16: stop: "tool.laser.slit.hole" is 0.4 mm, no more than the kerf of 0.5 mm',
            '21: stop: twice "tool.laser.score.shift" is 0.4 mm, no more than the kerf of 0.5 mm',
        ],
    ),
    "slits with bridges that nobody described": (
        f"{LEAST}{KNIFE}[tool.knife.slit]\nbridged = true\n",
        ['12: stop: "tool.knife.slit.bridged" is true, but there is no bridge to leave; add [too'],
    ),
    "a perforated score without a rhythm": (
        LEAST + KNIFE + SCORE.replace("creased", "perforated"),
        ["13: stop: the score is perforated, but there is no perforation; add [tool.knife.perfor"],
    ),
    "bridges that leave nothing to cut": (
        f"{LEAST}{KNIFE}\n[tool.knife.bridge]\nlength = {figure(3)}\npitch = {figure(3)}\n"
        f"clear = {figure(0)}\n",
        ["14: stop: bridges of 3 mm every 3 mm leave nothing to cut"],
    ),
    "a figure out of range, and what follows from it alone": (
        f"{LEAST}{KNIFE}\n[tool.knife.bridge]\nlength = {figure(400)}\npitch = {figure(30)}\n"
        f"clear = {figure(0)}\n",
        ['13: stop: "tool.knife.bridge.length.is" should be more than 0 and at most 20 mm, not 4'],
    ),
    "bridges without a pitch": (
        f"{LEAST}{KNIFE}\n[tool.knife.bridge]\nlength = {figure(3)}\nclear = {figure(1)}\n",
        ['12: stop: "tool.knife.bridge.pitch" is missing'],
    ),
    "a perforation of no length": (
        f"{LEAST}{KNIFE}\n[tool.knife.perforation]\ncut = {figure(0)}\n",
        [
            '13: stop: "tool.knife.perforation.cut.is" should be more than 0 and at most 50 mm',
            '12: stop: "tool.knife.perforation.tie" is missing',
        ],
    ),
    "a refusal without a reason": (
        LEAST + '[tool.laser]\nrefused = " "\n',
        ['8: stop: "tool.laser.refused" is missing; add'],
    ),
    "a name with a path in it": (
        LEAST.replace("own card", "../own"),
        ['2: stop: "../own" cannot be a name: it has a path in it'],
    ),
    "words of the wrong kind": (
        LEAST + 'made_of = 3\ngrain = "across"\ncautions = "Hot."\nbased_on = "card-200"\n',
        [
            '7: stop: "made_of" should be a text in quotes, not 3',
            '8: stop: "grain" should be "long" or "short", not "across"',
            '9: stop: "cautions" should be a list of texts in quotes, not "Hot."',
        ],
    ),
    "a base that is no text": (
        LEAST + "based_on = 3\n",
        ['7: stop: "based_on" should be a text in quotes, not 3'],
    ),
    "a key nobody reads": (
        LEAST.replace("gives_mm", "gives") + f"gives_mm = {figure(0.1)}\n",
        ['6: stop: there is no key "gives" at the top of the file; did you mean "gives_mm"?'],
    ),
}


@pytest.mark.parametrize("name", WRONG)
def test_everything_wrong_is_told_at_once_with_its_line(name: str, tmp_path: Path) -> None:
    text, expected = WRONG[name]
    found = faults(tmp_path, text)
    starts = [f"own.toml:{start}" for start in expected]
    assert [line[: len(start)] for line, start in zip(found, starts, strict=True)] == starts


# Merging, on any tables.

VALUES = st.recursive(
    st.integers() | st.text(max_size=3) | st.lists(st.integers(), max_size=2),
    lambda inner: st.dictionaries(st.sampled_from("abc") | st.just("is"), inner, max_size=3),
    max_leaves=6,
)
TABLES = st.dictionaries(st.sampled_from(("a", "b", "tool", "cautions")), VALUES, max_size=3)


def merged(*tables: dict[str, object]) -> dict[str, object]:
    sources = [Source(file="x", text="", table=table) for table in reversed(tables)]
    return Overlay(sources=tuple(sources)).merged()


@given(TABLES)
def test_nothing_changes_nothing(table: dict[str, object]) -> None:
    assert merged(table, {}) == table
    assert merged({}, table) == table
    assert merged({}, table, {}, table) == table


@given(TABLES, TABLES)
def test_every_key_is_from_one_of_the_two(
    below: dict[str, object], above: dict[str, object]
) -> None:
    result = merged(below, above)
    assert result.keys() == below.keys() | above.keys()
    for key in result:
        if key not in above:
            assert result[key] == below[key]
        elif key not in below or not isinstance(above[key], dict | list):
            assert result[key] == above[key]


def test_the_place_of_a_key_is_in_the_topmost_file_that_has_it() -> None:
    below = parse_source("a = 1\nb.c = [1,\n 2]\nd = 1\n", "below.toml")
    above = parse_source("\na = 2\n\nb.e = 1\n", "above.toml")
    overlay = Overlay(sources=(above, below))
    places = [overlay.place(*path) for path in [("a",), ("b", "c", 1), ("b", "x"), ("d",), ("y",)]]
    assert [(place.file, place.line) for place in places] == [
        ("above.toml", 2),
        ("below.toml", 3),
        ("above.toml", 4),
        ("below.toml", 4),
        ("above.toml", 1),
    ]
