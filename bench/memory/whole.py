"""Small files of our own: limited in size, written atomically, set aside when damaged."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from bench.core.notes import BenchError
from bench.data.reading import NotRead, read_text_file
from bench.memory.digest import digest
from bench.memory.private import close_files, make_file, make_folder


def read_own(path: Path, name: str, remedy: str) -> str | None:
    """The text of a file, or None when it does not exist. Error codes are `NAME_damaged` and `NAME_unreadable`.

    Raises BenchError.
    """
    try:
        return read_text_file(path, remedy, f"{name}_damaged")
    except NotRead as error:
        if isinstance(error.__cause__, FileNotFoundError):
            return None
        if isinstance(error.__cause__, OSError):
            raise BenchError(
                error.message.template, "Check its permissions.", f"{name}_unreadable"
            ) from error
        raise


def rows_of(raw: Any, name: str, most: int) -> Any:
    """The rows under `name`. Raises ValueError when they do not match their digest or are too many."""
    rows = raw[name]
    if len(rows) > most:
        raise ValueError(f"it lists more than {most} {name}")
    if digest(json.dumps(rows)) != raw["digest"]:
        raise ValueError("it was changed since it was written")
    return rows


def write_rows(path: Path, name: str, rows: Any) -> None:
    """Write rows with their digest, atomically. Raises BenchError with code `NAME_unwritable`."""
    text = json.dumps({name: rows, "digest": digest(json.dumps(rows))}, indent=2) + "\n"
    try:
        make_folder(path.parent)
        fresh = path.with_suffix(".json.new")
        fresh.unlink(missing_ok=True)
        make_file(fresh)
        with fresh.open("w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
        close_files(path.parent)
    except OSError as error:
        raise BenchError(
            f"{path}: {error.strerror}", "Free some space or check the permissions.", f"{name}_unwritable"
        ) from error


def set_aside(path: Path, name: str) -> None:
    """Rename a file to the first free `STEM.damaged-N.json`. Raises BenchError with code `NAME_unwritable`."""
    number = 1
    while (aside := path.with_name(f"{path.stem}.damaged-{number}.json")).exists():
        number += 1
    try:
        path.rename(aside)
    except OSError as error:
        raise BenchError(
            f"{path}: {error.strerror}", "Move it away by hand.", f"{name}_unwritable"
        ) from error
