"""The person's own benders, stored in one small file in the data folder, with a digest of its content.

A corrupted take-up makes wrong marks, so a file that does not match its digest is not used."""

from __future__ import annotations

import json
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

import cattrs

from bench.core.bender import Bender
from bench.core.conduit import Conduit
from bench.core.notes import BenchError
from bench.job.model import Profile
from bench.memory.whole import read_own, rows_of, set_aside, write_rows

BENDER_FILE = "benders.json"
MOST_BENDERS = 1000
MOST_INCHES = 120
MOST_NAME = 80
"""Longest name of a bender, in characters."""
_SET_ASIDE = "It is not used. Move it away, then calibrate or add your benders again."

_CONVERTER = cattrs.Converter(forbid_extra_keys=True)
_CONVERTER.register_structure_hook(Fraction, lambda written, _: Fraction(written))


class BenderFile:
    """The file of benders in a data folder."""

    def __init__(self, folder: Path) -> None:
        """The file need not exist yet."""
        self.path = folder / BENDER_FILE

    def all(self) -> tuple[Profile, ...]:
        """Every stored bender. Raises BenchError when the file cannot be read."""
        text = read_own(self.path, "benders", _SET_ASIDE)
        if text is None:
            return ()
        try:
            return _checked(_CONVERTER.structure(_rows(text), tuple[Profile, ...]))
        except Exception as error:
            raise BenchError(
                f"{self.path} is damaged: {error}",
                _SET_ASIDE,
                "benders_damaged",
            ) from error

    def keep(self, kept: Profile) -> None:
        """Store a bender, replacing one with the same name and conduit. A damaged file is set aside first.

        Raises BenchError when it cannot be written.
        """
        try:
            known = self.all()
        except BenchError as error:
            if error.code != "benders_damaged":
                raise
            set_aside(self.path, "benders")
            known = ()
        self._write([*(each for each in known if _key(each) != _key(kept)), kept])

    def forget(self, name: str) -> int:
        """Remove every bender with this name and return how many there were."""
        kept = self.all()
        left = [each for each in kept if each.name != name]
        if len(left) < len(kept):
            self._write(left)
        return len(kept) - len(left)

    def remove(self, gone: Profile) -> None:
        """Remove the bender with this name and conduit, if there is one. Raises BenchError."""
        kept = self.all()
        left = [each for each in kept if _key(each) != _key(gone)]
        if len(left) < len(kept):
            self._write(left)

    def bender(self, name: str, conduit: Conduit, typical: Bender) -> Bender:
        """A bender by name for a conduit. Unmeasured values are those of the typical bender. Raises BenchError."""
        for kept in self.all():
            if _key(kept) == (name, conduit.kind, conduit.size):
                return typical.measured(name, kept.take_up, kept.gain, kept.springback, kept.hand)
        names = sorted(
            {kept.name for kept in self.all() if (kept.conduit, kept.size) == (conduit.kind, conduit.size)}
        )
        raise BenchError(
            f"There is no bender called {name} for {conduit.size} {conduit.kind}.",
            f"There are: {', '.join(names)}." if names else "Add one with: bench bender calibrate",
            "bender_unknown",
        )

    def _write(self, benders: list[Profile]) -> None:
        """Write atomically: a new file replaces the old one."""
        rows = [asdict(kept) | {"take_up": str(kept.take_up), "gain": str(kept.gain)} for kept in benders]
        write_rows(self.path, "benders", rows)


def _rows(text: str) -> Any:
    """The benders in a file's text. A plain list is from version 0.1, which had no digest. Raises ValueError."""
    raw = json.loads(text)
    if not isinstance(raw, list):
        return rows_of(raw, "benders", MOST_BENDERS)
    if len(raw) > MOST_BENDERS:
        raise ValueError(f"it lists more than {MOST_BENDERS} benders")
    return raw


def _checked(benders: tuple[Profile, ...]) -> tuple[Profile, ...]:
    """The same benders. Raises ValueError for one with impossible numbers."""
    for kept in benders:
        lengths = 0 < kept.take_up < MOST_INCHES and 0 < kept.gain < MOST_INCHES
        if not (lengths and 0 <= kept.springback < 90 and -90 < kept.hand < 90):
            raise ValueError(f"the numbers of {kept.name[:MOST_NAME]} are not possible for a bender")
    return benders


def _key(kept: Profile) -> tuple[str, str, str]:
    return kept.name, kept.conduit, kept.size
