"""Writes drawings and sheets to disk without ever losing an existing file. All output goes through here.

A file is always created, never opened for writing, so an existing link counts as an existing file and is not
followed. If a name given by the person is taken, that is an error. An automatic name uses the next free number.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

from bench.core.notes import BenchError

_MOST_NAMES = 10_000
_UNSAFE = '<>:"/\\|?*'
"""Characters that some file systems do not allow in names."""
_LONGEST = 80


def write_file(path: Path, content: bytes, force: bool = False) -> Path:
    """Write `content` to a new file at `path`, which the person named, and return its absolute path.

    With `force`, an ordinary file or a link of that name is replaced. The target of the link stays unchanged.
    Raises BenchError when the name is taken or the file cannot be written.
    """
    try:
        if force and (path.is_symlink() or path.exists()):
            _replace(path, content)
        else:
            _make(path, content)
    except FileExistsError as error:
        remedy = "Name another file, or replace this one with --force."
        raise BenchError(f"{path} already exists.", remedy, "file_exists") from error
    except OSError as error:
        raise _unwritable(path, error) from error
    return Path(os.path.abspath(path))


def write_next(folder: Path, name: str, ending: str, content: bytes) -> Path:
    """Write a new file to the first free name of `NAME.pdf`, `NAME (2).pdf` ... in `folder`. Returns its path.

    A missing folder is created. Raises BenchError when the file cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for number in range(1, _MOST_NAMES):
            path = folder / (f"{name}{ending}" if number == 1 else f"{name} ({number}){ending}")
            try:
                _make(path, content)
            except FileExistsError:
                continue
            return Path(os.path.abspath(path))
    except OSError as error:
        raise _unwritable(folder, error) from error
    raise BenchError(f"{folder} is full of files called {name}.", "Move some away.", "file_unwritable")


def file_name(*words: str) -> str:
    """A file name made of words, without characters that are unsafe in a file system or terminal."""
    safe = "".join(c if c.isprintable() and c not in _UNSAFE else " " for c in " ".join(words))
    return " ".join(safe.split())[:_LONGEST].strip(" .")


def _make(path: Path, content: bytes) -> None:
    """Create the file. Raises FileExistsError if anything exists there, including a broken link."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        path.unlink(missing_ok=True)
        raise


def _replace(path: Path, content: bytes) -> None:
    """Replace the file atomically: the new one is complete before the old one is removed."""
    kind = path.lstat().st_mode
    if not (stat.S_ISREG(kind) or stat.S_ISLNK(kind)):
        raise BenchError(f"{path} is not an ordinary file.", "Name another file.", "file_exists")
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    _make(beside, content)
    os.replace(beside, path)


def _unwritable(path: Path, error: OSError) -> BenchError:
    message = f"{path} cannot be written: {error.strerror or error}."
    return BenchError(message, "Name a file in a folder where you can write.", "file_unwritable")
