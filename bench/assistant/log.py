"""The log file, for everything that would otherwise be printed over the screen."""

from __future__ import annotations

import logging
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path

from bench.core.notes import BenchError
from bench.data.folders import log_folder
from bench.language.write import printable
from bench.memory.private import make_file, make_folder

MOST_BYTES = 2_000_000


class _Private(RotatingFileHandler):
    """A log file that other users cannot read, because it holds every word heard."""

    def _open(self) -> TextIOWrapper:
        if Path(self.baseFilename).exists() and not Path(self.baseFilename).is_file():
            raise OSError("The log is not an ordinary file.")
        make_file(Path(self.baseFilename))
        return super()._open()


class _OneLine(logging.Formatter):
    """Escapes control characters in what was heard or read, so that the log is safe to view in a terminal."""

    def format(self, record: logging.LogRecord) -> str:
        """The entry as one line, except for a traceback."""
        return "\n".join(map(printable, super().format(record).split("\n")))


def log_to_file() -> Path | None:
    """Send the program's log to its file, at most four megabytes. None when the file cannot be written."""
    root = logging.getLogger()
    root.setLevel(logging.INFO)
    try:
        path = log_folder() / "bench.log"
        make_folder(path.parent)
        handler = _Private(path, maxBytes=MOST_BYTES, backupCount=1, encoding="utf-8")
    except (OSError, BenchError):
        root.addHandler(logging.NullHandler())
        return None
    handler.setFormatter(_OneLine("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    root.addHandler(handler)
    # A full disk must not turn every log line into a traceback over the screen.
    logging.raiseExceptions = False
    return path
