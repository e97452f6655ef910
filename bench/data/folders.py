"""Where Bench keeps its own files on this machine. The only module that asks the system where that is."""

from __future__ import annotations

from pathlib import Path

import platformdirs

from bench.core.notes import BenchError

_chosen: Path | None = None


def use(folder: Path | None) -> None:
    """Keep everything in this folder from now on, logs included; None for the folders of the user.

    Set once, by the command line (`--data`), before anything is opened.
    """
    global _chosen
    _chosen = None if folder is None else whole_path(folder)


def whole_path(path: Path) -> Path:
    """The absolute path, `~` expanded. Raises BenchError when there is no such home."""
    try:
        return path.expanduser().absolute()
    except (OSError, RuntimeError) as error:
        raise BenchError(f"{path}: {error}", "Write the whole path.", "path_unknown") from error


def data_folder() -> Path:
    """The folder of jobs, settings, benders and models, and the lock on it.

    Raises BenchError where the system names none, as for a user without a home.
    """
    return _chosen or _of_system(platformdirs.user_data_path("bench", appauthor=False))


def log_folder() -> Path:
    """The folder of logs: what the program and its libraries would print over the screen. Raises BenchError."""
    return _chosen or _of_system(platformdirs.user_log_path("bench", appauthor=False))


def _of_system(folder: Path) -> Path:
    if not folder.is_absolute():
        remedy = "Name a folder for its files with --data."
        raise BenchError("This user has no home folder to keep jobs in.", remedy, "no_home")
    return folder
