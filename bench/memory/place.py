"""Where Bench keeps its own files on this machine."""

from __future__ import annotations

from pathlib import Path

import platformdirs

JOB_FILE = "jobs.db"


def data_folder() -> Path:
    """The folder of jobs and settings: the user's data directory as the system names it."""
    return platformdirs.user_data_path("bench", appauthor=False)


def log_file() -> Path:
    """The file that takes what the program and its libraries would print while the screen is up."""
    return platformdirs.user_log_path("bench", appauthor=False) / "bench.log"
