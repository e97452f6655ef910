"""What would work instead: found by trying it, so that every remedy offered can really be made."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend
from bench.core.bends.layout import possible
from bench.core.given import Given
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Measure, Method, Quantity

_PARTS = 16
"""How finely a value that works is looked for between two that do not."""
Fits = Callable[[Given], bool]


def remedied(error: BenchError, bend: Bend, given: Given, scale: Fraction, works: Fits) -> BenchError:
    """The error with the nearest change of one measure that works as its remedy; where none does, what to change.

    `works` tries a change. The remedy's values hold the measure's key, so that a program can take the way out.
    """
    note = next(_ways_out(bend, given, scale, works, _ways_to_go(error)), None)
    if note is None and not error.remedy.template:
        note = _no_one_change(bend, given)
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


def _ways_out(
    bend: Bend, given: Given, scale: Fraction, works: Fits, ways: tuple[int, int]
) -> Iterator[Note]:
    for degrees in bend.angles:
        if degrees != given.get("angle") and works(given.with_(angle=degrees)):
            yield Note("angle_works", "An angle of {angle} would work.", {"angle": degrees})
    lengths = [m for m in (*bend.measures, *bend.extras) if m.quantity is Quantity.LENGTH and m.key in given]
    for measure in sorted(lengths, key=lambda measure: measure.key != bend.room):
        for direction in ways:
            value = _nearest(measure, given, direction, scale, works, measure.key == bend.room)
            if value is not None:
                yield _value_works(measure, value, direction)


def _no_one_change(bend: Bend, given: Given) -> Note:
    """No single change was found to work: which two there are to change, or another tool."""
    labels = [measure.label for measure in (*bend.measures, *bend.extras) if measure.key in given]
    if len(labels) < 2:
        return Note("another_tool", "No change of it works with this bender: take another, or a fitting.")
    values: dict[str, Value] = {"measures": ", ".join(labels)}
    return Note("change_two", "No single change makes it work: change two of {measures}.", values)


def _nearest(
    measure: Measure, given: Given, direction: int, scale: Fraction, works: Fits, between: bool
) -> Fraction | None:
    """The value nearest to the one given, on the tape's scale, from which on it works. With `between` it is looked for
    more finely, as the measure may be too small and too large."""
    start = given.length(measure.key)

    def works_after(steps: int) -> bool:
        return works(given.with_(**{measure.key: start + direction * steps * scale}))

    too_few, steps = 0, 1
    while not works_after(steps):
        too_few, steps = steps, steps * 2
        if not measure.allows(start + direction * steps * scale):
            found = _between(too_few, steps, works_after) if between else None
            if found is None:
                return None
            too_few, steps = found
    steps = bisect_left(range(steps), True, lo=too_few + 1, key=works_after)
    value = start + direction * steps * scale
    return value if measure.allows(value) else None


def _between(too_few: int, too_many: int, works_after: Callable[[int], bool]) -> tuple[int, int] | None:
    """Steps that do not work and the next tried that do: a bend may fit where there is neither too little conduit
    before it nor too little behind."""
    part = max(1, (too_many - too_few) // _PARTS)
    for steps in range(too_few + part, too_many, part):
        if works_after(steps):
            return steps - part, steps
    return None


def _value_works(measure: Measure, value: Fraction, direction: int) -> Note:
    key, label = measure.key, measure.label
    more = "or more" if direction > 0 else "or less"
    return Note(f"{key}_works", f"It would work with a {label} of {{{key}}} {more}.", {key: value})
