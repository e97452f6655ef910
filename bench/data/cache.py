"""A folder of files that can be made again: bounded in size, each checked when it is read.

Nothing here raises or tells: what is missing, damaged or cannot be read is made again, and what cannot be written
is made again the next time.
"""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from pathlib import Path

from bench.core.notes import BenchError
from bench.data.folders import cache_folder

_SUFFIX = ".kept"
_DIGEST = hashlib.sha256().digest_size
_MOST_BYTES = 64 << 20
"""Of all files together. Those not used for longest are removed."""
_MOST_IN_FILE = 16 << 20


class Cache:
    """Bytes by key, in the folder `name` of the user's cache. Several processes may use it at once."""

    def __init__(self, name: str, most: int = _MOST_BYTES) -> None:
        self._most = most
        self._folder: Path | None = None
        with suppress(BenchError):
            self._folder = cache_folder() / name

    def get(self, key: bytes) -> bytes | None:
        """What was put under the key; None when it is not there whole."""
        if self._folder is None:
            return None
        path = self._path(self._folder, key)
        try:
            if not path.is_file():
                return None
            with path.open("rb") as file:
                stored = file.read(_MOST_IN_FILE + 1)
            os.utime(path)  # the time of its last use
        except OSError:
            return None
        data = stored[_DIGEST:]
        return data if len(stored) <= _MOST_IN_FILE and stored[:_DIGEST] == _digest(key, data) else None

    def put(self, key: bytes, data: bytes) -> None:
        """Store it, if that is possible, in place of what was there."""
        if self._folder is None or len(data) > min(self._most, _MOST_IN_FILE) - _DIGEST:
            return
        path = self._path(self._folder, key)
        part = path.with_suffix(f".{os.getpid()}")
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            part.unlink(missing_ok=True)
            with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
                file.write(_digest(key, data) + data)
            os.replace(part, path)
            self._make_room(self._folder)
        except OSError:
            with suppress(OSError):
                part.unlink(missing_ok=True)

    def _make_room(self, folder: Path) -> None:
        """Remove the files not used for longest, unfinished ones of killed programs among them."""
        files = [(file, file.stat()) for file in folder.iterdir() if file.is_file()]
        left = sum(status.st_size for _, status in files) - self._most
        for file, status in sorted(files, key=lambda one: one[1].st_mtime):
            if left <= 0:
                return
            file.unlink(missing_ok=True)
            left -= status.st_size

    @staticmethod
    def _path(folder: Path, key: bytes) -> Path:
        return folder / (hashlib.sha256(key).hexdigest() + _SUFFIX)


def _digest(key: bytes, data: bytes) -> bytes:
    return hashlib.sha256(hashlib.sha256(key).digest() + data).digest()
