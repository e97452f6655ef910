"""Reads the stored jobs, their records, and the log of what was heard."""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.core.notes import BenchError
from bench.job.model import Job
from bench.job.stored import job_from_json
from bench.memory import schema
from bench.memory.digest import digest
from bench.memory.schema import JOB_FILE


@dataclass(frozen=True, slots=True)
class Entry:
    """One record. `seq` orders records; `at` is the wall clock when it was written, ISO 8601 in UTC."""

    seq: int
    job: int
    at: str
    kind: str
    detail: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class KeptJob:
    """One stored job, with the wall clock when it was begun and last changed, ISO 8601 in UTC."""

    begun: str
    changed: str
    job: Job


@contextmanager
def reading(folder: Path) -> Iterator[sqlite3.Connection]:
    """The job file opened for reading. Works while an assistant writes it and in a read-only folder.

    Raises BenchError when there is none or it cannot be read.
    """
    path = folder / JOB_FILE
    if not path.is_file():
        raise BenchError(f"There are no jobs in {folder}.", "Start one with: bench", code="no_jobs")
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=2)) as db:
            db.text_factory = schema.damaged_text
            if schema.version(db) == len(schema.STEPS):
                yield db
                return
    except sqlite3.OperationalError:
        pass
    except sqlite3.DatabaseError as error:
        raise _unreadable(path, error) from error
    with tempfile.TemporaryDirectory() as copy:
        for file in path.parent.glob(f"{JOB_FILE}*"):
            shutil.copy(file, copy)
        try:
            with closing(sqlite3.connect(Path(copy) / JOB_FILE)) as db:
                db.text_factory = schema.damaged_text
                schema.upgrade(db, Path(copy) / JOB_FILE)
                yield db
        except sqlite3.Error as error:
            raise _unreadable(path, error) from error


def entries(db: sqlite3.Connection, job: int | None = None, kind: str | None = None) -> list[Entry]:
    """Records in the order they were written, optionally of one job or one kind."""
    rows = db.execute(
        "SELECT seq, job, at, kind, detail FROM records"
        " WHERE (?1 IS NULL OR job = ?1) AND (?2 IS NULL OR kind = ?2) ORDER BY seq",
        (job, kind),
    )
    return [Entry(seq, number, at, name, json.loads(detail)) for seq, number, at, name, detail in rows]


def jobs(db: sqlite3.Connection) -> list[KeptJob]:
    """Every job that can be read, oldest first. `damaged` lists the others."""
    found = []
    for number in _numbers(db):
        with suppress(BenchError):
            found.append(job(db, number))
    return found


def damaged(db: sqlite3.Connection) -> list[int]:
    """The numbers of jobs that cannot be read."""
    readable = {kept.job.number for kept in jobs(db)}
    return [number for number in _numbers(db) if number not in readable]


def job(db: sqlite3.Connection, number: int) -> KeptJob:
    """One job by its number. Raises BenchError when it does not exist or is corrupted."""
    row = db.execute("SELECT begun, changed, detail, digest FROM jobs WHERE number = ?", (number,)).fetchone()
    if row is None:
        numbers = ", ".join(map(str, _numbers(db))) or "none"
        raise BenchError(f"There is no job {number}.", f"There are: {numbers}.", code="no_such_job")
    begun, changed, detail, known = row
    try:
        if digest(detail) != known:
            raise ValueError("it is corrupted")
        return KeptJob(begun, changed, job_from_json(json.loads(detail)))
    except ValueError as error:
        raise BenchError(
            f"Job {number} cannot be read: {error}.",
            f"See its records: bench jobs records {number}",
            code="job_damaged",
        ) from error


def newest(db: sqlite3.Connection) -> int:
    """The highest job number, 0 when there are no jobs."""
    return max(_numbers(db), default=0)


def state(db: sqlite3.Connection) -> dict[str, Any] | None:
    """The state last written, or None. Raises BenchError when it is corrupted."""
    row = db.execute("SELECT detail, digest FROM state").fetchone()
    if row is None:
        return None
    try:
        if digest(row[0]) != row[1]:
            raise ValueError("it is corrupted")
        raw: dict[str, Any] = json.loads(row[0])
    except ValueError as error:
        raise BenchError(
            f"The place in the job cannot be read: {error}.", "Start Bench once.", code="state_damaged"
        ) from error
    return raw


def _numbers(db: sqlite3.Connection) -> list[int]:
    return [int(number) for (number,) in db.execute("SELECT number FROM jobs ORDER BY number")]


def settings(db: sqlite3.Connection) -> tuple[dict[str, Any], dict[str, str]]:
    """All stored settings, and the text of the corrupted ones."""
    kept, damaged = dict[str, Any](), dict[str, str]()
    for key, value, known in db.execute("SELECT key, value, digest FROM settings ORDER BY key"):
        try:
            if digest(value) != known:
                raise ValueError("corrupted")
            kept[key] = json.loads(value)
        except (ValueError, AttributeError, RecursionError):
            damaged[str(key)] = str(value)
    return kept, damaged


def _unreadable(path: Path, error: Exception) -> BenchError:
    return BenchError(
        f"{path} cannot be read: {error}.",
        "Start Bench once. It renames a damaged file and carries over what can be read.",
        code="unreadable",
    )
