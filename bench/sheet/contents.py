"""What goes on paper: the sticks of a job as they were laid out, with what their run comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from bench.core.bends.catalogue import labels, names
from bench.core.cautions import Cautions
from bench.core.lengths import MILLIMETER, Units
from bench.core.notes import Note
from bench.core.plan import Mark
from bench.core.run import Run
from bench.core.stick import Stick


@dataclass(frozen=True, slots=True)
class RackPipe:
    """A further pipe of a rack beside a stick: the same bends at marks of its own.

    `shift` is how far it lies outside the first pipe, inches. `measures` are those that differ from the
    first pipe's, by key: a stub of 12 shifted by 2 is a stub of 14.
    """

    name: str
    shift: Fraction
    marks: tuple[Mark, ...]
    cut_at: Fraction | None
    measures: Mapping[str, Fraction | float | int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SheetStick:
    """One stick of the sheet; `copies` are bent alike.

    `run` is the name of the section it lies in, as in `SheetJob.run`. `rack` are the pipes beside it. `bent`
    are the numbers of the marks already bent. `notes` say what the reader must know of this stick alone, such
    as marks kept as spoken where today's would differ. `not_recorded` names, in words, what an earlier
    version did not write down: paper shows it as not recorded, it is never guessed.
    """

    name: str
    stick: Stick
    copies: int = 1
    run: str = ""
    rack: tuple[RackPipe, ...] = ()
    bent: tuple[int, ...] = ()
    notes: tuple[Note, ...] = ()
    not_recorded: tuple[str, ...] = ()

    @property
    def units(self) -> Units:
        """What its tape is read in; a stick keeps the tape it was marked with."""
        return Units.METRIC if self.stick.setup.scale == MILLIMETER else Units.INCH


@dataclass(frozen=True, slots=True)
class SheetJob:
    """A job for paper. `names` are trade words as written, by key.

    `date` is the day of the job as it is to be printed, `place` where the work is; blank means that it is
    not known, and a line is left to write it on. `notes` are about the whole job, `not_recorded` as in
    `SheetStick`.
    """

    name: str
    units: Units
    sticks: tuple[SheetStick, ...]
    run: Run
    cautions: Cautions
    names: Mapping[str, str]
    date: str = ""
    place: str = ""
    notes: tuple[Note, ...] = ()
    not_recorded: tuple[str, ...] = ()

    def word(self, key: str) -> str:
        """A trade word as written."""
        return self.names.get(key) or labels().get(key) or names().get(key, key)
