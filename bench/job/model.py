"""The job as plain frozen values: its sticks, their bends, and the tools they were worked out with."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

from bench.core.lengths import Units
from bench.core.plan import Method

Number = Fraction | float | int
"""A measure as core takes it: a Fraction of inches, a float of degrees, an int of things."""


@dataclass(frozen=True, slots=True)
class Profile:
    """A bender as measured by the person: take-up and gain in inches, springback in degrees at ninety."""

    name: str
    conduit: str
    size: str
    take_up: Fraction
    gain: Fraction
    springback: float = 0.0


@dataclass(frozen=True, slots=True)
class Tools:
    """What is in hand. `profile` is None for the typical bender of that conduit and size."""

    conduit: str = ""
    size: str = ""
    profile: Profile | None = None

    @property
    def complete(self) -> bool:
        """True when a bend can be worked out with it."""
        return bool(self.conduit and self.size)


@dataclass(frozen=True, slots=True)
class JobBend:
    """One bend of a job: what the person answered, in the order asked. Plans are worked out from it.

    `roll` and `from_end` are as in `bench.core.stick.OnStick`; `from_end` comes from a list only.
    """

    kind: str = ""
    answers: tuple[tuple[str, Number | None], ...] = ()
    method: Method = Method.TRUE
    finished: bool = False
    roll: float = 0.0
    from_end: Fraction | None = None

    @property
    def measures(self) -> dict[str, Number]:
        """The answers that have a value."""
        return {key: value for key, value in self.answers if value is not None}

    def answered(self, key: str, value: Number | None) -> JobBend:
        """This bend with one answer set, in its place when it was answered before."""
        if key in dict(self.answers):
            kept = tuple((name, value if name == key else old) for name, old in self.answers)
            return replace(self, answers=kept)
        return replace(self, answers=(*self.answers, (key, value)))


@dataclass(frozen=True, slots=True)
class JobStick:
    """One length of conduit and the bends on it, in order from the tape end.

    `shift` is how far this pipe of a rack lies outside the first one, inches; its marks move for it. `tools`
    and `units` are those its first bend was worked out with: they stay so, whatever is in hand later.
    """

    name: str = "1"
    bends: tuple[JobBend, ...] = ()
    length: Fraction = Fraction(120)
    shift: Fraction = Fraction(0)
    tools: Tools = field(default_factory=Tools)
    units: Units = Units.INCH
