"""What would work instead: found by trying it, so that every remedy offered can really be made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Given
from bench.core.bends.layout import neighbour_marks, possible
from bench.core.bends.words import LABELS
from bench.core.notes import BenchError, Note
from bench.core.plan import Measure, Method, Quantity

Fits = Callable[[Given], bool]


def remedied(
    error: BenchError, bend: Bend, given: Given, setup: Setup, method: Method, asked: bool
) -> BenchError:
    """The error with the nearest change of one measure that works as its remedy; as it was when none does.

    `asked` tells that the person chose the angle, or there is none to choose: then it stays while other
    measures are tried. The remedy's values hold the measure's key, so that a program can take the way out.
    """

    def works(changed: Given) -> bool:
        angles = () if asked else bend.angles
        return fits(bend, changed, setup, method) or any(
            fits(bend, {**changed, "angle": degrees}, setup, method) for degrees in angles
        )

    note = next(_ways_out(bend, given, setup.scale, works), None)
    return BenchError(error.message, note or error.remedy)


def fits(bend: Bend, given: Given, setup: Setup, method: Method) -> bool:
    """Whether a bend can be made with these measures."""
    try:
        bend.check(given, setup)
        bends, _ = possible(bend, method, given, setup)
        for _ in neighbour_marks(bend, bends, given, setup):
            pass
    except BenchError:
        return False
    return True


def _ways_out(bend: Bend, given: Given, scale: Fraction, works: Fits) -> Iterator[Note]:
    for degrees in bend.angles:
        if degrees != given.get("angle") and works({**given, "angle": degrees}):
            yield Note("angle_works", "An angle of {angle} would work.", {"angle": degrees})
    lengths = [m for m in bend.measures if m.quantity is Quantity.LENGTH and m.key in given]
    for measure in sorted(lengths, key=lambda measure: measure.key != bend.room):
        for direction in (1, -1):
            value = _nearest(measure, given, direction, scale, works)
            if value is not None:
                yield _value_works(measure, value, direction)


def _nearest(measure: Measure, given: Given, direction: int, scale: Fraction, works: Fits) -> Fraction | None:
    """The value nearest to the one given, on the tape's scale, from which on it works."""
    start = Fraction(given[measure.key])

    def at(steps: int) -> Fraction:
        return start + direction * steps * scale

    too_few, steps = 0, 1
    while not works({**given, measure.key: at(steps)}):
        too_few, steps = steps, steps * 2
        if not measure.least <= at(steps) <= measure.most:
            return None
    while steps - too_few > 1:
        middle = (too_few + steps) // 2
        too_few, steps = (too_few, middle) if works({**given, measure.key: at(middle)}) else (middle, steps)
    return at(steps) if measure.least <= at(steps) <= measure.most else None


def _value_works(measure: Measure, value: Fraction, direction: int) -> Note:
    key, label = measure.key, LABELS[measure.key]
    more = "or more" if direction > 0 else "or less"
    return Note(f"{key}_works", f"It would work with a {label} of {{{key}}} {more}.", {key: value})
