"""This module holds the getters: each takes its own type, tells of every other, and reads on."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.problems import Collector
from foldwright.sources import Table, parse_source, shown


class How(StrEnum):
    CUT = "cut"
    TEAR = "tear"


def opened(text: str) -> Table:
    source = parse_source(text, "card.toml")
    return Table(source.table, source, Collector())


def told(table: Table) -> list[str]:
    return [problem.line() for problem in table.collector.problems]


# One value of each type that TOML has.
VALUES = {
    "text": '"cut"',
    "whole": "3",
    "number": "2.5",
    "flag": "true",
    "list": "[1, 2]",
    "texts": '["a", "b"]',
    "table": "{ x = 1 }",
    "tables": "[{ x = 1 }]",
    "date": "2020-01-01",
    "nothing": "[]",
}
# The getters, and what they give for the types that they take.
TAKES: dict[str, dict[str, object]] = {
    "text": {"text": "cut"},
    "name": {"text": "cut"},
    "choice": {"text": How.CUT},
    "flag": {"flag": True},
    "whole": {"whole": 3},
    "number": {"whole": Fraction(3), "number": Fraction(5, 2)},
    "expression": {"text": "cut", "whole": 3, "number": Fraction(5, 2)},
    "array": {
        "list": (1, 2),
        "texts": ("a", "b"),
        "tables": ({"x": 1},),
        "nothing": (),
    },
    "texts": {"texts": ("a", "b"), "nothing": ()},
}


def get(table: Table, getter: str, key: str) -> object:
    return table.choice(key, How) if getter == "choice" else getattr(table, getter)(key)


@pytest.mark.parametrize("getter", TAKES)
@pytest.mark.parametrize("kind", VALUES)
def test_a_getter_takes_its_types_and_tells_of_the_others(getter: str, kind: str) -> None:
    table = opened(f"\nkey = {VALUES[kind]}\n")
    value = get(table, getter, "key")
    if kind in TAKES[getter]:
        assert value == TAKES[getter][kind]
        assert not table.collector.problems
    else:
        (problem, *_) = table.collector.problems
        assert '"key"' in problem.message.partition(" should be ")[0]
        assert problem.rule == "wrong-type"
        assert problem.place.line == 2


@pytest.mark.parametrize("getter", ["text", "name", "flag", "whole", "number", "array", "texts"])
def test_a_required_key_is_missed_and_an_optional_one_is_not(getter: str) -> None:
    table = opened("[piece]\n").table("piece")
    assert table is not None
    assert getattr(table, getter)("key") is None
    assert not told(table)
    assert getattr(table, getter)("key", required=True) is None
    assert [line[:46] for line in told(table)] == ['card.toml:1: stop: "piece.key" is missing; add']


def test_defaults_stand_in_for_what_is_missing() -> None:
    table = opened("wrong = []\n")
    for key in ("missing", "wrong"):
        assert table.text(key, "mm") == "mm"
        assert table.flag(key, True) is True
        assert table.whole(key, 1) == 1
        assert table.number(key, Fraction(1, 3)) == Fraction(1, 3)
        assert table.choice(key, How, How.TEAR) is How.TEAR
    assert len(told(table)) == 5  # once a getter, for the wrong one only


def test_true_is_not_a_number_and_a_number_not_whole() -> None:
    table = opened("a = true\nb = 2.0\n")
    assert table.number("a") is None
    assert table.whole("a") is None
    assert table.whole("b") is None
    assert told(table) == [
        'card.toml:1: stop: "a" should be a number, not true; write a number (wrong-type)',
        'card.toml:1: stop: "a" should be a whole number, not true; write a whole number '
        "(wrong-type)",
        'card.toml:2: stop: "b" should be a whole number, not 2; write a whole number (wrong-type)',
    ]


@pytest.mark.parametrize("written", ["inf", "-inf", "nan", "1e999", "0x" + "f" * 9000, "1e-999"])
@pytest.mark.parametrize("getter", ["number", "expression"])
def test_numbers_of_no_use_are_refused(written: str, getter: str) -> None:
    table = opened(f"a = {written}\n")
    assert get(table, getter, "a") is None
    (line,) = told(table)
    assert line.startswith('card.toml:1: stop: "a" should be a number of ordinary size, not ')
    assert len(line) < 200


def test_a_near_miss_of_a_word_is_named() -> None:
    table = opened('a = "tare"\nb = "melt"\n')
    assert table.choice("a", How) is None
    assert table.choice("b", How) is None
    assert told(table) == [
        'card.toml:1: stop: "a" should be "cut" or "tear", not "tare"; did you mean "tear"? '
        "(unknown-word)",
        'card.toml:2: stop: "b" should be "cut" or "tear", not "melt"; write "cut" or "tear" '
        "(unknown-word)",
    ]


def test_a_key_nobody_asked_for_is_told_with_the_nearest_known_one() -> None:
    table = opened('nmae = "x"\n[[piece]]\noutlin = 1\n[[piece]]\n[[piece.fold]]\nzzz = 1\n')
    table.text("name")
    for piece in table.tables("piece"):
        piece.raw("outline")
        piece.raw("name")
        for fold in piece.tables("fold"):
            fold.text("sense")
            fold.text("angle")
    table.finish()
    table.finish()
    assert told(table) == [
        'card.toml:1: stop: there is no key "nmae" at the top of the file; did you mean "name"? '
        "(unknown-key)",
        'card.toml:3: stop: there is no key "outlin" in piece 1; did you mean "outline"? '
        "(unknown-key)",
        'card.toml:6: stop: there is no key "zzz" in fold 1 of piece 2; remove it; known here '
        "are: sense, angle (unknown-key)",
    ]


def test_known_and_open_keys_are_not_unknown() -> None:
    table = opened("later = 1\n[measures]\nwidth = 1\nlength = 2\n")
    table.knows("later")
    measures = table.table("measures")
    assert measures is not None
    assert measures.open_keys() == ("width", "length")
    table.finish()
    assert not told(table)


def test_tables_by_the_users_own_names() -> None:
    table = opened('[stock.card]\nmaterial = "m"\n[stock]\npaper = 3\n')
    assert {name: one.text("material") for name, one in table.named_tables("stock").items()} == {
        "card": "m"
    }
    assert table.named_tables("none") == {}
    assert told(table) == [
        'card.toml:4: stop: "stock.paper" should be a table, not 3; write a table (wrong-type)'
    ]


def test_tables_in_lists_know_their_places() -> None:
    table = opened("a = 3\nb = [\n {},\n 4,\n { c = true } ]\n")
    assert table.tables("a") == ()
    first, second = table.tables("b")
    assert second.number("c") is None
    assert (first.path, second.path) == (("b", 0), ("b", 2))
    assert told(table) == [
        'card.toml:1: stop: "a" should be a list of tables: [[a]], not 3; write a list of tables: '
        "[[a]] (wrong-type)",
        'card.toml:4: stop: item 2 of "b" should be a table, not 4; write a table (wrong-type)',
        'card.toml:5: stop: "c" of b 3 should be a number, not true; write a number (wrong-type)',
    ]


def test_texts_in_a_list_are_judged_one_by_one() -> None:
    table = opened('a = [\n"x",\n1,\n"y"]\n')
    assert table.texts("a") == ("x", "y")
    assert told(table) == [
        'card.toml:3: stop: item 2 of "a" should be a text in quotes, not 1; write a text in '
        "quotes (wrong-type)"
    ]


def test_a_name_with_a_path_in_it() -> None:
    table = opened('name = "../base"\n')
    assert table.name("name") is None
    assert "it has a path in it" in told(table)[0]


@given(st.text(max_size=60))
def test_a_name_in_a_file_is_read_or_told_of(name: str) -> None:
    source = parse_source("", "card.toml")
    table = Table({"name": name}, source, Collector())
    assert (table.name("name") == name) is (not table.collector.problems)


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.fractions() | st.text(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
        max_leaves=8,
    )
)
def test_any_value_is_shown_short(value: object) -> None:
    assert 0 < len(shown(value)) <= 70


def test_what_stands_in_a_list_is_called_by_its_name_or_counted_from_1() -> None:
    table = opened(
        '[[piece]]\nname = "base"\noutline = { round = true }\n[[piece.fold]]\nname = "gutter"\n'
        "points = [[true]]\n[[piece.fold]]\nname = 3\n[tool.knife]\nkerf = true\n"
    )
    (piece,) = table.tables("piece")
    named, unnamed = piece.tables("fold")
    assert named.told() == 'fold "gutter" of piece "base"'
    assert (
        named.told("points", 0, 1)
        == 'item 2 of item 1 of "points" of fold "gutter" of piece "base"'
    )
    assert unnamed.told("sense") == '"sense" of fold 2 of piece "base"'
    outline = piece.table("outline")
    assert outline is not None
    assert outline.told("round") == '"round" of "outline" of piece "base"'
    knife = table.named_tables("tool")["knife"]
    assert knife.told("kerf") == '"tool.knife.kerf"'
    # The path of keys, counted from 0, stays in the place.
    assert outline.number("round") is None
    (problem,) = table.collector.problems
    assert problem.place.key == "piece[0].outline.round"
    assert "[" not in problem.message
