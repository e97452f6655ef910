"""Full, read-only and damaged disks: trouble is told, nothing given is lost, nothing damaged thrown away."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from bench.job.records import Record, RecordKind
from bench.memory import jobs
from bench.memory.schema import MARK, STEPS
from bench.memory.store import NotSaved, Store


def fill(folder: Path, count: int = 200) -> None:
    with closing(Store(folder)) as store:
        store.commit({"n": 0}, [Record(RecordKind.JOB_STARTED, {"bend": "saddle3"})])
        for number in range(1, count):
            store.commit({"n": number}, [Record(RecordKind.STEP_DONE, {"n": number, "words": "x" * 100})])


def test_a_full_disk_is_told_and_mended(tmp_path: Path) -> None:
    """SQLite's own page limit gives the very error a full disk gives (SQLITE_FULL)."""
    with closing(Store(tmp_path)) as store:
        store.commit({"n": 0}, [])
        assert store._db is not None
        pages = store._db.execute("PRAGMA page_count").fetchone()[0]
        store._db.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(NotSaved, match="full"):
            store.commit({"n": 1}, [Record(RecordKind.STEP_DONE, {"words": "x" * 20_000})])
        assert store.unsaved
        store.commit({"n": 2}, [Record(RecordKind.STEP_DONE, {"n": 2})])
        assert not store.unsaved
    with closing(Store(tmp_path)) as store, jobs.reading(tmp_path) as db:
        assert store.load() == {"n": 2}
        assert [len(entry.detail.get("words", "")) for entry in jobs.entries(db)] == [20_000, 0]


LIMITED = """
import resource, signal, sys
from pathlib import Path
from bench.job.records import Record, RecordKind
from bench.memory.store import NotSaved, Store
store = Store(Path(sys.argv[1]))
store.commit({"n": 0}, [])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, resource.RLIM_INFINITY))
failed = 0
for n in range(1, 60):
    try:
        store.commit({"n": n}, [Record(RecordKind.STEP_DONE, {"n": n, "words": "x" * 2000})])
    except NotSaved:
        failed += 1
assert failed, "the limit was never met"
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
store.save()
print(failed)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="file size limits are a POSIX facility")
def test_a_real_limit_on_the_file_loses_nothing(tmp_path: Path) -> None:
    subprocess.run([sys.executable, "-c", LIMITED, tmp_path], check=True, timeout=60)
    with jobs.reading(tmp_path) as db:
        assert [entry.detail["n"] for entry in jobs.entries(db)] == list(range(1, 60))
        assert jobs.state(db) == {"n": 59}


READ_ONLY = """
import os, sys
from pathlib import Path
from bench.job.records import Record, RecordKind
from bench.memory.store import NotSaved, Store
if os.geteuid() == 0:
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
store = Store(Path(sys.argv[1]))
assert store.load() == {"n": 199}, store.load()
try:
    store.commit({"n": 500}, [Record(RecordKind.STEP_DONE, {})])
except NotSaved as trouble:
    print(trouble.message.template, trouble.remedy.template)
else:
    raise SystemExit("it was writable")
assert store.unsaved and store.load() == {"n": 500}
"""


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are set the POSIX way")
def test_a_read_only_folder_still_gives_what_it_holds(tmp_path: Path) -> None:
    """Run as an ordinary user: root may write anywhere, so there it first becomes nobody."""
    folder = tmp_path / "jobs"
    fill(folder)
    for place in (folder, *folder.parents):
        if os.access(place, os.W_OK) and place.stat().st_uid == os.geteuid() and place != Path("/"):
            place.chmod(0o555 if place == folder else place.stat().st_mode | 0o055)
    for file in folder.iterdir():
        file.chmod(0o444)
    try:
        done = subprocess.run(
            [sys.executable, "-c", READ_ONLY, folder], capture_output=True, text=True, timeout=60, check=False
        )
    finally:
        folder.chmod(0o755)
    assert done.returncode == 0, done.stderr
    assert "--data" in done.stdout


def test_a_file_that_is_no_database_is_kept_aside(tmp_path: Path) -> None:
    (tmp_path / "jobs.db").write_bytes(b"this was never a database" * 500)
    with closing(Store(tmp_path)) as store:
        assert store.load() is None
        assert "jobs.damaged-1.db" in store.notice[1]
        store.commit({"n": 1}, [])
    assert (tmp_path / "jobs.damaged-1.db").read_bytes().startswith(b"this was never")


def test_a_database_of_something_else_is_kept_aside(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as other:
        other.execute("CREATE TABLE records (song TEXT)")
    with closing(Store(tmp_path)) as store:
        assert "not a job file" in store.notice[1]
    with closing(sqlite3.connect(tmp_path / "jobs.damaged-1.db")) as kept:
        assert kept.execute("SELECT * FROM records").fetchall() == []


@pytest.mark.parametrize("where", [0.3, 0.6, 0.9])
def test_what_can_be_read_of_a_damaged_file_is_carried_on(tmp_path: Path, where: float) -> None:
    fill(tmp_path)
    path = tmp_path / "jobs.db"
    whole = bytearray(path.read_bytes())
    start = int(len(whole) * where) // 4096 * 4096
    whole[start : start + 4096] = os.urandom(4096)
    path.write_bytes(whole)
    with closing(Store(tmp_path)) as store:
        assert "damaged" in store.notice[0]
        store.commit({"n": 777}, [Record(RecordKind.STEP_DONE, {"n": 777})])
    with jobs.reading(tmp_path) as db:
        numbers = [entry.detail["n"] for entry in jobs.entries(db, kind="step_done")]
    assert numbers[-1] == 777
    assert len(numbers) > 100, "one bad page of many must not cost most of the log"
    assert (tmp_path / "jobs.damaged-1.db").read_bytes() == bytes(whole)


def test_settings_of_a_damaged_file_are_carried_on(tmp_path: Path) -> None:
    """Those made since the last start too: they are in no copy."""
    fill(tmp_path)
    with closing(Store(tmp_path)) as store:
        store.keep({"theme": "dark", "ear": "vosk"})
    damage_the_log(tmp_path / "jobs.db")
    with closing(Store(tmp_path)) as store:
        assert "damaged" in store.notice[0]
        assert store.settings() == {"theme": "dark", "ear": "vosk"}


def test_settings_of_a_damaged_file_of_an_earlier_version_are_carried_on(tmp_path: Path) -> None:
    path = tmp_path / "jobs.db"
    with closing(sqlite3.connect(path)) as db:
        db.executescript(f"{STEPS[0]}{STEPS[1]} PRAGMA application_id = {MARK}; PRAGMA user_version = 2;")
        db.execute("""INSERT INTO settings VALUES ('theme', '"dark"')""")
        db.executemany(
            "INSERT INTO records (job, at, kind, detail) VALUES (0, '', 'heard', ?)",
            [(json.dumps({"n": n, "pad": "x" * 200}),) for n in range(200)],
        )
        db.commit()
    damage_the_log(path)
    with closing(Store(tmp_path)) as store:
        assert "damaged" in store.notice[0]
        assert store.settings() == {"theme": "dark"}


def damage_the_log(path: Path) -> None:
    """Noise over a page of the records."""
    whole = bytearray(path.read_bytes())
    pages = [at for at in range(4096, len(whole), 4096) if whole[at : at + 4096].count(b'"n"') > 5]
    whole[pages[-2] : pages[-2] + 4096] = b"\xa5" * 4096
    path.write_bytes(whole)


def test_an_empty_file_is_a_new_one(tmp_path: Path) -> None:
    (tmp_path / "jobs.db").touch()
    with closing(Store(tmp_path)) as store:
        assert store.notice == ("", "")
        store.commit({"n": 1}, [])


def test_a_broken_journal_costs_no_more_than_the_journal(tmp_path: Path) -> None:
    fill(tmp_path)
    (tmp_path / "jobs.db-wal").write_bytes(os.urandom(10_000))
    with closing(Store(tmp_path)) as store:
        assert store.load() == {"n": 199}


def test_a_file_taken_away_while_running_is_begun_again(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.commit({"n": 1}, [Record(RecordKind.JOB_STARTED, {})])
        store.keep({"theme": "dark"})
        (tmp_path / "jobs.db").unlink()
        store.commit({"n": 2}, [Record(RecordKind.STEP_DONE, {})])
        assert "moved" in store.notice[0]
    with jobs.reading(tmp_path) as db:
        assert jobs.state(db) == {"n": 2}
        assert jobs.settings(db) == ({"theme": "dark"}, {})


def test_a_lost_first_page_leaves_what_there_was_at_the_last_start(tmp_path: Path) -> None:
    """Without its first page nothing of the file can be read; the copy made at the start is carried on."""
    fill(tmp_path)
    with closing(Store(tmp_path)) as store:
        path = tmp_path / "jobs.db"
        with path.open("r+b") as file:
            file.write(b"\0" * 100)
        try:
            store.commit({"n": 1000}, [Record(RecordKind.STEP_DONE, {"n": 1000})])
        except NotSaved:
            store.save()
        assert not store.unsaved
    with closing(Store(tmp_path)) as store:
        assert store.load() in ({"n": 1000}, {"n": 199})
        assert "damaged" in store.notice[0]
