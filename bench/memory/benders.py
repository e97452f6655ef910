"""The person's own benders, kept in one small file in the data folder, with a digest of what it holds.

A changed take-up makes wrong marks, so a file that does not match its digest is not used."""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

import cattrs

from bench.core.bender import Bender
from bench.core.conduit import Conduit
from bench.core.notes import BenchError
from bench.data.reading import NotRead, read_text_file
from bench.job.model import Profile
from bench.memory.digest import digest
from bench.memory.private import close_files, make_file, make_folder

BENDER_FILE = "benders.json"
MOST_BENDERS = 1000
MOST_INCHES = 120
MOST_NAME = 80
"""Letters of a bender's name."""
_SET_ASIDE = "It is not used. Move it away, then calibrate or add your benders again."

_CONVERTER = cattrs.Converter(forbid_extra_keys=True)
_CONVERTER.register_structure_hook(Fraction, lambda written, _: Fraction(written))


class BenderFile:
    """The file of benders in a data folder."""

    def __init__(self, folder: Path) -> None:
        """The file need not be there yet."""
        self.path = folder / BENDER_FILE

    def all(self) -> tuple[Profile, ...]:
        """Every bender kept. Raises BenchError when the file cannot be read."""
        try:
            text = read_text_file(self.path, _SET_ASIDE, "benders_damaged")
        except NotRead as error:
            if isinstance(error.__cause__, FileNotFoundError):
                return ()
            if isinstance(error.__cause__, OSError):
                remedy = "Check who may read it."
                raise BenchError(error.message.template, remedy, "benders_unreadable") from error
            raise
        try:
            return _checked(_CONVERTER.structure(_rows(text), tuple[Profile, ...]))
        except Exception as error:
            raise BenchError(
                f"{self.path} is damaged: {error}",
                _SET_ASIDE,
                "benders_damaged",
            ) from error

    def keep(self, kept: Profile) -> None:
        """Keep a bender in place of any of its name for that conduit; a damaged file is set aside first.

        Raises BenchError when it cannot be written.
        """
        try:
            known = self.all()
        except BenchError as error:
            if error.code != "benders_damaged":
                raise
            self._set_aside()
            known = ()
        self._write([*(each for each in known if _key(each) != _key(kept)), kept])

    def forget(self, name: str) -> int:
        """Take out every bender of a name; how many there were."""
        kept = self.all()
        left = [each for each in kept if each.name != name]
        if len(left) < len(kept):
            self._write(left)
        return len(kept) - len(left)

    def bender(self, name: str, conduit: Conduit, typical: Bender) -> Bender:
        """A bender by name for a conduit; the unmeasured is as on the typical one. Raises BenchError."""
        for kept in self.all():
            if _key(kept) == (name, conduit.kind, conduit.size):
                return typical.measured(name, kept.take_up, kept.gain, kept.springback, kept.hand)
        names = sorted(
            {kept.name for kept in self.all() if (kept.conduit, kept.size) == (conduit.kind, conduit.size)}
        )
        raise BenchError(
            f"No bender called {name} is kept for {conduit.size} {conduit.kind}.",
            f"There are: {', '.join(names)}." if names else "Add one with: bench bender calibrate",
            "bender_unknown",
        )

    def _set_aside(self) -> None:
        """Rename the file to the first free `benders.damaged-N.json`. Raises BenchError."""
        number = 1
        while (aside := self.path.with_name(f"benders.damaged-{number}.json")).exists():
            number += 1
        try:
            self.path.rename(aside)
        except OSError as error:
            raise BenchError(
                f"{self.path}: {error.strerror}", "Move it away by hand.", "benders_unwritable"
            ) from error

    def _write(self, benders: list[Profile]) -> None:
        """Whole or not at all: a new file takes the old one's place."""
        rows = [asdict(kept) | {"take_up": str(kept.take_up), "gain": str(kept.gain)} for kept in benders]
        try:
            make_folder(self.path.parent)
            fresh = self.path.with_suffix(".json.new")
            fresh.unlink(missing_ok=True)
            make_file(fresh)
            with fresh.open("w", encoding="utf-8") as file:
                file.write(json.dumps({"benders": rows, "digest": digest(json.dumps(rows))}, indent=2) + "\n")
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(self.path)
            close_files(self.path.parent)
        except OSError as error:
            raise BenchError(
                f"{self.path}: {error.strerror}",
                "Free some space or check who may write there.",
                "benders_unwritable",
            ) from error


def _rows(text: str) -> Any:
    """The benders in a file's text; a plain list is of version 0.1, which kept no digest. Raises ValueError."""
    raw = json.loads(text)
    rows = raw if isinstance(raw, list) else raw["benders"]
    if len(rows) > MOST_BENDERS:
        raise ValueError(f"it lists more than {MOST_BENDERS} benders")
    if rows is not raw and digest(json.dumps(rows)) != raw["digest"]:
        raise ValueError("it was changed since it was written")
    return rows


def _checked(benders: tuple[Profile, ...]) -> tuple[Profile, ...]:
    """The same benders. Raises ValueError for one with numbers that no bender has."""
    for kept in benders:
        if not (0 < kept.take_up < MOST_INCHES and 0 < kept.gain < MOST_INCHES and 0 <= kept.springback < 90):
            raise ValueError(f"the numbers of {kept.name[:MOST_NAME]} are not those of a bender")
    return benders


def _key(kept: Profile) -> tuple[str, str, str]:
    return kept.name, kept.conduit, kept.size
