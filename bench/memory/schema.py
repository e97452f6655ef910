"""The schema of the job file and the migration of older versions."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from bench.core.notes import BenchError
from bench.memory.migrate import fill_jobs, fill_settings

JOB_FILE = "jobs.db"
MARK = 0x426E6368
"""SQLite application id of our files: "Bnch"."""

STEPS: tuple[str, ...] = (
    """
    CREATE TABLE records (
        seq INTEGER PRIMARY KEY, job INTEGER NOT NULL, at TEXT NOT NULL,
        kind TEXT NOT NULL, detail TEXT NOT NULL
    );
    CREATE INDEX records_of_job ON records (job, seq);
    CREATE TABLE state (one INTEGER PRIMARY KEY CHECK (one = 1), detail TEXT NOT NULL);
    CREATE TABLE settings (key TEXT PRIMARY KEY, value TEXT NOT NULL);
    """,
    """
    CREATE TABLE jobs (
        number INTEGER PRIMARY KEY, begun TEXT NOT NULL, changed TEXT NOT NULL,
        detail TEXT NOT NULL, digest TEXT NOT NULL
    );
    ALTER TABLE state ADD COLUMN digest TEXT NOT NULL DEFAULT '';
    """,
    "ALTER TABLE settings ADD COLUMN digest TEXT NOT NULL DEFAULT '';",
)
"""One script per version. Only `seq` orders records: the clock may jump, so `at` is for display only.
`job` is 0 for records that belong to no job. Each job is one row of `jobs`, written together with its state.
`digest` is the digest of `detail` (`bench.memory.digest`)."""

FILL: Mapping[int, Callable[[sqlite3.Connection], None]] = {2: fill_jobs, 3: fill_settings}
"""Converts rows of the previous version, by new version, in the same transaction as its script."""


class Damaged(Exception):
    """The file is not an intact job file."""


def damaged_text(stored: bytes) -> str:
    """Decode stored text. Invalid bytes are replaced, so that the digest no longer matches and damage is reported."""
    return stored.decode(errors="replace")


def connect(path: Path) -> sqlite3.Connection:
    """Open or create the file such that a commit is on disk when it returns. Raises sqlite3.Error."""
    db = sqlite3.connect(path, timeout=2, isolation_level=None, check_same_thread=False)
    db.text_factory = damaged_text
    try:
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
    except sqlite3.Error:
        db.close()
        raise
    return db


def examine(db: sqlite3.Connection) -> None:
    """Check the file. Raises Damaged when it is corrupted or not a job file."""
    try:
        verdict = db.execute("PRAGMA quick_check(1)").fetchone()[0]
        mark = db.execute("PRAGMA application_id").fetchone()[0]
        tables = db.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    except sqlite3.OperationalError:
        raise
    except sqlite3.DatabaseError as error:
        raise Damaged(str(error)) from error
    if verdict != "ok":
        raise Damaged(verdict)
    if tables and mark != MARK:
        raise Damaged("not a job file")
    if tables and not version(db):
        raise Damaged("its version is lost")


def version(db: sqlite3.Connection) -> int:
    """The schema version of the open file, 0 when it is new. Raises sqlite3.Error."""
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def upgrade(db: sqlite3.Connection, path: Path, steps: Sequence[str] = STEPS) -> None:
    """Migrate the file to the newest version, each step atomic, and keep a copy of the old file.

    Raises BenchError when the file was written by a newer Bench.
    """
    before = version(db)
    if before > len(steps):
        raise BenchError(
            f"{path} was written by a newer Bench.",
            "Update Bench, or start it with --data and another folder.",
            code="newer_file",
        )
    if 0 < before < len(steps):
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        shutil.copy2(path, path.with_name(f"{path.stem}.version{before}{path.suffix}"))
    for number in range(before, len(steps)):
        _step(db, steps[number], number + 1)


def _step(db: sqlite3.Connection, script: str, number: int) -> None:
    """Migrate by one version, atomically."""
    try:
        db.executescript(f"BEGIN; {script};")
        if number in FILL:
            FILL[number](db)
        db.execute(f"PRAGMA application_id = {MARK}")
        db.execute(f"PRAGMA user_version = {number}")
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise
