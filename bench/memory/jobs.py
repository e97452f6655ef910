"""Looking back: the jobs, what was done in each, and the log of what was heard."""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.core.notes import BenchError
from bench.job.records import RecordKind
from bench.memory.schema import JOB_FILE


@dataclass(frozen=True, slots=True)
class Entry:
    """One record. `seq` orders them; `at` is the wall clock when it was written, ISO 8601 in UTC."""

    seq: int
    job: int
    at: str
    kind: str
    detail: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Job:
    """One job: its number, when it was begun, the kinds of bend in it, how far it got."""

    number: int
    begun: str
    kinds: tuple[str, ...]
    finished: bool
    steps: int
    bends: int


@contextmanager
def reading(folder: Path) -> Iterator[sqlite3.Connection]:
    """The job file for reading, also while an assistant writes it and where the folder is read-only.

    Raises BenchError when there is none or it cannot be read.
    """
    path = folder / JOB_FILE
    if not path.is_file():
        raise BenchError(f"There are no jobs in {folder}.", "Start one with: bench", code="no_jobs")
    try:
        with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, timeout=2)) as db:
            db.execute("SELECT count(*) FROM state")
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
                db.execute("SELECT count(*) FROM state")
                yield db
        except sqlite3.Error as error:
            raise _unreadable(path, error) from error


def entries(db: sqlite3.Connection, job: int | None = None, kind: str | None = None) -> list[Entry]:
    """Records in the order they were written, of one job or one kind where asked."""
    rows = db.execute(
        "SELECT seq, job, at, kind, detail FROM records"
        " WHERE (?1 IS NULL OR job = ?1) AND (?2 IS NULL OR kind = ?2) ORDER BY seq",
        (job, kind),
    )
    return [Entry(seq, number, at, name, json.loads(detail)) for seq, number, at, name, detail in rows]


def jobs(db: sqlite3.Connection) -> list[Job]:
    """Every job, oldest first."""
    of_job: dict[int, list[Entry]] = {}
    for entry in entries(db):
        if entry.job:
            of_job.setdefault(entry.job, []).append(entry)
    return [_job(number, made) for number, made in of_job.items()]


def _job(number: int, made: list[Entry]) -> Job:
    kinds = [str(entry.detail.get("kind", "bend")) for entry in made if entry.kind == RecordKind.BEND_BEGUN]
    names = [entry.kind for entry in made]
    return Job(
        number,
        made[0].at,
        tuple(dict.fromkeys(kinds)),
        RecordKind.JOB_DONE in names,
        names.count(RecordKind.STEP_DONE),
        names.count(RecordKind.BEND_DONE),
    )


def state(db: sqlite3.Connection) -> dict[str, Any] | None:
    """The state last written, or None."""
    row = db.execute("SELECT detail FROM state").fetchone()
    return json.loads(row[0]) if row else None


def settings(db: sqlite3.Connection) -> dict[str, Any]:
    """Every setting kept."""
    return {
        key: json.loads(value) for key, value in db.execute("SELECT key, value FROM settings ORDER BY key")
    }


def _unreadable(path: Path, error: Exception) -> BenchError:
    return BenchError(
        f"{path} cannot be read: {error}.",
        "Start Bench once: it keeps a damaged file under another name and carries on what can be read.",
        code="unreadable",
    )
