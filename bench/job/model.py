"""The job as plain frozen values: its sticks, their bends, and the tools they were worked out with."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Self

from bench.core.lengths import Units
from bench.core.notes import BenchError, Note
from bench.core.plan import Hook, Mark, Method, Reference

Number = Fraction | float | int
"""A measure as core takes it: a Fraction of inches, a float of degrees, an int of things."""


@dataclass(frozen=True, slots=True)
class Profile:
    """The numbers of a bender: take-up and gain in inches, springback in degrees at ninety.

    `typical` tells that they come from the table and not from this bender. `hand` is how many degrees this
    person bends beyond what they pull to.
    """

    name: str
    conduit: str
    size: str
    take_up: Fraction
    gain: Fraction
    springback: float = 0.0
    typical: bool = False
    hand: float = 0.0


@dataclass(frozen=True, slots=True)
class Tools:
    """Conduit, trade size and bender. Without a `profile` the bender is the typical one of today's table."""

    conduit: str = ""
    size: str = ""
    profile: Profile | None = None

    @property
    def complete(self) -> bool:
        """True when a bend can be worked out with it."""
        return bool(self.conduit and self.size)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was measured at a check, and what was made of it.

    `check` is the key of the check, `verdict` one of `bench.core.corrections.Verdict`. `mended` tells that
    the advised change was made.
    """

    check: str
    value: Number
    verdict: str
    mended: bool = False


@dataclass(frozen=True, slots=True)
class JobBend:
    """One bend of a job: what the person answered, in the order asked. Plans are worked out from it.

    `roll` and `from_end` are as in `bench.core.stick.OnStick`; `from_end` comes from a list only. `finished`
    bends are made; `readings` are what was found at their checks, oldest first.
    """

    kind: str = ""
    answers: tuple[tuple[str, Number | None], ...] = ()
    method: Method = Method.TRUE
    finished: bool = False
    roll: float = 0.0
    from_end: Fraction | None = None
    readings: tuple[Reading, ...] = ()

    @property
    def measures(self) -> dict[str, Number]:
        """The answers that have a value."""
        return {key: value for key, value in self.answers if value is not None}

    @property
    def asked(self) -> JobBend:
        """The bend as it was asked for, without what became of it."""
        return replace(self, finished=False, readings=())

    def answered(self, key: str, value: Number | None) -> JobBend:
        """This bend with one answer set, in its place when it was answered before."""
        if key in dict(self.answers):
            kept = tuple((name, value if name == key else old) for name, old in self.answers)
            return replace(self, answers=kept)
        return replace(self, answers=(*self.answers, (key, value)))


@dataclass(frozen=True, slots=True)
class SpokenMark:
    """A mark as it was spoken, for bend number `owner` of its stick, from 0. Other fields as in `Mark`."""

    owner: int
    at: Fraction
    reference: Reference
    hook: Hook
    bend: float
    roll: float
    order: int
    pull: float

    @classmethod
    def of(cls, mark: Mark, owner: int) -> Self:
        """A mark as worked out now."""
        return cls(owner, mark.at, mark.reference, mark.hook, mark.bend, mark.roll, mark.order, mark.pull)

    def mark(self, number: int) -> Mark:
        """The mark again, as number `number` from the tape end."""
        return Mark(
            str(number), self.at, self.reference, self.hook, self.bend, self.roll, self.order, self.pull
        )


@dataclass(frozen=True, slots=True)
class Spoken:
    """The marks of a stick as the person was told them, in order of position, and where to cut.

    `version` is the version of Bench that spoke them.
    """

    marks: tuple[SpokenMark, ...]
    cut_at: Fraction | None
    version: str


@dataclass(frozen=True, slots=True)
class JobStick:
    """One length of conduit and the bends on it, in order from the tape end.

    `length` is before cutting, `finish` where the stick ends in the run, inches. `shift` is how far this
    pipe of a rack lies outside the first one; its marks move for it. `tools`, `units` and `scale` (the finest
    division of the tape, inches) are those its first bend was worked out with: they stay so, whatever is in
    hand later. `run` names the run, `pipe` the conduit of a rack that it belongs to. `marked` and `bent` are
    the numbers of marks drawn and of bends made. `not_recorded` names what an earlier version of Bench did not
    write down.
    """

    name: str = "1"
    bends: tuple[JobBend, ...] = ()
    length: Fraction = Fraction(120)
    shift: Fraction = Fraction(0)
    tools: Tools = field(default_factory=Tools)
    units: Units = Units.INCH
    scale: Fraction | None = None
    finish: Fraction | None = None
    run: str = "1"
    pipe: int = 1
    spoken: Spoken | None = None
    marked: tuple[int, ...] = ()
    bent: tuple[int, ...] = ()
    not_recorded: tuple[str, ...] = ()

    @property
    def finished(self) -> bool:
        """Whether every bend on it is made."""
        return all(bend.finished for bend in self.bends)

    def unbegun(self) -> JobStick:
        """The stick without the end that its bends would have had, when none is on it; else as it is."""
        return self if self.bends else replace(self, finish=None)

    def told(self, spoken: Spoken | None) -> JobStick:
        """The stick with these marks spoken; those of bends already made count as drawn and bent."""
        along = () if spoken is None else sorted(spoken.marks, key=lambda mark: (mark.at, mark.order))
        made = tuple(number for number, mark in enumerate(along, start=1) if self.bends[mark.owner].finished)
        return replace(self, spoken=spoken, marked=made, bent=made)

    def fresh(self) -> JobStick:
        """The same stick with nothing marked or bent yet."""
        bends = tuple(bend.asked for bend in self.bends)
        return replace(self, bends=bends, spoken=None, marked=(), bent=(), not_recorded=())


@dataclass(frozen=True, slots=True)
class Job:
    """Everything done for one job: the only source of what is listed, exported and printed of it.

    `number` tells jobs apart in one folder; `name` and `place` are the person's own words, blank when none
    were given.
    """

    number: int
    sticks: tuple[JobStick, ...] = ()
    name: str = ""
    place: str = ""
    finished: bool = False

    @property
    def title(self) -> str:
        """What to call it."""
        return self.name or f"Job {self.number}"

    @property
    def units(self) -> Units:
        """What the newest stick was measured in."""
        return self.sticks[-1].units if self.sticks else Units.INCH

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of bend in it, each once."""
        return tuple(dict.fromkeys(bend.kind for stick in self.sticks for bend in stick.bends))


def of_stick(error: BenchError, name: str) -> BenchError:
    """The error with the name of the stick that it is about."""
    message = error.message
    template, values = "Stick {stick}: " + message.template, {**message.values, "stick": name}
    return BenchError(Note(message.code, template, values), error.remedy)
