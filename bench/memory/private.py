"""What Bench keeps is the person's own: measures and every word heard are closed to other users."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

FOLDER_MODE, FILE_MODE = 0o700, 0o600
_OWN = ("jobs*.db*", "jobs.lock*", "benders.json*", "learned.json*")
"""Only files of our own are closed: the folder may be one that the person uses for other things too."""


def make_folder(folder: Path) -> None:
    """Make the folder and those above it for its owner alone, whatever the umask; one that is there already keeps
    its rights. Raises OSError.
    """
    for missing in reversed([folder, *folder.parents]):
        if not missing.exists():
            missing.mkdir(mode=FOLDER_MODE, exist_ok=True)
    folder.mkdir(exist_ok=True)


def make_file(path: Path) -> None:
    """Make an empty file for its owner alone, so that it never was open to others; one that is there stays.

    Raises OSError.
    """
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE))


def close_files(folder: Path) -> None:
    """Close our files in the folder to others; where rights cannot be changed they stay as they are."""
    if os.name != "posix":
        return
    for pattern in _OWN:
        for file in folder.glob(pattern):
            if not file.is_symlink():
                with suppress(OSError):
                    file.chmod(FILE_MODE)
