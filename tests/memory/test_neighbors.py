"""Other users and other assistants of the same machine: what is ours is closed, and one at a time works on it."""

from __future__ import annotations

import logging
import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from fractions import Fraction
from pathlib import Path

import pytest

from bench.assistant.log import log_to_file
from bench.cli import main
from bench.data import folders
from bench.job.model import Profile
from bench.job.records import Record, RecordKind
from bench.memory import jobs, lock
from bench.memory.benders import BenderFile
from bench.memory.lock import InUse
from bench.memory.store import NotSaved, Store

OWN = Profile("mine", "emt", "1/2", Fraction(81, 16), Fraction(41, 16), 2.0)
DONE = Record(RecordKind.STEP_DONE, {})
posix = pytest.mark.skipif(os.name != "posix", reason="rights are set the POSIX way")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture(params=[0o000, 0o022, 0o077])
def umask(request: pytest.FixtureRequest) -> Iterator[int]:
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


@pytest.fixture
def log() -> Iterator[logging.Logger]:
    root = logging.getLogger()
    handlers, level = list(root.handlers), root.level
    yield root
    for handler in set(root.handlers) - set(handlers):
        root.removeHandler(handler)
        handler.close()
    root.setLevel(level)
    folders.use(None)


@posix
def test_everything_kept_is_closed_to_others_whatever_the_umask(
    tmp_path: Path, umask: int, log: logging.Logger
) -> None:
    """The folders above ours too: who may write there could put another folder in its place."""
    folder = tmp_path / "share" / "bench"
    folders.use(folder)
    with closing(Store(folder)) as store:
        store.commit({"n": 1}, [DONE])
        BenderFile(folder).keep(OWN)
        assert log_to_file() == folder / "bench.log"
        log.warning("heard: twenty")
        seen = {file.name: mode(file) for file in folder.iterdir()}
    assert {mode(folder), mode(folder.parent)} == {0o700}
    assert {"jobs.db", "jobs.db-wal", "jobs.lock", "jobs.backup.db", "benders.json", "bench.log"} <= set(seen)
    assert set(seen.values()) == {0o600}, seen


@posix
def test_no_file_of_ours_is_ever_open_to_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not even between being made and being closed: nothing is left to close."""
    monkeypatch.setattr("bench.memory.store.close_files", lambda folder: None)
    monkeypatch.setattr("bench.memory.whole.close_files", lambda folder: None)
    tmp_path.chmod(0o755)
    before = os.umask(0)
    try:
        with closing(Store(tmp_path)) as store:
            store.commit({"n": 1}, [DONE])
            BenderFile(tmp_path).keep(OWN)
            assert {mode(file) for file in tmp_path.iterdir()} == {0o600}
    finally:
        os.umask(before)


@posix
def test_a_folder_of_the_person_keeps_its_rights(tmp_path: Path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("mine", "utf-8")
    for place in (tmp_path, other):
        place.chmod(0o755)
    with closing(Store(tmp_path)) as store:
        store.commit({"n": 1}, [DONE])
    assert (mode(tmp_path), mode(other)) == (0o755, 0o755)


@posix
def test_recordings_are_in_a_folder_closed_to_others(tmp_path: Path) -> None:
    from bench.cli.record import Session, script

    before = os.umask(0)
    try:
        Session(tmp_path / "clips", script(), "shop")
    finally:
        os.umask(before)
    assert mode(tmp_path / "clips") == 0o700


def test_a_link_to_the_folder_is_the_folder(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with closing(Store(tmp_path / "link")) as store:
        store.commit({"n": 1}, [DONE])
        with pytest.raises(InUse):
            Store(tmp_path / "real")
    with closing(Store(tmp_path / "real")) as store:
        assert store.load() == {"n": 1}


def test_a_link_to_nowhere_is_told(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "gone")
    with closing(Store(tmp_path / "link")) as store, pytest.raises(NotSaved, match="cannot be saved"):
        store.commit({"n": 1}, [DONE])


def test_a_lock_that_is_no_database_does_not_let_two_in(tmp_path: Path) -> None:
    (tmp_path / "jobs.lock").mkdir()
    with closing(Store(tmp_path)) as store:
        store.commit({"n": 1}, [DONE])
        with pytest.raises(InUse):
            Store(tmp_path)


@pytest.mark.parametrize("how", ["removed", "replaced", "moved"])
def test_a_second_is_refused_when_the_lock_file_was_replaced(tmp_path: Path, how: str) -> None:
    path = tmp_path / "jobs.lock"
    with closing(Store(tmp_path)) as store:
        if how == "moved":
            path.rename(tmp_path / "elsewhere")
        else:
            path.unlink()
        if how == "replaced":
            path.write_bytes(b"")
        with pytest.raises(InUse):
            Store(tmp_path)
        store.commit({"n": 1}, [DONE])
        assert not store.unsaved
        with pytest.raises(InUse):
            Store(tmp_path)
    with closing(Store(tmp_path)) as store:
        assert store.load() == {"n": 1}


@pytest.fixture
def no_folder_lock(monkeypatch: pytest.MonkeyPatch) -> None:
    """A system or a network folder that cannot lock a folder: only `jobs.lock` is left."""
    monkeypatch.setattr(lock, "_hold_directory", lambda folder: -1)


def test_without_a_lock_on_the_folder_the_first_is_told_and_writes_nothing_over(
    tmp_path: Path, no_folder_lock: None
) -> None:
    with closing(Store(tmp_path)) as first:
        first.commit({"n": 1}, [DONE])
        (tmp_path / "jobs.lock").unlink()
        with closing(Store(tmp_path)) as second:
            second.commit({"n": 2}, [DONE])
            with pytest.raises(NotSaved, match="Another Bench"):
                first.commit({"n": 3}, [DONE])
        with pytest.raises(NotSaved, match="Another Bench"):
            first.commit({"n": 4}, [DONE])
        with jobs.reading(tmp_path) as db:
            assert jobs.state(db) == {"n": 2}, "what the second did is not written over once it has gone"


def test_without_a_lock_on_the_folder_a_new_lock_file_is_taken(tmp_path: Path, no_folder_lock: None) -> None:
    with closing(Store(tmp_path)) as store:
        (tmp_path / "jobs.lock").unlink()
        store.commit({"n": 1}, [DONE])
        with pytest.raises(InUse):
            Store(tmp_path)


def test_a_folder_put_in_the_place_of_ours_is_held_too(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    with closing(Store(folder)) as store:
        store.commit({"n": 1}, [DONE])
        folder.rename(tmp_path / "away")
        store.commit({"n": 2}, [DONE])
        assert "moved" in store.notice[0]
        with pytest.raises(InUse):
            Store(folder)
        with closing(Store(tmp_path / "away")) as other:
            assert other.load() == {"n": 1}


def test_a_killed_process_lets_go(tmp_path: Path) -> None:
    held = "import sys; from pathlib import Path; from bench.memory.store import Store; s = Store(Path(sys.argv[1]));"
    with subprocess.Popen(
        [sys.executable, "-c", held + "print(1, flush=True); sys.stdin.read()", tmp_path],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        process.stdout.readline()
        with pytest.raises(InUse):
            Store(tmp_path)
        process.kill()
        process.wait()
    with closing(Store(tmp_path)) as store:
        store.commit({"n": 1}, [DONE])


# -- a home that is none -------------------------------------------------------------------------------------


def started(home: str | None, tmp_path: Path) -> subprocess.CompletedProcess[str]:
    """`bench --typed` as a process with this home."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("XDG_") and key != "HOME"}
    environment = kept | ({} if home is None else {"HOME": home})
    command = [sys.executable, "-m", "bench", "--typed"]
    return subprocess.run(
        command,
        input="emt\nhalf inch\n",
        text=True,
        capture_output=True,
        env=environment,
        timeout=60,
        check=False,
    )


@posix
def test_a_home_that_cannot_be_written_is_told_and_the_dialogue_goes_on(tmp_path: Path) -> None:
    """/proc takes no folder of anybody, the superuser included."""
    done = started("/proc", tmp_path)
    assert done.returncode == 1
    assert "cannot be saved" in done.stdout
    assert "SIZE?" in done.stdout
    assert "Traceback" not in done.stdout + done.stderr


def test_the_doctor_says_so_too(capsys: pytest.CaptureFixture[str]) -> None:
    from bench.doctor.checks import disk

    finding = disk(Path("/proc/bench"))
    assert not finding.works
    assert "--data" in finding.remedy


def test_jobs_of_a_folder_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "--data", str(tmp_path / "none")]) == 2
    assert not (tmp_path / "none").exists(), "looking makes nothing"
