"""Files of rules of the post: those that ship, a user's own, and what is wrong in one."""

from __future__ import annotations

from pathlib import Path

import pytest

from foldwright.problems import ProfileError
from foldwright.profiles.post_rules import Fails, Measure, load_services, shipped_services

GOOD = """\
name = "Islands"
dated = 2026-03-01
source = "the counter"
basis = "asked there"

[[service]]
name = "island-letter"
tolerance = "1/16 in"

  [[service.rule]]
  measure = "length"
  least = 100
  most = "9 1/2 in"

  [[service.rule]]
  measure = "mass"
  most = "1.5 oz"
  fails = "surcharge"
  if_over = { thickness = 5, mass = "20 g" }

  [[service.rule]]
  measure = "larger"
  larger_than = { height = "10 cm" }
"""


def wrong(tmp_path: Path, text: str) -> list[tuple[str, int | None]]:
    file = tmp_path / "post.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ProfileError) as caught:
        load_services(file)
    return [(problem.rule, problem.place.line) for problem in caught.value.problems]


def test_a_file_of_ones_own(tmp_path: Path) -> None:
    file = tmp_path / "post.toml"
    file.write_text(GOOD, encoding="utf-8")
    (service,) = load_services(file)
    assert (service.name, service.about, service.dated) == (
        "island-letter",
        "island-letter",
        "2026-03-01",
    )
    assert service.tolerance_mm == 25.4 / 16
    length, mass, larger = service.rules
    assert (length.measure, length.least, length.most) == (Measure.LENGTH, 100, 241.3)
    # The ounce is 28.349523125 g.
    assert mass.fails is Fails.SURCHARGE
    assert mass.most == pytest.approx(42.5242846875)
    assert mass.if_over == {Measure.THICKNESS: 5, Measure.MASS: 20}
    assert larger.larger_than == {Measure.HEIGHT: 100}


@pytest.mark.parametrize(
    ("old", "new", "rules"),
    [
        ("dated = 2026-03-01\n", "", [("missing-key", None)]),
        ("dated = 2026-03-01", 'dated = "in March"', [("wrong-type", 2)]),
        ('basis = "asked there"\n', "", [("missing-key", None)]),
        ('"length"', '"lenght"', [("unknown-word", 11)]),
        ('"9 1/2 in"', '"9 1/2 oz"', None),
        ('"1.5 oz"', '"1.5 lb"', [("wrong-type", 17)]),
        ("least = 100", "least = -1", [("wrong-type", 12)]),
        ("least = 100", "least = true", None),
        ("most = \"1.5 oz\"\n", "", [("post-rule-empty", 15)]),
        ('larger_than = { height = "10 cm" }\n', "", [("missing-key", 21)]),
        ("least = 100", "lowest = 100", [("unknown-key", 12)]),
        ("[[service]]", "[service]", None),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_line(
    tmp_path: Path, old: str, new: str, rules: list[tuple[str, int | None]] | None
) -> None:
    assert old in GOOD
    found = wrong(tmp_path, GOOD.replace(old, new, 1))
    if rules is None:
        assert found
    else:
        assert [rule for rule, _ in found] == [rule for rule, _ in rules]
        lines = [line for _, line in rules if line is not None]
        assert [line for _, line in found][: len(lines)] == lines


def test_two_services_of_one_name_are_told(tmp_path: Path) -> None:
    twice = f"{GOOD}\n{GOOD[GOOD.index('[[service]]') :]}"
    assert [rule for rule, _ in wrong(tmp_path, twice)] == ["post-service-twice"]


def test_no_service_at_all_is_told(tmp_path: Path) -> None:
    assert [rule for rule, _ in wrong(tmp_path, GOOD[: GOOD.index("[[service]]")])] == [
        "missing-key"
    ]


def test_what_ships_is_dated_and_each_name_is_there_once() -> None:
    services = shipped_services()
    names = [service.name for service in services]
    assert len(names) == len(set(names)) >= 8
    assert all(len(service.dated) == 10 and service.rules for service in services)
