"""The person's own benders, kept in one small file in the data folder."""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path

import cattrs

from bench.core.bender import Bender
from bench.core.conduit import Conduit
from bench.core.notes import BenchError
from bench.job.model import Profile

BENDER_FILE = "benders.json"

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
            raw = json.loads(self.path.read_text(encoding="utf-8"))
            return _CONVERTER.structure(raw, tuple[Profile, ...])
        except FileNotFoundError:
            return ()
        except OSError as error:
            raise BenchError(
                f"{self.path}: {error.strerror}", "Check who may read it.", "benders_unreadable"
            ) from error
        except Exception as error:
            raise BenchError(
                f"{self.path} is damaged: {error}",
                "Mend it, or move it away and calibrate your benders again.",
                "benders_damaged",
            ) from error

    def keep(self, kept: Profile) -> None:
        """Keep a bender in place of any of its name for that conduit. Raises BenchError."""
        others = [each for each in self.all() if _key(each) != _key(kept)]
        self._write([*others, kept])

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
                return typical.measured(name, kept.take_up, kept.gain, kept.springback)
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
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            fresh = self.path.with_suffix(".new")
            with fresh.open("w", encoding="utf-8") as file:
                file.write(json.dumps(rows, indent=2) + "\n")
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(self.path)
        except OSError as error:
            raise BenchError(
                f"{self.path}: {error.strerror}",
                "Free some space or check who may write there.",
                "benders_unwritable",
            ) from error


def _key(kept: Profile) -> tuple[str, str, str]:
    return kept.name, kept.conduit, kept.size
