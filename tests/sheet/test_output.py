"""Files are made, never overwritten, and no link is followed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from bench.core.notes import BenchError
from bench.sheet.output import file_name, write_file, write_next


def test_a_named_file_is_made_and_its_whole_path_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    made = write_file(Path("a.pdf"), b"one")
    assert made == tmp_path / "a.pdf"
    assert made.read_bytes() == b"one"


def test_a_taken_name_is_refused_and_force_is_named(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(b"old")
    with pytest.raises(BenchError, match="already exists") as caught:
        write_file(path, b"new")
    assert "--force" in caught.value.remedy.template
    assert path.read_bytes() == b"old"
    assert write_file(path, b"new", force=True) == path
    assert path.read_bytes() == b"new"
    assert os.listdir(tmp_path) == ["a.pdf"]


@pytest.mark.parametrize("leads_somewhere", [True, False])
def test_no_link_is_followed(tmp_path: Path, leads_somewhere: bool) -> None:
    target, link = tmp_path / "precious.txt", tmp_path / "a.pdf"
    if leads_somewhere:
        target.write_bytes(b"precious")
    link.symlink_to(target)
    with pytest.raises(BenchError):
        write_file(link, b"new")
    assert target.exists() == leads_somewhere
    write_file(link, b"new", force=True)
    assert not link.is_symlink()
    assert link.read_bytes() == b"new"
    assert not leads_somewhere or target.read_bytes() == b"precious"


def test_force_replaces_ordinary_files_alone(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", tmp_path, Path("/dev/null")):
        with pytest.raises(BenchError):
            write_file(path, b"new", force=True)
    assert not Path("/dev/null").is_file()


def test_automatic_names_move_on(tmp_path: Path) -> None:
    folder = tmp_path / "sheets"
    names = [write_next(folder, "job sheet 2026-11-26", ".pdf", bytes([n])).name for n in range(3)]
    assert names == [
        "job sheet 2026-11-26.pdf",
        "job sheet 2026-11-26 (2).pdf",
        "job sheet 2026-11-26 (3).pdf",
    ]
    assert [(folder / name).read_bytes() for name in names] == [b"\0", b"\1", b"\2"]
    os.symlink(tmp_path / "nowhere", folder / "job sheet 2026-11-26 (4).pdf")
    assert write_next(folder, "job sheet 2026-11-26", ".pdf", b"").name == "job sheet 2026-11-26 (5).pdf"
    assert not (tmp_path / "nowhere").exists()


def test_what_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(BenchError, match="cannot be written"):
        write_file(tmp_path / "missing" / "a.pdf", b"")
    with pytest.raises(BenchError, match="cannot be written"):
        write_next(tmp_path / "file", "a", ".pdf", b"")


def test_a_file_that_does_not_fit_leaves_no_part_behind(tmp_path: Path) -> None:
    """The limit of a process on the size of its files stands in for a disk without room (setrlimit(2))."""
    script = (
        "import resource; from pathlib import Path; from bench.core.notes import BenchError\n"
        "from bench.sheet.output import write_file\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try: write_file(Path('a.pdf'), b'x' * 5000)\n"
        "except BenchError as error: print(error.code)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "file_unwritable"
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (("job sheet", "2026-11-26"), "job sheet 2026-11-26"),
        (("job sheet", "Kitchen / east wall"), "job sheet Kitchen east wall"),
        (("job sheet", "../../etc/passwd"), "job sheet .. .. etc passwd"),
        (("a\x1b[31m\n\tb ", ""), "a [31m b"),
        (("x" * 300,), "x" * 80),
    ],
)
def test_file_names(words: tuple[str, ...], name: str) -> None:
    assert file_name(*words) == name
