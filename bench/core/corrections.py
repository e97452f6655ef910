"""After the bend: from what was measured (`checks.py`) which bend to open or close, or to make it again.

The readings are explained by the most likely errors of hand (`as_bent.py`). The correction is the change of the fewest
bends that makes every reading right (`cure.py`). Both use the simulation that made the plan. For an offset
too high this is dH/dtheta = S cos(theta) + R sin(theta) for both bends together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bench.core.as_bent import Shape, likeliest
from bench.core.bender import Setup
from bench.core.checks import gauges, planned_reading, tolerance_of, unknown_check
from bench.core.cure import Cure, Goal, cure
from bench.core.gauges import Gauge
from bench.core.given import Number
from bench.core.lengths import Units, angle_text, text
from bench.core.notes import Note, Value
from bench.core.plan import Plan

_AS_IT_IS = 2.0
"""Tolerances a bend may be off by and is left so when no change of half a degree brings it nearer: what a quarter of
a degree moves on a long slope. Common practice, no source."""
_PLACE = 0.25
"""Inches that a place along the conduit may be off before a change that spares it is preferred."""
_JUST_UNDER = 0.99
"""Tolerances within which what can be bent fits: what reads just at the limit is as likely over it as under it."""


class Verdict(StrEnum):
    """What to do about what was found."""

    FITS = "fits"
    BEND = "bend"
    TRIM = "trim"
    MOVE = "move"
    REMAKE = "remake"


@dataclass(frozen=True, slots=True)
class Tweak:
    """One bend to correct: `mark` counts from the tape end; `close` is degrees to bend further (negative: open),
    `turn` degrees to turn it back about the conduit against the lean."""

    mark: int
    close: float = 0.0
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Correction:
    """What to do, and what will then be measured: `predicted` by key of the check, from simulating the corrected bend.

    `trim` is inches to cut off the tape end; negative: to move the bend out. `notes` say it all, the most
    important first.
    """

    verdict: Verdict
    tweaks: tuple[Tweak, ...]
    trim: Fraction | None
    predicted: Mapping[str, float]
    notes: tuple[Note, ...]

    def headline(self, units: Units = Units.INCH) -> str:
        """The one thing to show huge: the largest change of angle, the length to cut, or the verdict."""
        if self.trim is not None:
            return text(abs(self.trim), units)
        if self.verdict is Verdict.BEND:
            return angle_text(max(max(abs(tweak.close), abs(tweak.turn)) for tweak in self.tweaks))
        return "FITS" if self.verdict is Verdict.FITS else "REMAKE"


def correct(plan: Plan, setup: Setup, observed: Mapping[str, Number]) -> Correction:
    """What to do about what was measured, by key of the check. Raises BenchError for an unknown key.

    All that is known counts: readings that fit as well as those that do not.
    """
    known = {gauge.key: gauge for gauge in gauges(plan)}
    for key in observed:
        if key not in known:
            raise unknown_check(key, plan)
    shape = Shape.planned(plan, setup)
    wanted = {key: planned_reading(known[key], plan, setup, shape) for key in observed}
    left = {
        key: abs(float(observed[key] - wanted[key])) / float(tolerance_of(known[key])) for key in observed
    }
    off = [key for key in observed if left[key] > _limit(known[key])]
    if not off:
        return _fits([known[key] for key in observed], observed)
    bendable = [key for key in off if known[key].bends or known[key].turns]
    if not bendable:
        return _cut_or_remake(known[off[0]], observed[off[0]], wanted[off[0]])
    read = [known[key] for key in observed]
    found = likeliest(plan, setup, read, [float(observed[gauge.key]) for gauge in read])
    closing = bool(known[bendable[0]].bends)
    goals = _goals(plan, found, closing, wanted)
    modes = known[bendable[0]].bends or known[bendable[0]].turns
    parts = modes(len(plan.marks)) if modes else ()
    place = _place(plan, found, wanted) if closing else []
    mended = (cure(found, [*goals, *place], closing, parts) if place else None) or cure(
        found, goals, closing, parts
    )
    key = bendable[0]
    if mended is not None:
        return _mend(mended, known[key], read, wanted)
    if max(left[one] for one in off) <= _AS_IT_IS and not known[key].trims:
        return _as_it_is(observed)
    return _cut_or_remake(known[key], observed[key], wanted[key]) if known[key].trims else _too_far()


def _goals(plan: Plan, found: Shape, closing: bool, wanted: Mapping[str, Fraction | float]) -> list[Goal]:
    """What was read is to come right. What was not is to stay right where it is likely to be right, and otherwise to
    become no more than twice as wrong."""
    able = [gauge for gauge in gauges(plan) if (gauge.bends if closing else gauge.turns)]
    read = [
        Goal(gauge, float(wanted[gauge.key]), float(tolerance_of(gauge)))
        for gauge in able
        if gauge.key in wanted
    ]
    rest = [gauge for gauge in able if gauge.routine and gauge.key not in wanted]
    likely = zip(rest, found.read(rest), Shape.planned(plan, found.setup).read(rest), strict=True)
    stay = []
    for gauge, value, planned in likely:
        tolerance, off = float(tolerance_of(gauge)), abs(value - planned)
        right = off <= tolerance / 2
        stay.append(Goal(gauge, value, tolerance) if right else Goal(gauge, planned, 2 * max(tolerance, off)))
    return [*read, *stay]


def _place(plan: Plan, found: Shape, wanted: Mapping[str, Fraction | float]) -> list[Goal]:
    """A place along the conduit that is likely to be near enough is to stay so, where a change can be found that leaves
    it: bending does not bring it back."""
    along = [
        gauge
        for gauge in gauges(plan)
        if gauge.trims and gauge.routine and not gauge.bends and gauge.key not in wanted
    ]
    likely = zip(along, found.read(along), Shape.planned(plan, found.setup).read(along), strict=True)
    return [
        Goal(gauge, planned if abs(value - planned) < _PLACE else value, _PLACE)
        for gauge, value, planned in likely
    ]


def _limit(gauge: Gauge) -> float:
    """Tolerances within which it fits. At the limit itself only bending is worth the work, and not for a leg, which
    bends that correct the height move by as much."""
    return _JUST_UNDER if gauge.bends and gauge.level is None else 1.0


def _fits(found: list[Gauge], observed: Mapping[str, Number]) -> Correction:
    tolerance = tolerance_of(found[0])
    note = Note("fits", "Within {tolerance}. It fits.", {"tolerance": tolerance})
    return Correction(Verdict.FITS, (), None, {key: float(value) for key, value in observed.items()}, (note,))


def _as_it_is(observed: Mapping[str, Number]) -> Correction:
    """No change that a person can hold comes nearer: half a degree is more than what it is off by."""
    note = Note("as_near_as_it_comes", "It is as near as bending brings it. Leave it so.")
    return Correction(Verdict.FITS, (), None, {key: float(value) for key, value in observed.items()}, (note,))


def _cut_or_remake(gauge: Gauge, found: Number, wanted: Fraction | float) -> Correction:
    """A place along the conduit cannot be bent right: cut when too long, else move it or make it again."""
    over = Fraction(found) - Fraction(wanted)
    if gauge.trims and over > 0:
        note = Note("trim", "Cut {trim} off the tape end, and ream it.", {"trim": over})
        return Correction(Verdict.TRIM, (), over, {gauge.key: float(wanted)}, (note,))
    short: dict[str, Value] = {"off": abs(over)}
    if gauge.trims:
        template = "It is {off} short. Move it out if the fitting allows, else make it again."
        return Correction(Verdict.MOVE, (), over, {}, (Note("remake_short", template, short),))
    return _remake(
        Note("remake_place", "It is {off} off, and bending cannot correct that. Make it again.", short)
    )


def _remake(note: Note) -> Correction:
    return Correction(Verdict.REMAKE, (), None, {}, (note,))


def _too_far() -> Correction:
    return _remake(Note("remake_too_far", "That is too far off to correct. Make it again."))


def _mend(
    cured: Cure, first: Gauge, read: Sequence[Gauge], wanted: Mapping[str, Fraction | float]
) -> Correction:
    """What to change, and what will then be measured."""
    changes = tuple(
        Tweak(mark, change if cured.closing else 0.0, 0.0 if cured.closing else change)
        for mark, change in enumerate(cured.changes, start=1)
        if change
    )
    predicted = {gauge.key: value for gauge, value in zip(read, cured.shape.read(read), strict=True)}
    then = Note("then_measures", "Then it should measure {value}.", {"value": wanted[first.key]})
    notes = (*_say_all(changes, len(cured.changes)), then)
    return Correction(Verdict.BEND, changes, None, predicted, notes)


def _say_all(tweaks: tuple[Tweak, ...], bends: int) -> tuple[Note, ...]:
    """One sentence when every bend is changed alike, else one a bend."""
    close = tweaks[0].close
    if len(tweaks) < 2 or len(tweaks) < bends or any(tweak.close != close or tweak.turn for tweak in tweaks):
        return tuple(map(_say, tweaks))
    values: dict[str, Value] = {"angle": abs(close)}
    if bends == 2:
        return (Note("both_bends", f"{'Close' if close > 0 else 'Open'} both bends by {{angle}}.", values),)
    return (Note("each_bend", f"{'Close' if close > 0 else 'Open'} each bend by {{angle}}.", values),)


def _say(tweak: Tweak) -> Note:
    if tweak.turn:
        values: dict[str, Value] = {"mark": tweak.mark, "angle": abs(tweak.turn)}
        return Note("turn_back", "Shoe on mark {mark}. Turn the conduit {angle} against the lean.", values)
    values = {"mark": tweak.mark, "angle": abs(tweak.close)}
    if tweak.close > 0:
        return Note("close_bend", "Close the bend at mark {mark} by {angle}.", values)
    return Note("open_bend", "Open the bend at mark {mark} by {angle}.", values)
