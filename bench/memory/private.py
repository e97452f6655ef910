"""File permissions that keep measures and every word heard private to the user."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

FOLDER_MODE, FILE_MODE = 0o700, 0o600
_OWN = ("jobs*.db*", "jobs.lock*", "benders.json*", "learned.json*")
"""Only our own files are made private, because the person may also use the folder for other things."""


def make_folder(folder: Path) -> None:
    """Create the folder and its parents with access for the owner only, regardless of the umask.

    An existing folder keeps its permissions. Raises OSError.
    """
    for missing in reversed([folder, *folder.parents]):
        if not missing.exists():
            missing.mkdir(mode=FOLDER_MODE, exist_ok=True)
    folder.mkdir(exist_ok=True)


def make_file(path: Path) -> None:
    """Create an empty file that only its owner can access, from the start. An existing file stays.

    Raises OSError.
    """
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE))


def close_files(folder: Path) -> None:
    """Remove other users' access to our files in the folder, where permissions can be changed."""
    if os.name != "posix":
        return
    for pattern in _OWN:
        for file in folder.glob(pattern):
            if not file.is_symlink():
                with suppress(OSError):
                    file.chmod(FILE_MODE)
