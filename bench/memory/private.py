"""What Bench keeps is the person's own: measures and every word heard are closed to other users."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

FOLDER_MODE, FILE_MODE = 0o700, 0o600
_OWN = ("jobs*.db*", "jobs.lock*", "benders.json*")
"""Only files of our own are closed: the folder may be one that the person uses for other things too."""


def make_folder(folder: Path) -> None:
    """Make the folder for its owner alone; one that is there already keeps its rights. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True, mode=FOLDER_MODE)


def close_files(folder: Path) -> None:
    """Close our files in the folder to others; where rights cannot be changed they stay as they are."""
    if os.name != "posix":
        return
    for pattern in _OWN:
        for file in folder.glob(pattern):
            if not file.is_symlink():
                with suppress(OSError):
                    file.chmod(FILE_MODE)
