"""Files on the disk: what is written, what is never touched, what happens when it goes wrong."""

from __future__ import annotations

import errno
import json
import math
import os
import shutil
import stat
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from foldwright.drawing import Drawing, Layer, Side
from foldwright.geometry import line
from foldwright.plugins import registry
from foldwright.problems import FileError, FoldwrightError, PlugInError, ReadBackError
from foldwright.writers import OUR_MARK, ReadBack, WriteOptions, WrittenFile, write_files
from foldwright.writers.svg import SvgWriter, writer
from tests.writers.drawings import card, cut, drawing, mark, places, score

OPTIONS = WriteOptions()
BOTH = ("svg", "dxf")


def write(
    drawings: list[Drawing],
    folder: Path,
    *,
    formats: tuple[str, ...] = BOTH,
    split_layers: bool = False,
    replace: bool = False,
) -> tuple[WrittenFile, ...]:
    return write_files(
        drawings,
        folder,
        formats=formats,
        options=OPTIONS,
        split_layers=split_layers,
        replace=replace,
    )


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def rules(error: FoldwrightError) -> list[str]:
    return [problem.rule for problem in error.problems]


# --- what is written ---


def test_files_are_written_in_order_and_told(tmp_path: Path) -> None:
    second = replace(card(), piece="pop up")
    found = write([card(), second], tmp_path)
    assert [file.path.name for file in found] == [
        "01-base-front.svg",
        "01-base-front.dxf",
        "02-pop-up-front.svg",
        "02-pop-up-front.dxf",
    ]
    assert names(tmp_path) == sorted(file.path.name for file in found)
    first = found[0]
    assert (first.piece, first.side, first.format) == ("base", Side.FRONT, "svg")
    assert (first.width_mm, first.height_mm, first.read_back) == (148.0, 210.0, "same")
    assert first.layers[Layer.MARK] == (1, 20.0)
    assert first.layers[Layer.SCORE] == (3, 158.0)
    assert first.layers[Layer.CUT].strokes == 4
    assert json.dumps(dict(first.layers)).startswith('{"mark": [1, 20.0], "score": ')


def test_a_missing_folder_is_made(tmp_path: Path) -> None:
    (file,) = write([card()], tmp_path / "a" / "b", formats=("svg",))
    assert file.path == tmp_path / "a" / "b" / "01-base-front.svg"
    assert file.path.read_bytes() == writer.write(card(), OPTIONS)


def test_every_format_is_written_once(tmp_path: Path) -> None:
    assert len(write([card()], tmp_path, formats=("svg", "svg", "plain"))) == 2
    assert names(tmp_path) == ["01-base-front.svg", "01-base-front.txt"]


def test_each_worked_face_has_a_file_of_its_own(tmp_path: Path) -> None:
    guide = line(*places((0, 0), (9, 9)))
    both = drawing(mark(guide), mark(guide, side=Side.BACK), cut(guide))
    front, back = write([both], tmp_path, formats=("plain",))
    assert (front.path.name, back.path.name) == ("01-base-front.txt", "01-base-back.txt")
    assert back.side is Side.BACK
    assert back.layers[Layer.CUT] == (0, 0.0)
    text = back.path.read_text()
    assert text.count("\nmark ") == 1
    assert "\ncut " not in text
    assert 'title "Harbour steps: base, back"' in text


def test_layers_can_be_split_and_empty_ones_are_left_out(tmp_path: Path) -> None:
    guide = line(*places((0, 0), (9, 9)))
    found = write(
        [drawing(score(guide), cut(guide), cut(guide))],
        tmp_path,
        formats=("svg",),
        split_layers=True,
    )
    assert names(tmp_path) == ["01-base-front-cut.svg", "01-base-front-score.svg"]
    assert [file.layers[Layer.CUT].strokes for file in found] == [0, 2]
    for file in found:
        # The same page, so that the passes lie on top of each other.
        assert b'width="148mm" height="210mm" viewBox="0 0 148 210"' in file.path.read_bytes()


def test_a_drawing_without_strokes_has_no_file(tmp_path: Path) -> None:
    assert write([drawing(), replace(card(), piece="mat")], tmp_path, formats=("svg",))
    assert names(tmp_path) == ["02-mat-front.svg"]


def test_unproven_files_say_so_in_their_names(tmp_path: Path) -> None:
    write([replace(card(), proven=False)], tmp_path)
    assert names(tmp_path) == ["01-base-front-unproven.dxf", "01-base-front-unproven.svg"]


def test_rights_are_those_of_any_new_file(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        (file,) = write([card()], tmp_path, formats=("svg",))
    finally:
        os.umask(before)
    assert file.path.stat().st_mode & 0o777 == 0o640


# --- what is not touched ---


def test_our_own_file_is_replaced(tmp_path: Path) -> None:
    (file,) = write([card()], tmp_path, formats=("svg",))
    old = replace(card(), title="another title")
    write([old], tmp_path, formats=("svg",))
    assert file.path.read_bytes() == writer.write(old, OPTIONS)
    assert names(tmp_path) == ["01-base-front.svg"]


def test_somebody_elses_file_is_not_replaced_unless_asked(tmp_path: Path) -> None:
    target = tmp_path / "01-base-front.svg"
    target.write_text("<svg/>")
    (tmp_path / "02-mat-front.svg").write_bytes(b"")
    drawings = [card(), replace(card(), piece="mat"), replace(card(), piece="new")]
    with pytest.raises(FileError) as caught:
        write(drawings, tmp_path, formats=("svg",))
    assert rules(caught.value) == ["target-not-ours", "target-not-ours"]
    assert str(caught.value).splitlines()[0] == (
        f"{target}: stop: this file exists and was not written by Foldwright; name another "
        "folder, move the file away, or replace it with --replace (target-not-ours)"
    )
    assert target.read_text() == "<svg/>"
    assert len(names(tmp_path)) == 2
    assert len(write(drawings, tmp_path, formats=("svg",), replace=True)) == 3
    assert OUR_MARK in target.read_text()


@pytest.mark.parametrize("asked", [False, True], ids=["not asked", "replace"])
def test_folders_and_links_are_never_replaced(tmp_path: Path, asked: bool) -> None:
    elsewhere = tmp_path / "elsewhere.svg"
    (linked,) = write([card()], tmp_path / "other", formats=("svg",))
    linked.path.rename(elsewhere)
    before = elsewhere.read_bytes()
    out = tmp_path / "out"
    (out / "01-base-front.svg").mkdir(parents=True)
    (out / "01-base-front.dxf").symlink_to(elsewhere)
    (out / "01-base-front.txt").symlink_to(tmp_path / "nowhere")
    with pytest.raises(FileError) as caught:
        write([card()], out, formats=("svg", "dxf", "plain"), replace=asked)
    assert rules(caught.value) == ["target-is-a-folder", "target-is-a-link", "target-is-a-link"]
    assert elsewhere.read_bytes() == before
    assert len(names(out)) == 3


def test_a_pipe_is_no_target(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "01-base-front.svg")
    with pytest.raises(FileError, match="target-is-a-link"):
        write([card()], tmp_path, formats=("svg",), replace=True)


def test_a_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("notes")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    with pytest.raises(FileError, match="folder-is-a-file"):
        write([card()], tmp_path / "link" / "deeper")
    for folder in (tmp_path / "out", tmp_path / "out" / "deeper"):
        with pytest.raises(FileError) as caught:
            write([card()], folder)
        assert str(caught.value) == (
            f"{tmp_path / 'out'}: stop: this is a file, not a folder; name another folder for the "
            "files (folder-is-a-file)"
        )
    assert (tmp_path / "out").read_text() == "notes"


def test_a_path_that_cannot_be_is_told(tmp_path: Path) -> None:
    for folder in (tmp_path / "a\x00b", tmp_path / ("x" * 300)):
        with pytest.raises(FileError, match="cannot-write") as caught:
            write([card()], folder)
        assert len(str(caught.value).splitlines()) == 1
    assert names(tmp_path) == []


# --- what goes wrong on the way ---


def mounted(place: Path, options: str) -> bool:
    """Whether a memory disk could be mounted at `place`, which only root of a real machine can."""
    command = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)]
    if os.geteuid() != 0 or shutil.which("mount") is None:
        return False
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


@pytest.fixture
def shut(tmp_path: Path) -> Iterator[Path]:
    """A folder that nothing can be written into, or an imitation for a root who cannot mount."""
    place = tmp_path / "shut"
    place.mkdir()
    if mounted(place, "ro"):
        yield place
        subprocess.run(["umount", str(place)], check=True)
        return
    place.chmod(0o555)
    with pytest.MonkeyPatch.context() as patch:
        if os.geteuid() == 0:

            def refused(*_: object, **__: object) -> int:
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

            patch.setattr(os, "open", refused)
            patch.setattr(os, "mkdir", refused)
        yield place
    place.chmod(0o755)


def test_a_read_only_folder_is_told(shut: Path) -> None:
    for folder, place in ((shut, shut / "01-base-front.svg"), (shut / "a" / "b", shut / "a")):
        with pytest.raises(FileError) as caught:
            write([card()], folder)
        assert str(caught.value) == (
            f"{place}: stop: nothing may be written here; allow writing to the folder, "
            "or name another one (read-only)"
        )
    assert names(shut) == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A folder on a disk that holds one file but not two, or an imitation where none can be had."""
    place = tmp_path / "disk"
    place.mkdir()
    if mounted(place, "size=16k"):
        yield place
        subprocess.run(["umount", str(place)], check=True)
    else:
        with pytest.MonkeyPatch.context() as patch:
            fill_up(patch)
            yield place


def fill_up(patch: pytest.MonkeyPatch) -> None:
    """Make the third file fail when it is brought to the disk, as a full disk does."""
    real, files = os.fsync, iter(range(1000))

    def fsync(handle: int) -> None:
        # Folders are brought to the disk too; they do not count.
        if stat.S_ISREG(os.fstat(handle).st_mode) and next(files) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(handle)

    patch.setattr(os, "fsync", fsync)


def test_a_full_disk_leaves_nothing_half_written(small_disk: Path) -> None:
    (old,) = write([card()], small_disk, formats=("svg",))
    before = old.path.read_bytes()
    changed = replace(card(), title="changed")
    with pytest.raises(FileError) as caught:
        write([changed], small_disk)
    assert rules(caught.value) == ["disk-full"]
    assert str(caught.value).startswith(
        f"{small_disk / '01-base-front.dxf'}: stop: the disk is full;"
    )
    assert names(small_disk) == ["01-base-front.svg"]
    assert old.path.read_bytes() == before


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_a_disk_that_fills_while_writing_leaves_no_folder_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def fsync(handle: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fsync)
    with pytest.raises(FileError, match="disk-full"):
        write([card()], tmp_path / "a" / "b")
    assert names(tmp_path) == []


def test_other_faults_of_the_system_are_told_in_its_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fsync(handle: int) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(os, "fsync", fsync)
    with pytest.raises(
        FileError, match=r"this cannot be written: input/output error; .*cannot-write"
    ):
        write([card()], tmp_path)
    assert names(tmp_path) == []


def test_an_interrupt_leaves_the_folder_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (old,) = write([card()], tmp_path, formats=("svg",))
    before = old.path.read_bytes()

    def interrupted(self: SvgWriter, data: bytes, options: WriteOptions) -> ReadBack:
        raise KeyboardInterrupt

    monkeypatch.setattr(SvgWriter, "read_back", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write([replace(card(), title="changed")], tmp_path)
    with pytest.raises(KeyboardInterrupt):
        write([card()], tmp_path / "new", formats=("svg",))
    assert names(tmp_path) == ["01-base-front.svg"]
    assert old.path.read_bytes() == before


def test_a_rename_that_fails_leaves_no_unfinished_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Path.replace

    def rename(self: Path, target: Path) -> Path:
        if target.suffix == ".dxf":
            raise PermissionError(errno.EACCES, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", rename)
    with pytest.raises(FileError, match=r"01-base-front\.dxf: stop: nothing may be written here"):
        write([card()], tmp_path)
    assert names(tmp_path) == ["01-base-front.svg"]


def test_an_unfinished_file_of_another_run_is_stepped_over(tmp_path: Path) -> None:
    left = tmp_path / f".{os.getpid()}-0-0.part"
    left.write_text("left")
    write([card()], tmp_path)
    assert left.read_text() == "left"
    assert len(names(tmp_path)) == 3


# --- the read-back decides ---


class Careless(SvgWriter):
    """Writes whatever comes, but draws one line a little off."""

    def write(self, drawing: Drawing, options: WriteOptions) -> bytes:
        return super().write(drawing, options).replace(b"M 50 165", b"M 50.002 165")


class Wrong(SvgWriter):
    """Fails as plug-ins may."""

    def write(self, drawing: Drawing, options: WriteOptions) -> bytes:
        raise ZeroDivisionError("division by zero")


class Unreadable(SvgWriter):
    """Cannot read what it wrote."""

    def read_back(self, data: bytes, options: WriteOptions) -> ReadBack:
        raise RuntimeError("out of luck")


class Entry:
    """An installed plug-in, as the registry sees one."""

    class Dist:
        name, version = "a-plug-in", "1"

    dist = Dist()

    def __init__(self, name: str, plug_in: object) -> None:
        self.name, self.value, self.plug_in = name, f"a_plug_in:{name}", plug_in

    def load(self) -> object:
        return self.plug_in


@pytest.fixture
def plug_ins(monkeypatch: pytest.MonkeyPatch) -> None:
    real = registry._entries
    added = (
        Entry("careless", Careless(name="careless", suffix=".careless.svg")),
        Entry("wrong", Wrong(name="wrong", suffix=".wrong.svg")),
        Entry("unreadable", Unreadable(name="unreadable", suffix=".unreadable.svg")),
        Entry("twin", SvgWriter(name="twin")),
        Entry("text", "not a writer"),
        Entry("class", SvgWriter),
    )
    monkeypatch.setattr(
        registry,
        "_entries",
        lambda group: real(group) + (added if group is registry.Group.WRITERS else ()),
    )


@pytest.mark.usefixtures("plug_ins")
def test_a_file_that_reads_back_otherwise_never_gets_its_name(tmp_path: Path) -> None:
    (old,) = write([card()], tmp_path, formats=("svg",))
    before = old.path.read_bytes()
    with pytest.raises(ReadBackError) as caught:
        write([replace(card(), title="changed")], tmp_path, formats=("svg", "careless"))
    assert str(caught.value) == (
        f'{tmp_path / "01-base-front.careless.svg"}: stop: stroke 1 of layer "cut", slit "slit 1", '
        "reads back 0.002 mm away from its place at (50, 45) mm; report this fault; "
        "no file was written (read-back-stroke)"
    )
    assert names(tmp_path) == ["01-base-front.svg"]
    assert old.path.read_bytes() == before


@pytest.mark.usefixtures("plug_ins")
def test_all_files_that_read_back_otherwise_are_told(tmp_path: Path) -> None:
    with pytest.raises(ReadBackError) as caught:
        write([card(), replace(card(), piece="mat")], tmp_path / "x", formats=("careless",))
    assert rules(caught.value) == ["read-back-stroke"] * 2
    assert names(tmp_path) == []


@pytest.mark.usefixtures("plug_ins")
def test_a_writer_that_cannot_read_is_a_failed_read_back(tmp_path: Path) -> None:
    with pytest.raises(ReadBackError, match="does not read back: RuntimeError: out of luck"):
        write([card()], tmp_path, formats=("unreadable",))
    assert names(tmp_path) == []


@pytest.mark.usefixtures("plug_ins")
def test_a_writer_that_fails_is_told_before_anything_is_touched(tmp_path: Path) -> None:
    with pytest.raises(PlugInError, match='the writer "wrong" fails: ZeroDivisionError: division'):
        write([card()], tmp_path / "x", formats=("svg", "wrong"))
    assert names(tmp_path) == []


@pytest.mark.usefixtures("plug_ins")
def test_formats_are_found_among_what_is_installed(tmp_path: Path) -> None:
    with pytest.raises(PlugInError) as caught:
        write([card()], tmp_path, formats=("svgg", "text", "class", "svg", "twin"))
    assert rules(caught.value) == [
        "unknown-plug-in",
        "not-a-writer",
        "not-a-writer",
        "same-suffix",
    ]
    first, second, other, third = str(caught.value).splitlines()
    assert 'the writer "class" lacks an instance' in other
    assert 'did you mean "svg"?' in first
    assert 'the writer "text" lacks name, suffix, about' in second
    assert 'the writers "svg" and "twin" both write files that end in .svg' in third
    with pytest.raises(PlugInError, match="no-format"):
        write([card()], tmp_path, formats=())
    assert names(tmp_path) == []


def test_pieces_whose_names_fall_together_are_told(tmp_path: Path) -> None:
    pieces = [replace(card(), piece=name) for name in ("pop up", "base", "Pop-up", "pop/up")]
    with pytest.raises(FileError) as caught:
        write(pieces, tmp_path)
    assert rules(caught.value) == ["same-file-name", "same-file-name"]
    assert 'the pieces "pop up" and "Pop-up" would both be called "Pop-up"' in str(caught.value)
    assert names(tmp_path) == []


def test_impossible_drawings_are_told_for_all_pieces_at_once(tmp_path: Path) -> None:
    dot, lost = line(*places((0, 0))), line(*places((0, 0), (1, math.nan)))
    wrong = [replace(drawing(cut(dot), mark(lost)), piece=name) for name in ("first", "second")]
    with pytest.raises(FileError) as caught:
        write(wrong, tmp_path / "x")
    # Both formats say the same; a problem is told once.
    assert rules(caught.value) == ["stroke-empty", "stroke-not-finite"]
    assert names(tmp_path) == []
