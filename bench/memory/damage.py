"""A damaged job file is kept under another name, never thrown away, and what can be read is carried on."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

BACKUP = "jobs.backup.db"
"""A copy of the job file as it was, sound, when it was last opened."""

TABLES = {"records": "seq", "state": "one", "settings": "key", "jobs": "number"}


def set_aside(path: Path) -> Path:
    """Rename the file and its journal to the first free `jobs.damaged-N.db`; the new name. Raises OSError."""
    number = 1
    while (kept := path.with_name(f"{path.stem}.damaged-{number}{path.suffix}")).exists():
        number += 1
    for tail in ("", "-wal", "-shm"):
        with suppress(FileNotFoundError):
            Path(f"{path}{tail}").rename(f"{kept}{tail}")
    return kept


def back_up(db: sqlite3.Connection, folder: Path) -> None:
    """Copy the open file to the backup, whole or not at all; without room for it the old backup stays."""
    fresh = folder / f"{BACKUP}.new"
    try:
        with closing(sqlite3.connect(fresh)) as copy:
            db.backup(copy)
        fresh.replace(folder / BACKUP)
    except (sqlite3.Error, OSError):
        with suppress(OSError):
            fresh.unlink()


def salvage(kept: Path, db: sqlite3.Connection) -> int:
    """Copy into `db` what can be read of the damaged file, else of the backup; the rows in all."""
    for source in (kept, kept.with_name(BACKUP)):
        if source.exists():
            with closing(sqlite3.connect(source)) as old:
                for table, key in TABLES.items():
                    _copy(_readable(old, table, key), table, db)
    return sum(int(db.execute(f"SELECT count(*) FROM {table}").fetchone()[0]) for table in TABLES)


def _copy(rows: list[tuple[object, ...]], table: str, db: sqlite3.Connection) -> None:
    for row in rows:
        db.execute(f"INSERT OR IGNORE INTO {table} VALUES ({','.join('?' * len(row))})", row)


def _readable(old: sqlite3.Connection, table: str, key: str) -> list[tuple[object, ...]]:
    """Rows from the front up to the first bad page, then from the back up to the last bad one."""
    found: dict[object, tuple[object, ...]] = {}
    for direction in ("ASC", "DESC"):
        with suppress(sqlite3.Error):
            for row in old.execute(f"SELECT * FROM {table} ORDER BY {key} {direction}"):
                if _sound(row):
                    found[row[0]] = row
    return list(found.values())


def _sound(row: tuple[object, ...]) -> bool:
    try:
        json.loads(str(row[-1]))
    except ValueError:
        return False
    return True
