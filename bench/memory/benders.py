"""The person's own benders, kept in one small file in the data folder, with a digest of what it holds.

A changed take-up makes wrong marks, so a file that does not match its digest is not used."""

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
        """Keep a bender in place of any of its name for that conduit; a damaged file is set aside first.

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
        """Take out every bender of a name; how many there were."""
        kept = self.all()
        left = [each for each in kept if each.name != name]
        if len(left) < len(kept):
            self._write(left)
        return len(kept) - len(left)

    def remove(self, gone: Profile) -> None:
        """Take out the bender of this name for its conduit, where there is one. Raises BenchError."""
        kept = self.all()
        left = [each for each in kept if _key(each) != _key(gone)]
        if len(left) < len(kept):
            self._write(left)

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

    def _write(self, benders: list[Profile]) -> None:
        """Whole or not at all: a new file takes the old one's place."""
        rows = [asdict(kept) | {"take_up": str(kept.take_up), "gain": str(kept.gain)} for kept in benders]
        write_rows(self.path, "benders", rows)


def _rows(text: str) -> Any:
    """The benders in a file's text; a plain list is of version 0.1, which kept no digest. Raises ValueError."""
    raw = json.loads(text)
    if not isinstance(raw, list):
        return rows_of(raw, "benders", MOST_BENDERS)
    if len(raw) > MOST_BENDERS:
        raise ValueError(f"it lists more than {MOST_BENDERS} benders")
    return raw


def _checked(benders: tuple[Profile, ...]) -> tuple[Profile, ...]:
    """The same benders. Raises ValueError for one with numbers that no bender has."""
    for kept in benders:
        lengths = 0 < kept.take_up < MOST_INCHES and 0 < kept.gain < MOST_INCHES
        if not (lengths and 0 <= kept.springback < 90 and -90 < kept.hand < 90):
            raise ValueError(f"the numbers of {kept.name[:MOST_NAME]} are not those of a bender")
    return benders


def _key(kept: Profile) -> tuple[str, str, str]:
    return kept.name, kept.conduit, kept.size
