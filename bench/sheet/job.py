"""What goes on paper: the sticks of a job, with what their run comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bench.core.bends.words import LABELS, NAMES
from bench.core.cautions import Cautions
from bench.core.lengths import Units
from bench.core.run import Run
from bench.core.stick import Stick


@dataclass(frozen=True, slots=True)
class SheetStick:
    """One stick of the sheet; `copies` are bent alike."""

    name: str
    stick: Stick
    copies: int = 1


@dataclass(frozen=True, slots=True)
class SheetJob:
    """A job for paper. `names` are trade words as written, by key; `date` is printed as given, or left blank
    to fill in."""

    name: str
    units: Units
    sticks: tuple[SheetStick, ...]
    run: Run
    cautions: Cautions
    names: Mapping[str, str]
    date: str = ""

    def word(self, key: str) -> str:
        """A trade word as written."""
        return self.names.get(key) or LABELS.get(key) or NAMES.get(key, key)
