"""What would work instead: found by trying it, so that every remedy offered can really be made."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain
from math import ceil

from bench.core.bender import Setup
from bench.core.bends.base import Bend
from bench.core.bends.layout import possible
from bench.core.given import Given
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Measure, Method, Quantity


@dataclass(frozen=True, slots=True)
class Asked:
    """A bend that was asked for and cannot be made. `distances` are those of its neighbors in a rack; `angles` are the
    angles that may be chosen, none where the person chose."""

    bend: Bend
    setup: Setup
    method: Method
    distances: tuple[float, ...] = ()
    angles: tuple[float, ...] = ()

    def works(self, given: Given) -> bool:
        """Whether it can be made and held well with these measures, at any of its angles."""
        return any(self.works_as_it_is(each, self.setup) for each in self.at_its_angles(given))

    def works_as_it_is(self, given: Given, setup: Setup) -> bool:
        """The same at the angle given, with another set-up."""
        return fits(self.bend, given, setup, self.method, self.distances)

    def at_its_angles(self, given: Given) -> list[Given]:
        """The measures at each angle that may be chosen."""
        return [given.with_(angle=degrees) for degrees in self.angles] or [given]


def remedied(error: BenchError, asked: Asked, given: Given) -> BenchError:
    """The error with the nearest change of one measure that works as its remedy; where none does, what to change.

    The remedy's values hold the measure's key, so that a program can apply it.
    """
    note = next(_ways_out(asked, given, _ways_to_go(error)), None)
    if note is None and not error.remedy.template:
        note = _no_one_change(asked.bend, given)
    return BenchError(error.message, note or error.remedy)


def fits(bend: Bend, given: Given, setup: Setup, method: Method, distances: tuple[float, ...] = ()) -> bool:
    """Whether a bend can be made and held well with these measures, and its neighbors in a rack."""
    try:
        bend.check(given, setup)
        possible(bend, method, given, setup, distances, well=True)
    except BenchError:
        return False
    return True


def _ways_to_go(error: BenchError) -> tuple[int, int]:
    """Whether more or less of a measure is tried first."""
    return (-1, 1) if error.code in _TOO_FAR else (1, -1)


_TOO_FAR = ("off_far_end", "foot_short")
"""Where the bend lies too near the far end."""


def _ways_out(asked: Asked, given: Given, ways: tuple[int, int]) -> Iterator[Note]:
    bend = asked.bend
    for degrees in () if asked.angles else bend.angles:
        if degrees != given.get("angle") and asked.works(given.with_(angle=degrees)):
            yield Note("angle_works", "An angle of {angle} would work.", {"angle": degrees})
    lengths = [m for m in (*bend.measures, *bend.extras) if m.quantity is Quantity.LENGTH and m.key in given]
    for measure in sorted(lengths, key=lambda measure: measure.key != bend.room):
        found = (_nearest(measure, given, direction, asked) for direction in ways)
        rooms = (
            _room(measure, each, asked) for each in asked.at_its_angles(given) if measure.key == bend.room
        )
        for value in chain(found, rooms):
            if value is not None:
                yield _value_works(measure, value, 1 if value > given.length(measure.key) else -1)


def _no_one_change(bend: Bend, given: Given) -> Note:
    """No single change was found to work: which two there are to change, or another tool."""
    labels = [measure.label for measure in (*bend.measures, *bend.extras) if measure.key in given]
    if len(labels) < 2:
        return Note("another_tool", "No change of it works with this bender: take another, or a fitting.")
    values: dict[str, Value] = {"measures": ", ".join(labels)}
    return Note("change_two", "No single change makes it work: change two of {measures}.", values)


def _nearest(measure: Measure, given: Given, direction: int, asked: Asked) -> Fraction | None:
    """The value nearest to the one given, in steps of the tape's scale, from which on it works."""
    start, scale = given.length(measure.key), asked.setup.scale

    def works_after(steps: int) -> bool:
        return asked.works(given.with_(**{measure.key: start + direction * steps * scale}))

    too_few, steps = 0, 1
    while not works_after(steps):
        too_few, steps = steps, steps * 2
        if not measure.allows(start + direction * steps * scale):
            return None
    steps = bisect_left(range(steps), True, lo=too_few + 1, key=works_after)
    return start + direction * steps * scale


def _room(measure: Measure, given: Given, asked: Asked) -> Fraction | None:
    """A value on the tape's scale that leaves room before the bend and behind it, at the angle given. Where there is
    little of both, steps that double pass it by. On a stick without a far end a bend fits from some value on; if it
    also fits with the far end, it does so up to another value. The end nearer to the value given is taken."""
    setup, scale = asked.setup, asked.setup.scale
    endless = replace(setup, stick_length=setup.stick_length + 2 * measure.most)

    def works(steps: int, setup: Setup) -> bool:
        return asked.works_as_it_is(given.with_(**{measure.key: steps * scale}), setup)

    first, last = ceil(measure.least / scale), int(measure.most / scale)
    if not works(last, endless):
        return None
    first += bisect_left(range(first, last), True, key=lambda steps: works(steps, endless))
    if not works(first, setup):
        return None
    start = max(first, int(given.length(measure.key) / scale))
    return scale * (start - bisect_left(range(start, first, -1), True, key=lambda steps: works(steps, setup)))


def _value_works(measure: Measure, value: Fraction, direction: int) -> Note:
    key, label = measure.key, measure.label
    more = "or more" if direction > 0 else "or less"
    return Note(f"{key}_works", f"It would work with a {label} of {{{key}}} {more}.", {key: value})
