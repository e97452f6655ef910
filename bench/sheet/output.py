"""The one door through which drawings and sheets reach the disk: nothing that is there is ever lost.

A file is made, never opened for writing, so a link standing in its place is an existing file too and is not
followed. A name the person gave is theirs: when it is taken they are told. An automatic name moves on to the
next free number.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

from bench.core.notes import BenchError

_MOST_NAMES = 10_000
_UNSAFE = '<>:"/\\|?*'
"""What some file system or other takes in no name."""
_LONGEST = 80


def write_file(path: Path, content: bytes, force: bool = False) -> Path:
    """Write `content` to a new file at `path`, the name the person gave; the whole path of it.

    With `force` an ordinary file or a link of that name is replaced; what the link pointed to stays as it
    is. Raises BenchError when the name is taken, or the file cannot be written.
    """
    try:
        if force and (path.is_symlink() or path.exists()):
            _replace(path, content)
        else:
            _make(path, content)
    except FileExistsError as error:
        remedy = "Name another file, or replace this one with --force."
        raise BenchError(f"{path} is there already.", remedy, "file_exists") from error
    except OSError as error:
        raise _unwritable(path, error) from error
    return Path(os.path.abspath(path))


def write_next(folder: Path, name: str, ending: str, content: bytes) -> Path:
    """Write a new file under the first free of `NAME.pdf`, `NAME (2).pdf` ... in `folder`; its whole path.

    The folder is made when it is missing. Raises BenchError when it cannot be written.
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
    raise BenchError(f"{folder} is full of files called {name}.", "Put some away.", "file_unwritable")


def file_name(*words: str) -> str:
    """A file's name made of words, without what a file system or a terminal might stumble over."""
    safe = "".join(c if c.isprintable() and c not in _UNSAFE else " " for c in " ".join(words))
    return " ".join(safe.split())[:_LONGEST].strip(" .")


def _make(path: Path, content: bytes) -> None:
    """Raises FileExistsError where anything is, a link that leads nowhere included."""
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
    """The new file is whole before the old one goes."""
    kind = path.lstat().st_mode
    if not (stat.S_ISREG(kind) or stat.S_ISLNK(kind)):
        raise BenchError(f"{path} is not an ordinary file.", "Name another file.", "file_exists")
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    _make(beside, content)
    os.replace(beside, path)


def _unwritable(path: Path, error: OSError) -> BenchError:
    message = f"{path} cannot be written: {error.strerror or error}."
    return BenchError(message, "Name a file in a folder you can write.", "file_unwritable")
