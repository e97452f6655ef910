"""One assistant at a time on one folder of jobs."""

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
    """Another Bench is working in the same folder."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"Bench is already running on the jobs in {folder}.",
            "Go on in that one, or start this one with --data and another folder.",
            code="in_use",
        )


class Hold:
    """The hold of this process on a folder, until it is closed or the process ends, however it ends.

    Two locks, either of which keeps others out: an open SQLite transaction on `jobs.lock`, which works the same on
    every system, and the system's own lock on the folder itself where there is one, which outlives a `jobs.lock`
    that is replaced. The kernel lets go of both when the process dies. Where the folder cannot be written there is
    nothing to protect, and nothing is held.
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
        """Whether there is a lock at all."""
        return self._file is not None or self._directory != _NONE

    def renew(self) -> None:
        """Hold a `jobs.lock` that was put in the place of ours. Raises InUse when another assistant has it."""
        if self._file is None or _inode(self._folder / LOCK_FILE) == self._inode:
            return
        self._file.close()
        self._file = None
        self._hold_file()

    def close(self) -> None:
        """Let go."""
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
    """The folder, open and locked, or nothing where the system or the file system has no such lock. Raises InUse."""
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
