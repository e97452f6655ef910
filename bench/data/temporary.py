"""Temporary folders that do not outlive the program for long, even when it is killed.

Each holds a file that its owner keeps locked; the system lets go of the lock when the owner ends, however it ends. At
the next start folders of ours that nobody holds are removed.
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
except ImportError:  # Windows: nothing is locked, and nothing swept
    flock = None  # type: ignore[assignment]

log = logging.getLogger(__name__)

_KINDS = ("ears", "voice", "demo")
_OWNER = ".owner"


class TemporaryFolder:
    """A folder `bench-KIND-...` of this process, at `path`, until closed. Raises OSError where there is no room."""

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
        """Remove it and what is in it."""
        shutil.rmtree(self.path, ignore_errors=True)
        self._owner.close()


@contextmanager
def temporary_folder(kind: str) -> Iterator[Path]:
    """A folder while a block lasts. Raises OSError."""
    folder = TemporaryFolder(kind)
    try:
        yield folder.path
    finally:
        folder.close()


def sweep() -> list[Path]:
    """Remove the folders of this user whose owner has ended. Those without a lock are not known to be ours: kept."""
    if flock is None:
        return []
    removed = []
    for kind in _KINDS:
        for folder in Path(tempfile.gettempdir()).glob(f"bench-{kind}-*"):
            with suppress(OSError):  # somebody else was quicker, or it is not ours after all
                if _left_behind(folder):
                    shutil.rmtree(folder)
                    removed.append(folder)
    if removed:
        log.info("folders left behind by programs that were killed: %d removed", len(removed))
    return removed


def _left_behind(folder: Path) -> bool:
    status = folder.lstat()
    if not stat.S_ISDIR(status.st_mode) or status.st_uid != os.getuid():
        return False
    with (folder / _OWNER).open("rb") as owner:
        return _locked(owner)


def _locked(file: IO[bytes]) -> bool:
    """Whether the lock could be had; on systems without locks it always can."""
    if flock is None:
        return True
    try:
        flock(file, LOCK_EX | LOCK_NB)
    except OSError:
        return False
    return True
