"""Temporary folders that are removed even when the program is killed.

Each contains a file that its owner keeps locked. The system releases the lock when the owner ends, however it ends.
The next start removes our folders that nobody holds.
"""

from __future__ import annotations

import logging
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

try:
    from fcntl import LOCK_EX, LOCK_NB, flock
except ImportError:  # Windows: no locking and no sweeping
    flock = None  # type: ignore[assignment]

log = logging.getLogger(__name__)

_KINDS = ("ears", "voice", "demo")
_OWNER = ".owner"


class TemporaryFolder:
    """A folder `bench-KIND-...` of this process, at `path`, until closed. Raises OSError when the disk is full."""

    def __init__(self, kind: str) -> None:
        assert kind in _KINDS, "sweep must know it"
        self.path = Path(tempfile.mkdtemp(prefix=f"bench-{kind}-"))
        try:
            self._owner: IO[bytes] = (self.path / _OWNER).open("wb")
        except OSError:
            shutil.rmtree(self.path, ignore_errors=True)
            raise
        _locked(self._owner)

    def close(self) -> None:
        """Remove the folder and its contents."""
        shutil.rmtree(self.path, ignore_errors=True)
        self._owner.close()


@contextmanager
def temporary_folder(kind: str) -> Iterator[Path]:
    """A temporary folder for the duration of a `with` block. Raises OSError."""
    folder = TemporaryFolder(kind)
    try:
        yield folder.path
    finally:
        folder.close()


def sweep() -> list[Path]:
    """Remove this user's folders whose owner has ended. Folders without a lock may not be ours and are kept."""
    if flock is None:
        return []
    removed = []
    for kind in _KINDS:
        for folder in Path(tempfile.gettempdir()).glob(f"bench-{kind}-*"):
            with suppress(OSError):  # another process was faster, or the folder is not ours
                if _left_behind(folder):
                    shutil.rmtree(folder)
                    removed.append(folder)
    if removed:
        log.info("removed %d temporary folders of killed programs", len(removed))
    return removed


def _left_behind(folder: Path) -> bool:
    status = folder.lstat()
    if not stat.S_ISDIR(status.st_mode) or status.st_uid != os.getuid():
        return False
    with (folder / _OWNER).open("rb") as owner:
        return _locked(owner)


def _locked(file: IO[bytes]) -> bool:
    """Whether the lock was acquired. Always true on systems without locks."""
    if flock is None:
        return True
    try:
        flock(file, LOCK_EX | LOCK_NB)
    except OSError:
        return False
    return True
