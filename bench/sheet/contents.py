"""The content of the sheet: the sticks of a job as laid out, and the totals of their run."""

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
    """Another pipe of a rack beside a stick: the same bends at its own marks.

    `shift` is its distance outside the first pipe, inches. `measures` are those that differ from the first pipe's,
    by key: a stub of 12 shifted by 2 is a stub of 14.
    """

    name: str
    shift: Fraction
    marks: tuple[Mark, ...]
    cut_at: Fraction | None
    measures: Mapping[str, Fraction | float | int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SheetStick:
    """One stick of the sheet, bent `copies` times.

    `run` is the name of its section, as in `SheetJob.run`. `rack` are the pipes beside it. `bent` are the numbers
    of the marks already bent. `notes` apply to this stick only, such as marks kept as spoken although today's would
    differ. `not_recorded` lists, in words, what an earlier version did not store. It is printed as not recorded,
    never guessed.
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
        """The units of its tape. A stick keeps the tape it was marked with."""
        return Units.METRIC if self.stick.setup.scale == MILLIMETER else Units.INCH


@dataclass(frozen=True, slots=True)
class SheetJob:
    """A job for paper. `names` are the written trade terms by key.

    `date` is the day of the job as printed, `place` where the work is. If one is empty, a blank line is printed to
    write it on. `notes` are about the whole job, `not_recorded` is as in `SheetStick`.
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
        """The written form of a trade term."""
        return self.names.get(key) or labels().get(key) or names().get(key, key)
