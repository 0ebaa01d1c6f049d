"""The same drawing gives the same bytes, in every process, hash order and locale."""

from __future__ import annotations

import hashlib
import locale
import os
import subprocess
import sys
from pathlib import Path

import pytest

from foldwright.plugins import Group, load
from foldwright.writers import WriteOptions, Writer
from tests.writers.drawings import card

# Run in a child: a digest of every format and option, a line each.
CHILD = """
import locale, sys
if len(sys.argv) > 1:
    locale.setlocale(locale.LC_ALL, "")
from tests.writers.test_same_bytes import digests
print("\\n".join(digests()))
"""


def digests() -> list[str]:
    found = []
    for name in ("svg", "dxf", "plain"):
        writer = load(Group.WRITERS, name)
        assert isinstance(writer, Writer)
        for options in (WriteOptions(), WriteOptions(user_unit="px96", dxf_version="R12")):
            found.append(hashlib.sha256(writer.write(card(), options)).hexdigest())
    return found


def in_a_child(seed: str, locale_name: str) -> list[str]:
    environment = {**os.environ, "PYTHONHASHSEED": seed, "LC_ALL": locale_name}
    environment.pop("PYTHONUTF8", None)
    done = subprocess.run(
        [sys.executable, "-c", CHILD, "set the locale"],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    return done.stdout.split()


@pytest.mark.parametrize(("seed", "name"), [("0", "C"), ("1", "C.UTF-8"), ("4242", "POSIX")])
def test_bytes_do_not_depend_on_process_hash_seed_or_locale(seed: str, name: str) -> None:
    assert in_a_child(seed, name) == digests()


def comma_locales() -> list[str]:
    """The installed locales that write 1.5 as 1,5."""
    found = []
    before = locale.setlocale(locale.LC_NUMERIC)
    for name in ("de_DE.UTF-8", "fr_FR.UTF-8", "de_DE", "nl_NL.UTF-8"):
        try:
            locale.setlocale(locale.LC_NUMERIC, name)
            found.append(name)
        except locale.Error:
            continue
        finally:
            locale.setlocale(locale.LC_NUMERIC, before)
    return found


def test_a_decimal_comma_of_the_locale_stays_out(monkeypatch: pytest.MonkeyPatch) -> None:
    here = digests()
    for name in comma_locales():
        assert in_a_child("7", name) == here

    # Where no such locale is installed its effect is imitated at its source:
    # the only number format that obeys a locale is `n`, and `locale.format_string`.
    def none(*_: object, **__: object) -> str:
        raise AssertionError("a number was formatted by the locale")

    monkeypatch.setattr(locale, "format_string", none)
    monkeypatch.setattr(locale, "str", none)
    assert digests() == here


def test_writing_twice_gives_the_same_bytes() -> None:
    assert digests() == digests()
