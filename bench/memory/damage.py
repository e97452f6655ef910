"""Recovery of a damaged job file: it is renamed, never deleted, and everything readable is carried over."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from bench.memory.digest import digest
from bench.memory.migrate import fill_jobs
from bench.memory.private import make_file

BACKUP = "jobs.backup.db"
"""A copy of the job file, made when it was last opened and found intact."""

TABLES = {"records": "seq", "state": "one", "settings": "key", "jobs": "number"}
_TEXT = {"records": 4, "state": 1, "settings": 1, "jobs": 3}
"""The text column of each table. If a digest follows, it must match the text."""


@dataclass(frozen=True, slots=True)
class Salvaged:
    """What was carried over: the number of rows, whether the place or a job comes from the backup, and the time of
    the newest record."""

    rows: int
    from_backup: bool
    newest: str


def set_aside(path: Path) -> Path:
    """Rename the file and its journal to the first free `jobs.damaged-N.db`. Returns the new name. Raises OSError."""
    number = 1
    while (kept := path.with_name(f"{path.stem}.damaged-{number}{path.suffix}")).exists():
        number += 1
    for tail in ("", "-wal", "-shm"):
        with suppress(FileNotFoundError):
            Path(f"{path}{tail}").rename(f"{kept}{tail}")
    return kept


def back_up(db: sqlite3.Connection, folder: Path) -> None:
    """Copy the open file to the backup atomically. When the disk is full, the old backup stays."""
    fresh = folder / f"{BACKUP}.new"
    try:
        make_file(fresh)
        with closing(sqlite3.connect(fresh)) as copy:
            db.backup(copy)
        fresh.replace(folder / BACKUP)
    except (sqlite3.Error, OSError):
        with suppress(OSError):
            fresh.unlink()


def salvage(kept: Path, db: sqlite3.Connection) -> Salvaged:
    """Copy into `db` all intact rows of the damaged file, then the missing ones from the backup."""
    before: set[tuple[str, object]] = set()
    for source in (kept, kept.with_name(BACKUP)):
        if not source.exists():
            continue
        with closing(sqlite3.connect(source)) as old:
            for table, key in TABLES.items():
                _copy(_readable(old, table, key), table, db)
        if source == kept:
            before = _places(db)
    if not any(table == "jobs" for table, _ in _places(db)):
        fill_jobs(db)
    rows = sum(int(db.execute(f"SELECT count(*) FROM {table}").fetchone()[0]) for table in TABLES)
    (newest,) = db.execute("SELECT max(at) FROM records").fetchone()
    return Salvaged(rows, _places(db) != before, newest or "")


def _places(db: sqlite3.Connection) -> set[tuple[str, object]]:
    """The keys of the state and of the jobs that are present."""
    return {
        (table, row[0])
        for table in ("state", "jobs")
        for row in db.execute(f"SELECT {TABLES[table]} FROM {table}")
    }


def _copy(rows: list[tuple[object, ...]], table: str, db: sqlite3.Connection) -> None:
    for row in rows:
        if table in ("state", "settings") and len(row) == 2:  # older versions had no digests there
            row = (*row, digest(str(row[1])))
        with suppress(sqlite3.Error):
            db.execute(f"INSERT OR IGNORE INTO {table} VALUES ({','.join('?' * len(row))})", row)


def _readable(old: sqlite3.Connection, table: str, key: str) -> list[tuple[object, ...]]:
    """The rows before the first bad page and those after the last bad page."""
    found: dict[object, tuple[object, ...]] = {}
    for direction in ("ASC", "DESC"):
        with suppress(sqlite3.Error):
            for row in old.execute(f"SELECT * FROM {table} ORDER BY {key} {direction}"):
                if _sound(table, row):
                    found[row[0]] = row
    return list(found.values())


def _sound(table: str, row: tuple[object, ...]) -> bool:
    text, *known = row[_TEXT[table] :]
    try:
        json.loads(str(text))
    except ValueError:
        return False
    return not known or digest(str(text)) == known[0]
