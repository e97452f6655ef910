"""A lock that allows one assistant at a time on a folder of jobs."""

from __future__ import annotations

import os
import sqlite3
from contextlib import suppress
from pathlib import Path

from bench.core.notes import BenchError
from bench.memory.private import make_file, make_folder

LOCK_FILE = "jobs.lock"
_NONE = -1


class InUse(BenchError):
    """Another Bench is running on the same folder."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"Bench is already running on the jobs in {folder}.",
            "Use that one, or start this one with --data and another folder.",
            code="in_use",
        )


class Hold:
    """This process's lock on a folder, held until it is closed or the process ends, however it ends.

    There are two locks, and either one keeps others out: an open SQLite transaction on `jobs.lock`, which works on
    every system, and the system's lock on the folder itself, where available, which survives a replaced
    `jobs.lock`. The kernel releases both when the process dies. A folder that cannot be written needs no
    protection and is not locked.
    """

    def __init__(self, folder: Path) -> None:
        """Raises InUse."""
        self._folder = folder
        self._file: sqlite3.Connection | None = None
        self._inode = 0
        self._directory = _NONE
        try:
            make_folder(folder)
            self._directory = _hold_directory(folder)
            self._hold_file()
        except InUse:
            self.close()
            raise
        except OSError:
            pass

    @property
    def held(self) -> bool:
        """Whether any lock is held."""
        return self._file is not None or self._directory != _NONE

    def renew(self) -> None:
        """Lock a `jobs.lock` that replaced ours. Raises InUse when another assistant holds it."""
        if self._file is None or _inode(self._folder / LOCK_FILE) == self._inode:
            return
        self._file.close()
        self._file = None
        self._hold_file()

    def close(self) -> None:
        """Release the lock."""
        if self._file is not None:
            self._file.close()
            self._file = None
        if self._directory != _NONE:
            os.close(self._directory)
            self._directory = _NONE

    def _hold_file(self) -> None:
        path = self._folder / LOCK_FILE
        file = None
        try:
            make_file(path)
            file = sqlite3.connect(path, timeout=0, isolation_level=None, check_same_thread=False)
            file.execute("BEGIN EXCLUSIVE")
        except (sqlite3.Error, OSError) as error:
            if file is not None:
                file.close()
            if getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_BUSY:
                raise InUse(self._folder) from error
            return
        self._file, self._inode = file, _inode(path)


def _hold_directory(folder: Path) -> int:
    """Lock the folder and return its descriptor. Where no such lock is supported, nothing is locked. Raises InUse."""
    try:
        import fcntl
    except ImportError:
        return _NONE
    handle = _NONE
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    if handle == _NONE:
        return _NONE
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        os.close(handle)
        raise InUse(folder) from error
    except OSError:
        os.close(handle)
        return _NONE
    return handle


def _inode(path: Path) -> int:
    try:
        return path.stat().st_ino
    except OSError:
        return 0
