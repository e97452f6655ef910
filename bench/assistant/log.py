"""The log file: everything that would otherwise be printed over the screen."""

from __future__ import annotations

import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

from bench.core.notes import BenchError
from bench.data.folders import log_folder

MOST_BYTES = 2_000_000


def log_to_file() -> Path | None:
    """Send the program's log to its file, at most four megabytes of it; None where it cannot be."""
    root = logging.getLogger()
    root.setLevel(logging.INFO)
    try:
        path = log_folder() / "bench.log"
        path.parent.mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = RotatingFileHandler(
            path, maxBytes=MOST_BYTES, backupCount=1, encoding="utf-8"
        )
    except (OSError, BenchError):
        root.addHandler(logging.NullHandler())
        return None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    root.addHandler(handler)
    # A full disk must not turn every log line into a traceback over the screen.
    logging.raiseExceptions = False
    return path
