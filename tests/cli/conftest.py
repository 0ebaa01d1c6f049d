"""Ways to run the program: in this process, where coverage sees it, and as a user starts it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from foldwright.cli import main

DESIGNS = Path(__file__).parents[1] / "designs"


@dataclass(frozen=True, slots=True)
class Ran:
    """What a run of the program gave back."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def rules(self) -> list[str]:
        """The rules of the problems on standard error, in order."""
        return [
            line.rpartition("(")[2].removesuffix(")")
            for line in self.err.splitlines()
            if line.endswith(")") and ": " in line
        ]


@pytest.fixture
def foldwright(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Run a command line in this process."""

    def run(*arguments: object) -> Ran:
        capsys.readouterr()
        status = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return Ran(status, out, err)

    return run


@pytest.fixture
def process() -> Callable[..., Ran]:
    """Run a command line in a process of its own."""

    def run(*arguments: object, **options: Any) -> Ran:
        environment = {**os.environ, **options.pop("environment", {})}
        done = subprocess.run(
            [sys.executable, "-m", "foldwright", *(str(argument) for argument in arguments)],
            stdout=options.pop("stdout", subprocess.PIPE),
            stderr=subprocess.PIPE,
            encoding="utf-8",
            check=False,
            env=environment,
            **options,
        )
        assert "Traceback" not in done.stderr
        return Ran(done.returncode, done.stdout or "", done.stderr)

    return run


@pytest.fixture
def harbour(tmp_path: Path) -> Path:
    """A copy of the design that ships, in a folder of its own."""
    folder = tmp_path / "designs"
    folder.mkdir()
    return Path(shutil.copy(DESIGNS / "harbour-steps.toml", folder))


@pytest.fixture
def design(tmp_path: Path) -> Callable[[str], Path]:
    """Write a design file and give its path."""

    def write(text: str) -> Path:
        file = tmp_path / "card.toml"
        file.write_text(text, encoding="utf-8")
        return file

    return write
