"""This module holds the layers: arrows point down, modules import alone, nothing heavy early."""

from __future__ import annotations

import ast
import graphlib
import json
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DESIGNS = ROOT / "tests" / "designs"

# Low to high: a folder imports only from itself and from what stands before it.
LAYERS = (
    "problems",
    "plugins",
    "measures",
    "sources",
    "geometry",
    "lettering",
    "drawing",
    "profiles",
    "design",
    "patterns",
    "occasions",
    "panels",
    "folding",
    "stacking",
    "proving",
    "dressing",
    "compiling",
    "gauging",
    "pictures",
    "writers",
    "cli",
)
# The package's own front door stands above all layers.
TOP = "the package itself"

# Of the measures, geometry may know the kinds of number and the tolerances only.
NARROW = {("geometry", "measures"): "measures.exact"}

# Each of these costs more time to import than a whole run of `--help` may take.
HEAVY = ("ezdxf", "fontTools", "lxml", "numpy", "shapely", "svgelements", "tomlkit")


def modules_of(vectors: Path, profiles: Path) -> dict[str, Path]:
    """Module name without the leading `foldwright` -> file."""
    found: dict[str, Path] = {}
    for top, folder in (("", vectors), ("profiles", profiles)):
        for file in sorted(folder.rglob("*.py")):
            parts = file.relative_to(folder).with_suffix("").parts
            name = ".".join(p for p in (top, *parts) if p and p != "__init__")
            found[name] = file
    return found


MODULES = modules_of(ROOT / "vectors", ROOT / "profiles")


def layer_of(module: str) -> str:
    first = module.partition(".")[0]
    return TOP if first in {"", "__main__"} else first


def height(module: str) -> int:
    layer = layer_of(module)
    return len(LAYERS) if layer == TOP else LAYERS.index(layer)


def imports(
    module: str, source: str, modules: dict[str, Path] | set[str], package: bool
) -> Iterator[str]:
    """The modules of the project that a source imports, wherever in the file it does."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            for alias in node.names:
                name = alias.name
                if name == "foldwright" or name.startswith("foldwright."):
                    yield name.removeprefix("foldwright").removeprefix(".")
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level == 0:
                if base != "foldwright" and not base.startswith("foldwright."):
                    continue
                target = base.removeprefix("foldwright").removeprefix(".")
            else:
                parts = module.split(".") if module else []
                up = node.level - 1 if package else node.level
                kept = parts[: len(parts) - up] if up else parts
                target = ".".join([*kept, *(base.split(".") if base else [])])
            for alias in node.names:
                inner = f"{target}.{alias.name}" if target else alias.name
                yield inner if inner in modules else target


def arrows() -> dict[str, set[str]]:
    found = {}
    for module, file in MODULES.items():
        source = file.read_text(encoding="utf-8")
        package = file.name == "__init__.py"
        found[module] = set(imports(module, source, MODULES, package)) - {module}
    return found


def complaints(found: dict[str, set[str]]) -> list[str]:
    """Every import that does not point down, in words."""
    wrong = []
    for module, targets in sorted(found.items()):
        for target in sorted(targets):
            pair = (layer_of(module), layer_of(target))
            if height(target) > height(module):
                wrong.append(
                    f"{module or TOP} imports {target or TOP}, which is above it"
                    if pair[1] != TOP
                    else f"{module} imports {TOP}, which is above it"
                )
            elif pair in NARROW and not target.startswith(NARROW[pair]):
                wrong.append(f"{module} imports {target}, but may import {NARROW[pair]} only")
    return wrong


def cycles(found: dict[str, set[str]]) -> list[str]:
    """A cycle of each layer that has one, in words."""
    wrong = []
    for layer in LAYERS:
        inside = {
            module: {target for target in targets if layer_of(target) == layer}
            for module, targets in found.items()
            if layer_of(module) == layer
        }
        try:
            graphlib.TopologicalSorter(inside).prepare()
        except graphlib.CycleError as error:
            wrong.append(" imports ".join(reversed(error.args[1])))
    return wrong


def run_fresh(code: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT / "tests",
    )


def test_every_folder_is_a_layer() -> None:
    assert {layer_of(module) for module in MODULES} == {*LAYERS, TOP}


def test_imports_point_down() -> None:
    assert complaints(arrows()) == []


def test_no_cycles_inside_a_layer() -> None:
    assert cycles(arrows()) == []


def test_an_arrow_that_points_up_is_told() -> None:
    names = {"", "panels", "panels.split", "writers", "writers.svg", "geometry", "measures.exact"}
    code = (
        "def f():\n    from ..writers.svg import write\n    from foldwright.geometry import Path\n"
    )
    found = set(imports("panels.split", code, names, package=False))
    assert found == {"writers.svg", "geometry"}
    assert complaints({"panels.split": found}) == [
        "panels.split imports writers.svg, which is above it"
    ]
    assert complaints({"geometry.paths": {"measures.exact"}}) == []
    assert complaints({"geometry.paths": {"measures.parser"}}) == [
        "geometry.paths imports measures.parser, but may import measures.exact only"
    ]
    assert complaints({"panels.split": {""}}) == [
        "panels.split imports the package itself, which is above it"
    ]


def test_relative_imports_are_followed() -> None:
    names = {"problems", "problems.rules", "problems.rules.rule", "problems.problem"}
    package = "from . import rule\nfrom ..problem import Place\n"
    assert set(imports("problems.rules", package, names, package=True)) == {
        "problems.rules.rule",
        "problems.problem",
    }
    plain = "from .rule import Rule\nfrom .. import problem\n"
    assert set(imports("problems.rules.commands", plain, names, package=False)) == {
        "problems.rules.rule",
        "problems.problem",
    }


def test_a_cycle_is_told() -> None:
    found = {"panels.a": {"panels.b"}, "panels.b": {"panels.a", "geometry"}}
    assert cycles(found) in (
        ["panels.a imports panels.b imports panels.a"],
        ["panels.b imports panels.a imports panels.b"],
    )


def test_any_module_imports_alone() -> None:
    code = (
        "import importlib, json, sys\n"
        "wrong = []\n"
        "for name in sys.argv[1:]:\n"
        "    for old in [m for m in sys.modules if m.partition('.')[0] == 'foldwright']:\n"
        "        del sys.modules[old]\n"
        "    try:\n"
        "        importlib.import_module(name)\n"
        "    except Exception as error:\n"
        "        wrong.append(f'{name}: {type(error).__name__}: {error}')\n"
        "print(json.dumps(wrong))\n"
    )
    names = [f"foldwright.{module}" if module else "foldwright" for module in MODULES]
    done = run_fresh(code, *names)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == []


def test_the_listed_packages_are_the_folders() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    setup = project["tool"]["setuptools"]
    folders = {
        f"foldwright.{module}" if module else "foldwright"
        for module, file in MODULES.items()
        if file.name == "__init__.py"
    }
    assert setup["packages"] == sorted(folders)
    assert setup["package-dir"] == {"foldwright": "vectors", "foldwright.profiles": "profiles"}


def imported(code: str) -> set[str]:
    """The top names and the project's modules that are loaded after a piece of code has run."""
    wrapped = (
        "import contextlib, io, json, sys\n"
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n"
        + "".join(f"    {line}\n" for line in code.splitlines())
        + "print(json.dumps([m for m in sys.modules]))\n"
    )
    done = run_fresh(wrapped)
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout))


@pytest.mark.parametrize(
    "code",
    [
        "import foldwright.cli",
        "from foldwright.cli import main\nmain(['--help'])",
        *(
            f"from foldwright.cli import main\nmain(['{command}', '--help'])"
            for command in ("prove", "export", "new", "list")
        ),
    ],
)
def test_help_loads_nothing_but_the_command_line(code: str) -> None:
    loaded = imported(code)
    assert loaded.isdisjoint(HEAVY)
    ours = {name for name in loaded if name.startswith("foldwright.")}
    assert ours
    assert {name for name in ours if not name.startswith("foldwright.cli")} == set()
    # Both cost a noticeable share of the time that a help text may take.
    assert loaded.isdisjoint({"dataclasses", "importlib.metadata"})


@pytest.mark.parametrize(
    "command",
    [
        ["list"],
        ["new", "side-steps"],
        # Lines that cannot be judged, and files that cannot be read.
        ["prove", str(DESIGNS / "refused" / "no-walk.toml")],
        ["prove", "no such file.toml"],
    ],
)
def test_only_what_folds_loads_a_library(command: list[str]) -> None:
    loaded = imported(f"from foldwright.cli import main\nmain({command!r})")
    assert "foldwright.cli.run" in loaded
    assert loaded.isdisjoint(HEAVY)


@pytest.mark.parametrize("name", ["harbour-steps", "v-fold-popup", "square-twist", "everything"])
def test_a_proof_loads_numpy_and_shapely_and_no_other_library(name: str) -> None:
    """Poses need the one, the closed card the other; scipy only poses of some hundred folds."""
    loaded = imported(f"from foldwright.cli import main\nmain(['prove', {shown(name)!r}])")
    assert {"foldwright.proving", "foldwright.stacking", "numpy", "shapely"} <= loaded
    assert loaded.isdisjoint({*HEAVY, "scipy"} - {"numpy", "shapely"})


def test_a_design_is_read_and_its_lines_divided_without_numpy() -> None:
    loaded = imported(
        "from foldwright.design import read_design, resolve\n"
        "from foldwright.panels import assemble, divide\n"
        "from foldwright.folding import closing, loops_of\n"
        f"resolved = resolve(read_design({shown('harbour-steps')!r}))\n"
        "divided = {piece.name: divide(piece) for piece in resolved.pieces}\n"
        "(loop,) = loops_of(assemble(divided, resolved.joints))\n"
        "assert closing(loop).gap_mm == 0\n"
    )
    assert loaded.isdisjoint(HEAVY)


def shown(name: str) -> str:
    return str(DESIGNS / f"{name}.toml")
