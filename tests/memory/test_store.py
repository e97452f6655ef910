"""What is committed is on disk, whatever happens to the process, the disk or the file.

SQLite's own guarantees are the outside standard here: a raw `sqlite3` connection reads what the store wrote.
"""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from fractions import Fraction
from pathlib import Path

import pytest

from bench.core.notes import BenchError
from bench.job.model import Job, JobBend, JobStick, Tools
from bench.job.records import Record, RecordKind
from bench.memory import jobs, schema
from bench.memory.lock import InUse
from bench.memory.store import NotSaved, Store


def opened(folder: Path, **options: object) -> closing[Store]:
    return closing(Store(folder, **options))  # type: ignore[arg-type]


def test_a_new_folder_has_nothing(tmp_path: Path) -> None:
    with opened(tmp_path / "deep" / "down") as store:
        assert store.load() is None
        assert store.settings() == {}
        assert not store.unsaved


def test_state_and_records_come_back(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.commit(
            {"at": "distance"}, [Record(RecordKind.VALUE_GIVEN, {"key": "distance", "inches": "123/4"})]
        )
        store.keep({"theme": "sunlight"})
    with opened(tmp_path) as store:
        assert store.load() == {"at": "distance"}
        assert store.settings() == {"theme": "sunlight"}
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as raw:
        assert raw.execute("SELECT kind, detail FROM records").fetchall() == [
            ("value_given", '{"key": "distance", "inches": "123/4"}')
        ]


def test_another_process_sees_a_commit_at_once(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.commit({"n": 1}, [Record(RecordKind.STEP_DONE, {})])
        with jobs.reading(tmp_path) as db:
            assert jobs.state(db) == {"n": 1}


def test_a_job_is_committed_with_its_state_and_records(tmp_path: Path) -> None:
    bend = JobBend("stub", (("height", Fraction(27, 2)),))
    stick = JobStick("1", (bend,), tools=Tools("emt", "3/4"))
    with opened(tmp_path) as store:
        assert store.next_job() == 1
        store.commit({"n": 1}, [Record(RecordKind.SET_UP, {})], Job(1))
        store.commit({"n": 2}, [Record(RecordKind.BEND_DONE, {})], Job(1, (stick,)))
        assert store.job(1) == Job(1, (stick,))
        assert store.next_job() == 2
        store.commit({"n": 3}, [Record(RecordKind.HEARD, {})], Job(2, (stick,), "kitchen", "unit four"))
    with jobs.reading(tmp_path) as db:
        assert [kept.job for kept in jobs.jobs(db)] == [
            Job(1, (stick,)),
            Job(2, (stick,), "kitchen", "unit four"),
        ]
        assert [entry.kind for entry in jobs.entries(db, job=1)] == ["set_up", "bend_done"]
        assert len(jobs.entries(db, kind="heard")) == 1
        with pytest.raises(BenchError, match="no job 7"):
            jobs.job(db, 7)


def test_a_job_without_a_stick_is_no_job_yet(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.commit({"n": 1}, [], Job(1))
        with jobs.reading(tmp_path) as db:
            assert jobs.jobs(db) == []


def test_order_is_by_number_when_the_clock_jumps(tmp_path: Path) -> None:
    times = iter(["2031-01-01T00:00:00+00:00", "1970-01-01T00:00:00+00:00", "2026-05-01T07:00:00+00:00"])
    with opened(tmp_path, now=lambda: next(times)) as store:
        for word in ("one", "two", "three"):
            store.commit({"last": word}, [Record(RecordKind.STEP_DONE, {"word": word})])
    with opened(tmp_path) as store, jobs.reading(tmp_path) as db:
        assert [entry.detail["word"] for entry in jobs.entries(db)] == ["one", "two", "three"]
        assert store.load() == {"last": "three"}


def test_a_second_assistant_is_refused_and_told_what_to_do(tmp_path: Path) -> None:
    with opened(tmp_path):
        with pytest.raises(InUse) as refusal:
            Store(tmp_path)
        assert "--data" in refusal.value.remedy.template
    with opened(tmp_path) as store:
        assert store.load() is None


def test_a_file_of_a_newer_version_is_refused_untouched(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.commit({"n": 1}, [])
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as raw:
        raw.execute("PRAGMA user_version = 99")
    before = (tmp_path / "jobs.db").read_bytes()
    with pytest.raises(BenchError, match="newer"):
        Store(tmp_path)
    assert (tmp_path / "jobs.db").read_bytes() == before


def test_an_older_file_is_brought_up_and_the_old_one_kept(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.commit({"n": 1}, [Record(RecordKind.STEP_DONE, {})])
    path = tmp_path / "jobs.db"
    newer = (*schema.STEPS, "ALTER TABLE records ADD COLUMN place TEXT")
    with closing(schema.connect(path)) as db:
        schema.upgrade(db, path, newer)
        assert db.execute("SELECT kind, place FROM records").fetchall() == [("step_done", None)]
        assert db.execute("PRAGMA user_version").fetchone() == (len(newer),)
    with closing(sqlite3.connect(tmp_path / f"jobs.version{len(schema.STEPS)}.db")) as old:
        assert old.execute("SELECT detail FROM state").fetchone() == ('{"n": 1}',)


def test_a_failed_upgrade_changes_nothing(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        store.commit({"n": 1}, [])
    path = tmp_path / "jobs.db"
    broken = (*schema.STEPS, "CREATE TABLE more (x); CREATE TABLE records (x)")
    with closing(schema.connect(path)) as db, pytest.raises(sqlite3.Error):
        schema.upgrade(db, path, broken)
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (len(schema.STEPS),)
        assert db.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'more'").fetchone() == (0,)


def test_the_state_is_whole_json(tmp_path: Path) -> None:
    state = {"words": '½° 27 3/8" ünïcode', "deep": [[{"x": None}]], "n": 1.5}
    with opened(tmp_path) as store:
        store.commit(state, [])
    with opened(tmp_path) as store:
        assert store.load() == json.loads(json.dumps(state)) == state


def test_a_record_that_is_not_json_is_a_programming_mistake(tmp_path: Path) -> None:
    with opened(tmp_path) as store, pytest.raises(TypeError):
        store.commit({"bad": object()}, [])


def test_not_saved_is_told_to_the_person(tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("not a folder")
    with opened(in_the_way / "jobs") as store:
        with pytest.raises(NotSaved) as trouble:
            store.commit({"n": 1}, [Record(RecordKind.STEP_DONE, {})])
        assert "--data" in trouble.value.remedy.template
        assert store.unsaved
        in_the_way.unlink()
        store.save()
        assert not store.unsaved
    with opened(in_the_way / "jobs") as store:
        assert store.load() == {"n": 1}
