"""list patterns --html: the page, its pictures, what may be replaced, what is left out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from html.parser import HTMLParser
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import pytest

from foldwright.design import PatternParts, load_pattern
from foldwright.measures import Unit
from foldwright.patterns.half_fold import pattern as half_fold
from foldwright.pictures import svg_of
from foldwright.pictures.of_pattern import pattern_pictures
from foldwright.plugins import Group, registry
from tests.cli.shapes import Maybe, fits
from tests.patterns.test_pictures import proof_in

Run = Callable[..., Any]

# Tags that have no end.
VOID = {"meta", "img", "br"}


def fails(counts: Mapping[str, int]) -> PatternParts:
    raise RuntimeError("no parts today")


# Patterns of somebody else's.
odd = replace(half_fold, name="half b & fold", about="A card & more.  It is as <b>bold</b>.")
capital = replace(half_fold, name="Half b fold")
failing = replace(half_fold, name="failing", draw=fails)


class Page(HTMLParser):
    """A page taken apart: whether its tags match, and what it holds."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())

    def all(self, tag: str, key: str) -> list[str]:
        """The values of an attribute of all tags of a kind; it must be there."""
        return [found[key] or "" for name, found in self.tags if name == tag]


def registered(monkeypatch: pytest.MonkeyPatch, *entries: tuple[str, str]) -> None:
    """Install these patterns alone: name, and what gives it."""
    real = registry._entries
    found = tuple(
        EntryPoint(name=name, value=value, group=Group.PATTERNS.value) for name, value in entries
    )
    monkeypatch.setattr(
        registry, "_entries", lambda asked: found if asked is Group.PATTERNS else real(asked)
    )


HALF = ("half-fold", "foldwright.patterns.half_fold:pattern")
STEPS = ("side-steps", "foldwright.patterns.side_steps:pattern")
TAG = ("tag", "foldwright.patterns.tag:pattern")
ODD = (odd.name, "tests.cli.test_gallery:odd")
FAILING = ("failing", "tests.cli.test_gallery:failing")
BROKEN = ("broken", "no_such_module:pattern")


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    registered(monkeypatch, HALF, STEPS, TAG)


def written(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def page_in(folder: Path) -> Page:
    return Page((folder / "index.html").read_text(encoding="utf-8"))


@pytest.mark.usefixtures("few")
class TestThePage:
    def test_its_files(self, foldwright: Run, tmp_path: Path) -> None:
        ran = foldwright("list", "patterns", "--html", tmp_path / "page")
        assert (ran.status, ran.err) == (0, "")
        index = tmp_path / "page" / "index.html"
        assert ran.out == f"wrote {index}: 3 patterns, with 7 pictures beside it\n"
        shown = ("flat", "closed", "standing")
        assert set(written(tmp_path / "page")) == {
            "index.html",
            *(f"{name}-{one}.svg" for name in ("half-fold", "side-steps") for one in shown),
            # Nothing folds in a tag.
            "tag-flat.svg",
        }

    def test_its_json(self, foldwright: Run, tmp_path: Path) -> None:
        ran = foldwright("list", "patterns", "--html", tmp_path, "--json")
        assert (ran.status, ran.err, ran.json["findings"]) == (0, "", [])
        row = {"path": str, "pattern": Maybe(str), "shows": str, "pose": Maybe(str)}
        assert fits(ran.json["files"], [row])
        assert ran.json["files"][0] == {
            "path": str(tmp_path / "index.html"), "pattern": None, "shows": "page", "pose": None,
        }  # fmt: skip
        assert ran.json["files"][6] == {
            "path": str(tmp_path / "side-steps-standing.svg"),
            "pattern": "side-steps", "shows": "standing", "pose": "standing",
        }  # fmt: skip
        assert {Path(one["path"]).name for one in ran.json["files"]} == set(written(tmp_path))

    def test_its_pictures_are_those_of_the_proof(self, foldwright: Run, tmp_path: Path) -> None:
        foldwright("list", "patterns", "--html", tmp_path)
        files = written(tmp_path)
        for one in pattern_pictures(proof_in("side-steps", Unit.MM)):
            assert files[f"side-steps-{one.shows}.svg"] == svg_of(one.picture)

    def test_it_is_plain_and_whole(self, foldwright: Run, tmp_path: Path) -> None:
        foldwright("list", "patterns", "--html", tmp_path)
        text = (tmp_path / "index.html").read_text(encoding="utf-8")
        page = Page(text)
        assert {tag for tag, _ in page.tags} <= {
            "html", "head", "meta", "title", "style", "body", "header", "h1", "h2", "p", "code",
            "nav", "ul", "li", "a", "span", "main", "section", "dl", "dt", "dd", "br", "div",
            "table", "caption", "thead", "tbody", "tr", "th", "td", "small", "figure",
            "figcaption", "img",
        }  # fmt: skip
        # Nothing is fetched from elsewhere: not by a tag, not by the style.
        assert "://" not in text
        assert "@import" not in text and "url(" not in text
        beside = set(written(tmp_path))
        assert set(page.all("img", "src")) == beside - {"index.html"}
        anchors = {found["id"] for tag, found in page.tags if tag == "section"}
        for target in page.all("a", "href"):
            assert target in beside or target.removeprefix("#") in anchors

    def test_a_screen_reader_is_told_what_there_is(self, foldwright: Run, tmp_path: Path) -> None:
        foldwright("list", "patterns", "--html", tmp_path)
        page = page_in(tmp_path)
        tags = [tag for tag, _ in page.tags]
        assert page.all("html", "lang") == ["en"]
        assert (tags.count("h1"), tags.count("h2"), tags.count("main")) == (1, 3, 1)
        assert all(words.strip() for words in page.all("img", "alt"))
        assert "Pose standing" in " ".join(page.all("img", "alt"))
        assert set(page.all("th", "scope")) == {"col", "row"}
        assert tags.count("caption") == tags.count("table") == 3
        assert tags.count("figcaption") == tags.count("figure") == 7
        ids = [found["id"] for _, found in page.tags if "id" in found]
        assert len(ids) == len(set(ids))
        for tag, found in page.tags:
            if tag == "section":
                assert found["aria-labelledby"] in ids

    def test_it_says_what_each_pattern_is(self, foldwright: Run, tmp_path: Path) -> None:
        foldwright("list", "patterns", "--html", tmp_path)
        text = page_in(tmp_path).text.replace("\N{NO-BREAK SPACE}", " ")
        for name, _ in (HALF, STEPS, TAG):
            pattern = load_pattern(name)
            for said in (pattern.about, pattern.closure):
                assert " ".join(said.split()) in text
            for parameter in pattern.parameters:
                assert parameter.meaning in text
        # The page is 105 mm and 4 1/8 in high; most of a tread is half of what a page of
        # 105 mm leaves beside a riser of 35 mm and 2 mm, and of 4 1/8 in beside 1 3/8 in.
        assert "148 mm by 105 mm; in the inch edition 5 3/4 in by 4 1/8 in." in text
        assert "height: max(gutter_y, length - gutter_y)" in text
        assert "here 34 mm, 1.336 in" in text
        assert "In the pose standing" in text

    def test_a_page_of_ours_is_replaced(self, foldwright: Run, tmp_path: Path) -> None:
        foldwright("list", "patterns", "--html", tmp_path)
        before = written(tmp_path)
        page = tmp_path / "index.html"
        page.write_bytes(before["index.html"].replace(b"\n", b"\r\n") + b"more")
        assert foldwright("list", "patterns", "--html", tmp_path).status == 0
        assert written(tmp_path) == before

    @pytest.mark.parametrize("name", ["index.html", "side-steps-flat.svg"])
    def test_a_file_of_somebody_else_is_not(
        self, foldwright: Run, tmp_path: Path, name: str
    ) -> None:
        (tmp_path / name).write_text("my own", encoding="utf-8")
        ran = foldwright("list", "patterns", "--html", tmp_path)
        assert (ran.status, ran.out, ran.rules) == (2, "", ["target-not-ours"])
        assert written(tmp_path) == {name: b"my own"}
        assert foldwright("list", "patterns", "--html", tmp_path, "--replace").status == 0
        assert written(tmp_path)[name] != b"my own"

    def test_a_folder_that_cannot_be_made(self, foldwright: Run, tmp_path: Path) -> None:
        (tmp_path / "page").write_text("a file", encoding="utf-8")
        ran = foldwright("list", "patterns", "--html", tmp_path / "page")
        assert (ran.status, ran.rules) == (2, ["folder-is-a-file"])

    def test_a_measure_is_said_to_change_nothing(self, foldwright: Run, tmp_path: Path) -> None:
        ran = foldwright("list", "patterns", "--html", tmp_path, "--set", "tread=3")
        assert (ran.status, ran.rules) == (0, ["no-measures-here"])


class TestWhatIsLeftOut:
    @pytest.mark.parametrize(
        ("entry", "rule", "sentence"),
        [
            (BROKEN, "broken-plug-in", 'The pattern "broken" of an unnamed distribution does not'),
            (FAILING, "pattern-not-shown", 'The pattern "failing" is left out of the page:'),
        ],
    )
    def test_a_broken_pattern_is_told_and_the_others_are_shown(
        self,
        foldwright: Run,
        monkeypatch: pytest.MonkeyPatch,
        tmp_path: Path,
        entry: tuple[str, str],
        rule: str,
        sentence: str,
    ) -> None:
        registered(monkeypatch, HALF, entry)
        ran = foldwright("list", "patterns", "--html", tmp_path)
        assert (ran.status, ran.rules) == (0, [rule])
        assert f'"{entry[0]}"' in ran.err
        assert "1 pattern, with 3 pictures" in ran.out
        assert sentence in page_in(tmp_path).text
        told = foldwright("list", "patterns", "--html", tmp_path, "--json").json["findings"]
        assert [one["rule"] for one in told] == [rule]

    def test_a_page_of_no_pattern_at_all(
        self, foldwright: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        registered(monkeypatch)
        ran = foldwright("list", "patterns", "--html", tmp_path)
        assert (ran.status, list(written(tmp_path))) == (0, ["index.html"])


def test_the_same_bytes_in_another_process(foldwright: Run, process: Run, tmp_path: Path) -> None:
    """The page of everything that ships, whatever the hashes are."""
    assert foldwright("list", "patterns", "--html", tmp_path / "one").status == 0
    seed = {"PYTHONHASHSEED": "7"}
    ran = process("list", "patterns", "--html", tmp_path / "other", environment=seed)
    assert ran.status == 0
    assert written(tmp_path / "one") == written(tmp_path / "other")


def test_words_of_somebody_else_are_no_markup(
    foldwright: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    # Both names come to half-b-fold; some file systems do not tell capitals apart.
    registered(monkeypatch, ODD, (capital.name, "tests.cli.test_gallery:capital"))
    ran = foldwright("list", "patterns", "--html", tmp_path)
    assert ran.status == 0
    page = page_in(tmp_path)
    assert "b" not in {tag for tag, _ in page.tags}
    assert "It is as <b>bold</b>." in page.text
    assert len(written(tmp_path)) == 7
    assert {name for name in written(tmp_path) if name.endswith("-flat.svg")} == {
        "half-b-fold-flat.svg",
        "Half-b-fold-2-flat.svg",
    }


@pytest.mark.parametrize(
    ("arguments", "rule"),
    [
        (("list", "--html", "page"), "page-of-patterns"),
        (("list", "materials", "--html", "page"), "page-of-patterns"),
        (("list", "patterns", "--replace"), "replace-without-page"),
    ],
)
def test_half_a_wish_is_told(foldwright: Run, arguments: tuple[str, ...], rule: str) -> None:
    ran = foldwright(*arguments)
    assert (ran.status, ran.out, ran.rules) == (2, "", [rule])
    assert not Path("page").exists()
