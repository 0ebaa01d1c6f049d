"""This module is the command gauge: sheets to measure on, and a profile of what was measured."""

from __future__ import annotations

from .arguments import add_json, add_set, add_tool, filled

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from pathlib import Path

    from foldwright.profiles.machine import Machine

    from ..gauging.figures import Outcome
    from ..gauging.model import Setting
    from ..gauging.readings import Form
    from ..gauging.sheets import Laid
    from ..problems import Problem
    from ..writers import WrittenFile

# What a form and a profile that we wrote begin with is far shorter.
_HEAD_BYTES = 1024
FORM_NAME = "readings.toml"


def configure(parser: ArgumentParser) -> None:
    """The options of the command."""
    parser.add_argument(
        "--material",
        metavar="NAME",
        type=filled,
        help="the material to measure: a name (foldwright list materials) or a file",
    )
    add_tool(parser, required=False)
    parser.add_argument(
        "--to",
        metavar="PATH",
        help="the folder for the sheets; with --measured the file for your own profile, standard "
        "output if left out",
    )
    parser.add_argument(
        "--measured",
        metavar="FILE",
        help="the form that you filled in: writes your own profile (a material's file) from it",
    )
    parser.add_argument(
        "--format",
        metavar="NAMES",
        dest="formats",
        type=_names,
        help="the writers, separated by commas (foldwright list writers); svg,dxf if left out",
    )
    parser.add_argument(
        "--machine",
        metavar="FILE",
        help="your machine's file: the sheets keep to its work area and rim",
    )
    parser.add_argument(
        "--replace", action="store_true", help="replace files that Foldwright did not write as well"
    )
    add_set(parser, "taken by every command; there is no measure here that it could change")
    add_json(parser)


def _names(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for part in filled(text).split(",") if (name := part.strip())))


def run(options: Namespace) -> int:
    """Draw the gauges, or write the profile; 1 where a reading cannot be right."""
    from ..problems import ProfileError, problem

    _check_usage(options)
    notes = tuple(problem("no-measures-here", name=name) for name, _ in options.overrides)
    if options.measured is not None:
        return _measured(options, notes)
    try:
        return _drawn(options, notes)
    except ProfileError as error:
        raise ProfileError((*notes, *error.problems)) from None


def _check_usage(options: Namespace) -> None:
    """Raise ProfileError where the options of the two uses of the command are mixed, or missing."""
    from ..problems import ProfileError, problem

    own = {
        "--material": options.material,
        "--tool": options.tool,
        "--format": options.formats,
        "--machine": options.machine,
    }
    if options.measured is not None:
        mixed = [name for name, value in own.items() if value is not None]
        if mixed:
            reason = f"{' and '.join(mixed)} cannot go with --measured: the form says it"
            hint = "leave one of the two out"
            raise ProfileError(problem("gauge-usage", reason=reason, hint=hint))
        return
    needed = {"--material": options.material, "--tool": options.tool, "--to": options.to}
    missing = [name for name, value in needed.items() if value is None]
    if missing:
        raise ProfileError(
            problem(
                "gauge-usage",
                reason=f"gauges are drawn for a material and a tool: {' and '.join(missing)} "
                f"{'is' if len(missing) == 1 else 'are'} missing",
                hint="name them as in --material card-300 --tool laser --to gauges, or read a "
                "form with --measured",
            )
        )


# Gauges.


def _drawn(options: Namespace, notes: tuple[Problem, ...]) -> int:
    from pathlib import Path

    from foldwright.profiles import load_material
    from foldwright.profiles.load import material_files
    from foldwright.profiles.machine import check_tool
    from foldwright.profiles.machine_file import load_machine
    from foldwright.profiles.model import Tool

    from ..gauging.form import form_text
    from ..gauging.gauges import gauges_for
    from ..gauging.model import setting_of
    from ..gauging.page import page_for
    from ..gauging.sheets import lay
    from ..problems import ReadBackError, problem
    from ..sources.saving import check_target, replace_file
    from ..writers import WriteOptions, write_files

    machine: Machine | None = None
    if options.machine is not None:
        machine = load_machine(options.machine)
        check_tool(machine, Tool(options.tool))
    setting = setting_of(load_material(options.material), Tool(options.tool), machine)
    laid = lay(gauges_for(setting), setting, page_for(machine))
    findings = notes + tuple(
        problem("gauge-left-out", gauge=one.name, reason=one.reason) for one in laid.left_out
    )
    folder = Path(options.to)
    form = folder / FORM_NAME
    material = _from(options.material, Path(), folder)
    text = form_text(setting, laid.gauges, laid.left_out, material=material)
    # Readings are somebody's work: they are looked at before anything is written.
    if folder.is_dir():
        _check_form(form, replace=options.replace)
        check_target(form, replace=options.replace, is_ours=lambda: _starts_with_mark(form))
    inputs = list(material_files(options.material))
    if options.machine is not None:
        inputs.append(Path(options.machine))
    files: tuple[WrittenFile, ...] = ()
    good = True
    try:
        files = write_files(
            laid.drawings,
            folder,
            formats=options.formats or ("svg", "dxf"),
            options=WriteOptions(),
            replace=options.replace,
            inputs=inputs,
        )
        replace_file(form, text.encode())
    except ReadBackError as error:
        good = False
        findings += error.problems
    _tell_drawn(options, setting, laid, files, form if good else None, findings)
    return 0 if good else 1


def _check_form(form: Path, *, replace: bool) -> None:
    """Raise FileError where a form that is there has readings in it already."""
    from ..gauging.read_form import read_form
    from ..problems import FileError, FoldwrightError, Place, problem
    from ..sources import read_source

    if replace or not form.is_file():
        return
    try:
        filled_in = not read_form(read_source(form)).empty
    except FoldwrightError:
        # Half a reading is a reading: what cannot be read was worked on by somebody.
        filled_in = _starts_with_mark(form)
    if filled_in:
        raise FileError(problem("gauge-form-filled", place=Place(file=str(form))))


def _starts_with_mark(file: Path) -> bool:
    from ..gauging import form, own_profile

    try:
        with file.open("rb") as stream:
            head = stream.read(_HEAD_BYTES).removeprefix(b"\xef\xbb\xbf")
    except PermissionError:
        # What this user may not even read, this user did not write.
        return False
    return head.startswith((form.OUR_MARK.encode(), own_profile.OUR_MARK.encode()))


def _tell_drawn(
    options: Namespace,
    setting: Setting,
    laid: Laid,
    files: tuple[WrittenFile, ...],
    form: Path | None,
    findings: tuple[Problem, ...],
) -> None:
    from .export import file_json, file_lines
    from .tell import findings_json, tell_problems, write_json

    once = {drawing.piece: 1 for drawing in laid.drawings}
    if options.json:
        write_json(
            {
                "material": setting.profile.name,
                "tool": setting.tool.value,
                "cautions": list(setting.cautions),
                "files": [file_json(file, 1, None) for file in files],
                "readings": None if form is None else str(form),
                "findings": findings_json(findings),
            }
        )
    elif form is None:
        print("no file was written: one of them did not read back the same", flush=True)
    else:
        print("\n".join(file_lines(files, once, [None] * len(files))))
        print(f"wrote {form}: fill it in, then: foldwright gauge --measured {_quoted(form)}")
        print("take care:")
        print("\n".join(f"  {caution}" for caution in setting.cautions), flush=True)
    tell_problems(findings)


# The profile.


def _measured(options: Namespace, notes: tuple[Problem, ...]) -> int:
    from dataclasses import replace
    from pathlib import Path

    from foldwright.profiles import load_material
    from foldwright.profiles.load import material_files
    from foldwright.profiles.ways import way_for

    from ..gauging.figures import work_out
    from ..gauging.own_profile import profile_text
    from ..gauging.read_form import read_form
    from ..problems import DesignError, PlugInError, ProfileError, Severity
    from ..sources import read_source

    file = Path(options.measured)
    try:
        form = read_form(read_source(file))
    except DesignError as reason:
        # The text is not TOML: here that is a fault of the form.
        raise ProfileError(reason.problems) from None
    try:
        profile = load_material(form.material, beside=file.parent)
    except PlugInError as reason:
        # The name stands in the form.
        raise PlugInError(
            one if one.place.file else replace(one, place=form.material_place)
            for one in reason.problems
        ) from None
    outcome = work_out(form, profile, way_for(profile, form.tool))
    findings = (*notes, *outcome.findings)
    if form.empty:
        raise ProfileError(findings)
    good = all(found.severity is not Severity.STOP for found in findings)
    target = None if options.to is None else Path(options.to)
    text = None
    if good:
        beside = Path() if target is None else target.parent
        text = profile_text(
            form,
            outcome,
            material=profile.name,
            based_on=_from(form.material, file.parent, beside),
            readings=_from(str(file), Path(), beside, is_path=True),
        )
        if target is not None:
            inputs = (file, *material_files(form.material, beside=file.parent))
            _write(target, text, inputs, replace=options.replace)
    _tell_measured(options, form, profile.name, outcome, text, findings)
    return 0 if good else 1


def _write(target: Path, text: str, inputs: tuple[Path, ...], *, replace: bool) -> None:
    """Write the profile and load it before it gets its name.  Raises FileError, ProfileError."""
    from foldwright.profiles import load_material

    from ..sources.saving import check_not_read, check_target, settle, told_as_problem, write_beside

    check_not_read(target, inputs)
    check_target(target, replace=replace, is_ours=lambda: _starts_with_mark(target))
    written: list[Path] = []
    try:
        with told_as_problem(target):
            write_beside(target, text.encode(), written)
            # Read back as any user would read it: a faulty one never gets its name.
            load_material(str(written[-1].resolve()))
            written[-1].replace(target)
        written.pop()
    finally:
        for beside in written:
            beside.unlink(missing_ok=True)
    settle(target.parent)


def _tell_measured(
    options: Namespace,
    form: Form,
    material: str,
    outcome: Outcome,
    text: str | None,
    findings: tuple[Problem, ...],
) -> None:
    from .tell import findings_json, number, tell_problems, write_json

    if options.json:
        answer: dict[str, object] = {
            "material": material,
            "tool": form.tool.value,
            "name": form.name,
            "path": options.to if text is not None else None,
            "figures": [
                {"key": _key(one.key, form), "is": number(one.value), "basis": one.basis}
                for one in outcome.figures
            ],
            "remarks": list(outcome.remarks),
            "findings": findings_json(findings),
        }
        if text is not None and options.to is None:
            answer["text"] = text
        write_json(answer)
    elif text is None:
        print("no profile was written: measure again what the findings name", flush=True)
    elif options.to is None:
        print(text, end="", flush=True)
    else:
        print(f"wrote {options.to}; use it with: --material {_quoted(options.to)}")
        for one in outcome.figures:
            print(f"  {_key(one.key, form)} = {one.value:g} mm: {one.basis}")
        for remark in outcome.remarks:
            print(f"  {remark}")
        print(end="", flush=True)
    tell_problems(findings)


def _key(key: tuple[str, ...], form: Form) -> str:
    """The key of a figure as the README calls it: `tool.laser.kerf`."""
    return ".".join((key[0], form.tool.value, *key[1:]) if len(key) > 1 else key)


def _from(name: str, start: Path, folder: Path, *, is_path: bool = False) -> str:
    """A material's name as it is; a path from the folder `start` as the path from `folder`."""
    import os

    if not is_path and not (name.endswith(".toml") or "/" in name or "\\" in name):
        return name
    try:
        found = os.path.relpath(start / name, folder).replace(os.sep, "/")
    except ValueError:
        # On another drive: only the whole path leads there.
        return str((start / name).resolve())
    # A bare name that does not look like a path would be that of an installed material.
    return found if found.endswith(".toml") or "/" in found else f"./{found}"


def _quoted(path: object) -> str:
    import shlex

    return shlex.quote(str(path))
