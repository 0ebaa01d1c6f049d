"""This module holds the reading of files and texts: exact numbers, and a clear no to the rest."""

from __future__ import annotations

import math
import os
import re
import threading
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.problems import DesignError, FileError, FoldwrightError
from foldwright.sources import key_text, parse_source, read_source
from foldwright.sources.source import LARGEST_BRACKETS, LARGEST_BYTES, LARGEST_VALUES


def refusal(text: str) -> str:
    with pytest.raises(DesignError) as caught:
        parse_source(text, "card.toml")
    return str(caught.value)


def test_numbers_are_exact() -> None:
    table = parse_source("a = 0.1\nb = 1_000.5\nc = -2.5e-3\nd = 7\ne = 1e400", "card.toml").table
    assert table["a"] == Fraction(1, 10)
    assert table["b"] == Fraction(2001, 2)
    assert table["c"] == Fraction(-1, 400)
    assert table["d"] == 7 and type(table["d"]) is int
    assert table["e"] == 10**400


@pytest.mark.parametrize("written", ["1e99999999999", "-1e401", "1e-999999999", "0." + "1" * 5000])
def test_a_number_beyond_all_size_takes_no_memory(written: str) -> None:
    assert parse_source(f"a = {written}", "card.toml").table["a"] == math.inf


def test_infinity_and_no_number_stay_what_they_are() -> None:
    table = parse_source("a = -inf\nb = nan", "card.toml").table
    assert table["a"] == -math.inf
    assert isinstance(table["b"], float) and math.isnan(table["b"])


# What is wrong, and how its message must begin.
NOT_TOML = {
    "name = ": "card.toml:1: stop: this is not TOML: invalid value at the end of the file",
    "a = 1\nb = 1 2\n": "card.toml:2: stop: this is not TOML: expected newline or end of document "
    "after a statement (column 7)",
    "a = 1\r\nb == 2\r\n": "card.toml:2: stop: this is not TOML: invalid value (column 4)",
    "[piece.x]\n[piece.x]\n": 'card.toml:2: stop: this is not TOML: cannot declare "piece.x" twice '
    "(column 9); write each key and each table once",
    "a = 1\na = 2\n": "card.toml:2: stop: this is not TOML: cannot overwrite a value",
    "<svg/>": "card.toml:1: stop: this is not TOML: invalid statement (column 1)",
    "{\n}": "card.toml:1: stop: this is not TOML: invalid statement (column 1)",
    "a = 1\x00": "card.toml:1: stop: this is not TOML:",
    "a = '''x\n\n": "card.toml:",
    "a = " + "9" * 5000: "card.toml: stop: this is not TOML: a whole number has too many digits",
    "a = " + "[" * 5000: "card.toml: stop: this is not TOML: lists or tables are nested too deep",
    "a = " + "{a=" * 5000: "card.toml: stop: this is not TOML: lists or tables are nested too deep",
    "x = 1\n" + ".".join("k" * 1000) + " = 1": "card.toml:2: stop: a key has more than 64 parts",
    "[" + " . ".join(['"k"'] * 1000) + "]": "card.toml:1: stop: a key has more than 64 parts",
}


@pytest.mark.parametrize("text", NOT_TOML, ids=[text[:12] for text in NOT_TOML])
def test_what_is_not_toml_is_told_by_line_and_column(text: str) -> None:
    told = refusal(text)
    assert told.startswith(NOT_TOML[text])
    assert "\n" not in told


def test_a_key_of_the_most_parts_is_read() -> None:
    key = ".".join("k" * 64)
    assert parse_source(f"{key} = 1", "card.toml").place(*("k" * 64)).line == 1


@pytest.mark.parametrize(
    "text",
    [
        "points = [" + "[0,0]," * 1_000_000 + "]",
        "points = [" + "{}," * 500_000 + "]",
        "[[a]]\n" * 250_000,
        "a = [" + "1," * 2_000_000 + "]",
        "a.b = 1\n" * 2_000_001,
    ],
    ids=["points", "tables", "headers", "numbers", "keys"],
)
def test_a_text_of_too_many_parts_is_refused_unread(
    text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("the text is not to be parsed")

    monkeypatch.setattr("tomllib.loads", never)
    told = refusal(text)
    assert re.fullmatch(
        rf"card\.toml: stop: the file holds \d+ (points, lists and tables|values), more than "
        rf"({LARGEST_BRACKETS}|{LARGEST_VALUES}); .*\(file-too-large\)",
        told,
    )


def test_a_text_too_long_is_refused() -> None:
    assert "(file-too-large)" in refusal("#" * (LARGEST_BYTES + 1))


@given(
    st.one_of(
        st.text(max_size=60),
        st.text(alphabet="[]{}\"'=.,#\\ \n\r\tab1-+einfu", max_size=60),
        st.lists(
            st.sampled_from(
                [
                    "a",
                    "=",
                    "[",
                    "]",
                    "{",
                    "}",
                    '"""',
                    "'''",
                    '"',
                    ".",
                    "\n",
                    ",",
                    "1",
                    "#",
                    "e9",
                    "\\",
                ]
            ),
            max_size=40,
        ).map("".join),
    )
)
def test_any_text_is_read_or_refused_by_a_design_error(text: str) -> None:
    try:
        source = parse_source(text, "card.toml")
    except DesignError as error:
        assert all("\n" not in problem.line() for problem in error.problems)
        return
    # What is read also has places: the scanner takes whatever the reader takes.
    for key in source.table:
        line = source.place(key).line
        assert line is not None and 1 <= line <= text.count("\n") + 1


@given(data=st.binary(max_size=40))
def test_any_bytes_are_read_or_refused(
    data: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(data)
    try:
        read_source(path)
    except (DesignError, FileError) as error:
        assert str(error).count("\n") == len(error.problems) - 1


def test_a_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "card.toml"
    path.write_bytes(b"\xef\xbb\xbfa = 1\n")
    assert read_source(path).place("a").line == 1
    assert parse_source("\ufeffa = 1\n", "card.toml").table == {"a": 1}


def unread(path: Path) -> FoldwrightError:
    with pytest.raises(FileError) as caught:
        read_source(path, shown_as="my card.toml")
    assert isinstance(caught.value, OSError)
    return caught.value


def test_a_missing_file(tmp_path: Path) -> None:
    told = str(unread(tmp_path / "none.toml"))
    assert told.startswith('my card.toml: stop: there is no file "my card.toml"; ')


def test_a_folder(tmp_path: Path) -> None:
    assert '"my card.toml" is a folder' in str(unread(tmp_path))


def test_a_file_where_a_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert "cannot be read: not a directory" in str(unread(tmp_path / "file" / "card.toml"))


@pytest.mark.parametrize("name", ["a\x00b.toml", "x" * 5000 + ".toml"])
def test_a_name_no_system_takes(tmp_path: Path, name: str) -> None:
    assert "cannot be read: " in str(unread(tmp_path / name))


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    # A mode without read permission would not stop the administrator's account.
    monkeypatch.setattr(Path, "open", denied)
    assert "cannot be read: permission denied" in str(unread(tmp_path / "card.toml"))


def test_a_folder_where_opening_one_is_not_permitted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def denied(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    # So it is on one widespread family of systems.
    monkeypatch.setattr(Path, "open", denied)
    assert '"my card.toml" is a folder' in str(unread(tmp_path))


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    path = tmp_path / "card.toml"
    path.write_bytes("a = 1\nb = 'süß'\n".encode("latin-1"))
    told = str(unread(path))
    assert told.startswith('my card.toml:2: stop: byte 13 of "my card.toml" is not UTF-8 text')
    path.write_bytes("a = 1\n".encode("utf-16"))
    assert "save the file as plain text in UTF-8" in str(unread(path))


def test_a_file_too_large_is_not_read_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "card.toml"
    with path.open("wb") as stream:
        stream.truncate(LARGEST_BYTES + 1)
    assert "more than 32 MiB" in str(unread(path))


def test_a_pipe_is_read_like_a_file(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    writer = threading.Thread(target=pipe.write_text, args=("a = 1",))
    writer.start()
    assert read_source(pipe).table == {"a": 1}
    writer.join()


def test_the_place_of_a_missing_key_is_that_of_the_table_around_it() -> None:
    source = parse_source("a = 1\n\n[[piece]]\nname = 'x'\n", "card.toml")
    place = source.place("piece", 0, "outline", "round")
    assert (place.line, place.key) == (3, "piece[0].outline.round")
    assert source.place("pieces").line == 1
    assert source.place().line == 1
    assert source.place().key is None


def test_a_path_of_keys_is_told_as_toml_writes_it() -> None:
    assert key_text(("piece", 2, "fold", 0, "angle")) == "piece[2].fold[0].angle"
    assert key_text(("hold", "base/gutter")) == 'hold."base/gutter"'
    assert key_text(("a", "")) == 'a.""'
