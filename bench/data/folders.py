"""Folders for Bench's own files on this machine. The only module that asks the system for them."""

from __future__ import annotations

from pathlib import Path

import platformdirs

from bench.core.notes import BenchError

_chosen: Path | None = None


def use(folder: Path | None) -> None:
    """Store everything in this folder from now on, logs included. None selects the user's folders.

    Called once, by the command line (`--data`), before anything is opened.
    """
    global _chosen
    _chosen = None if folder is None else whole_path(folder)


def whole_path(path: Path) -> Path:
    """The absolute path with `~` expanded. Raises BenchError when that home does not exist."""
    try:
        return path.expanduser().absolute()
    except (OSError, RuntimeError) as error:
        raise BenchError(f"{path}: {error}", "Write the whole path.", "path_unknown") from error


def data_folder() -> Path:
    """The folder of jobs, settings, benders and models, and the lock on it.

    Raises BenchError when the system has none, for example for a user without a home folder.
    """
    return _chosen or _of_system(platformdirs.user_data_path("bench", appauthor=False))


def log_folder() -> Path:
    """The folder of logs, for what the program and its libraries would print on the screen. Raises BenchError."""
    return _chosen or _of_system(platformdirs.user_log_path("bench", appauthor=False))


def cache_folder() -> Path:
    """The folder of files that can be made again. Raises BenchError."""
    return (
        _chosen / "cache" if _chosen else _of_system(platformdirs.user_cache_path("bench", appauthor=False))
    )


def _of_system(folder: Path) -> Path:
    if not folder.is_absolute():
        remedy = "Name a folder for its files with --data."
        raise BenchError("This user has no home folder to keep jobs in.", remedy, "no_home")
    return folder
