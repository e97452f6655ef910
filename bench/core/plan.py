"""What a bend comes to: marks, order, finished measures. The answer core gives to every question."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bench.core.given import Given, Number
from bench.core.notes import Note


class Method(StrEnum):
    """How marks are worked out: the trade's taught constants, or exactly for this bender."""

    BOOK = "book"
    TRUE = "true"

    @property
    def other(self) -> Method:
        """The other of the two."""
        return Method.TRUE if self is Method.BOOK else Method.BOOK


class Reference(StrEnum):
    """The point of the bender that is put on a mark."""

    ARROW = "arrow"
    NOTCH = "notch"
    STAR = "star"


class Hook(StrEnum):
    """Which way the bender's hook faces: towards the end the tape hooks on, or away from it."""

    TAPE_END = "tape_end"
    AWAY = "away"
    EITHER = "either"


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark on the conduit and the bend made on it.

    `at` is inches from the end the tape hooks on, on the tape's scale; `exact` is the same before rounding,
    None for a mark that was never anything else. `bend` is the finished angle in degrees, `pull` the angle
    to pull to, more than `bend` by the springback. `roll` is the turn of the conduit about its own axis
    relative to the first bend, degrees. `order` counts bends from 1.
    """

    name: str
    at: Fraction
    reference: Reference
    hook: Hook
    bend: float
    roll: float
    order: int
    pull: float
    exact: Fraction | None = None

    @property
    def place(self) -> Fraction:
        """Where the mark belongs before it is rounded to the tape, inches."""
        return self.at if self.exact is None else self.exact


@dataclass(frozen=True, slots=True)
class Finished:
    """Measures of the finished shape, from simulating the rounded marks. None where it has no meaning.

    Lengths are inches (floats: they come from trigonometry). `clearance` is from the conduit's surface to
    the obstruction, negative when it fouls. `dogleg` is degrees out of plane. `roll` is how far sideways a
    rolling offset lands.
    """

    rise: float | None = None
    crown_at: float | None = None
    legs_out_of_line: float | None = None
    legs_out_of_parallel: float | None = None
    dogleg: float | None = None
    clearance: float | None = None
    end_to_end: float | None = None
    roll: float | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """Marks by one method, and what they make."""

    method: Method
    marks: tuple[Mark, ...]
    finished: Finished


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything the assistant says about one bend. `inputs` echoes the measures asked for.

    `bend` is the kind that was asked for, `inner` the bend itself: they differ for a rack, which is made of
    single bends.
    `shrink`, `gain`, `developed` are inches; `total_degrees` counts towards the 360 between pull points.
    `cut` is where to cut, inches from the tape end, when the measures say where the conduit ends. `rack`
    holds the plans of the second and further conduits of a rack, by the chosen method, each with its own
    measures.
    """

    bend: str
    inner: str
    inputs: Given
    chosen: Layout
    other: Layout | None
    shrink: float
    gain: float
    developed: float
    total_degrees: float
    advice: tuple[Note, ...]
    warnings: tuple[Note, ...]
    cut: Fraction | None = None
    rack: tuple[Plan, ...] = ()

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks of the chosen method, in order of position along the conduit."""
        return self.chosen.marks

    @property
    def in_order(self) -> tuple[Mark, ...]:
        """The marks in the order they are bent."""
        return tuple(sorted(self.chosen.marks, key=lambda mark: mark.order))


class Quantity(StrEnum):
    """What kind of answer a measure is."""

    LENGTH = "length"
    ANGLE = "angle"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Measure:
    """One question a bend asks. `key` is also the command-line option and the JSON input.

    `least` and `most` are what is plausible in the field (inches, degrees or a count): the recognizer's
    grammar and the dialogue both use them. An optional measure may be left out; core then chooses. `label` is
    the measure in words, for messages.
    """

    key: str
    quantity: Quantity
    least: Fraction
    most: Fraction
    optional: bool = False
    label: str = ""

    def typed(self, value: Number) -> Number:
        """A value in this measure's own type: Fraction of an inch, degrees as a float, a count as an int."""
        if self.quantity is Quantity.LENGTH:
            return Fraction(value)
        return float(value) if self.quantity is Quantity.ANGLE else int(value)

    def allows(self, value: Number) -> bool:
        """Whether a value is a number and plausible."""
        return math.isfinite(value) and self.least <= value <= self.most
