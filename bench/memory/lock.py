"""One assistant at a time on one folder of jobs."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from bench.core.notes import BenchError
from bench.memory.private import make_folder


class InUse(BenchError):
    """Another Bench is working in the same folder."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"Bench is already running on the jobs in {folder}.",
            "Go on in that one, or start this one with --data and another folder.",
            code="in_use",
        )


def hold(folder: Path) -> sqlite3.Connection | None:
    """Take the folder for this process until the connection returned is closed or the process ends, however it ends.

    An open SQLite transaction is the lock: it works the same on every system and the kernel lets go of it when
    the process dies. None where the folder cannot be written: nothing to protect then. Raises InUse.
    """
    try:
        make_folder(folder)
        guard = sqlite3.connect(
            folder / "jobs.lock", timeout=0, isolation_level=None, check_same_thread=False
        )
    except (sqlite3.Error, OSError):
        return None
    try:
        guard.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as error:
        guard.close()
        if error.sqlite_errorcode == sqlite3.SQLITE_BUSY:
            raise InUse(folder) from error
        return None
    except sqlite3.DatabaseError:
        guard.close()
        return None
    return guard
