"""What to measure on a finished bend, what it should be, and what a fault that was seen would measure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bench.core.as_bent import Shape
from bench.core.bender import Setup
from bench.core.bends.catalogue import SINGLE
from bench.core.gauges import Gauge, along, along_text
from bench.core.given import Number
from bench.core.lengths import half_degrees, round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Plan, Quantity

LENGTH_TOLERANCE = Fraction(1, 8)
"""Usually accepted on a hand-bent stub or offset; common practice, no source."""
LEG_TOLERANCE = Fraction(1, 4)
"""The same two feet along a leg, a little over half a degree; common practice, no source."""
ANGLE_TOLERANCE = 1.0
"""Degrees a bend may be off; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to measure after the bend.

    `note` says how and what it should be. `planned` and `tolerance` are lengths (Fraction) or degrees
    (float), as `quantity` says; `least` and `most` are what is plausible to find. `level` is the lean in
    degrees that a level laid on the leg should show, None where no level is used.
    """

    key: str
    note: Note
    planned: Fraction | float
    tolerance: Fraction | float
    quantity: Quantity
    least: Fraction
    most: Fraction
    level: float | None = None

    def within(self, found: Number) -> bool:
        """Whether it is plausible to find this; a leg may lean either way."""
        size = -found if found < 0 and self.level is not None else found
        return self.least <= size <= self.most


def checks(plan: Plan, setup: Setup) -> tuple[Check, ...]:
    """What to measure on a finished bend, in order."""
    shape = Shape.planned(plan, setup)
    return tuple(_check(gauge, plan, setup, shape) for gauge in gauges(plan) if gauge.routine)


def gauges(plan: Plan) -> tuple[Gauge, ...]:
    """What to measure on this bend, in the order to ask."""
    return SINGLE[plan.inner].gauges_for(plan.inputs)


def faults(plan: Plan) -> tuple[str, ...]:
    """What can be found wrong with this bend, as `observe` takes it."""
    known = {gauge.key for gauge in gauges(plan)}
    return tuple(fault for fault, (keys, _) in _FAULTS.items() if known.intersection(keys))


def observe(plan: Plan, setup: Setup, fault: str, amount: Number) -> dict[str, Number]:
    """What would be measured when `fault` is found by `amount` (a length, or degrees as a float).

    Faults: too_high, too_low, too_long, too_short, crown_early, crown_late, legs_off, dogleg, daylight_left
    (under the tape leg), daylight_right (under the far leg), over_bent and under_bent (by degrees).
    Raises BenchError for one that this bend does not have.
    """
    keys, sign = _FAULTS.get(fault, ((), 1))
    known = {gauge.key: gauge for gauge in gauges(plan)}
    gauge = next((known[key] for key in keys if key in known), None)
    if gauge is None:
        raise unknown_check(fault, plan)
    off = (
        Fraction(along(setup) * math.sin(math.radians(amount)))
        if isinstance(amount, float) and not gauge.degrees
        else amount
    )
    planned = planned_reading(gauge, plan, setup, Shape.planned(plan, setup))
    return {gauge.key: planned + sign * off}


_FAULTS: dict[str, tuple[tuple[str, ...], int]] = {
    "too_high": (("rise",), 1),
    "too_low": (("rise",), -1),
    "too_long": (("distance", "rise"), 1),
    "too_short": (("distance", "rise"), -1),
    "crown_early": (("crown_at",), -1),
    "crown_late": (("crown_at",), 1),
    "legs_off": (("far_leg",), 1),
    "leg_up": (("far_leg",), 1),
    "leg_down": (("far_leg",), -1),
    "dogleg": (("dogleg",), 1),
    "over_bent": (("first_square", "square", "angle"), 1),
    "under_bent": (("first_square", "square", "angle"), -1),
    "daylight_left": (("tape_leg",), 1),
    "daylight_right": (("far_leg",), 1),
}


def _check(gauge: Gauge, plan: Plan, setup: Setup, shape: Shape) -> Check:
    planned = planned_reading(gauge, plan, setup, shape)
    around = Fraction(20) if gauge.degrees else Fraction(12)
    least = max(Fraction(0), Fraction(planned) - around)
    return Check(
        key=gauge.key,
        note=Note(
            f"check_{gauge.key}", gauge.says.replace("{along}", along_text(setup)), {"planned": planned}
        ),
        planned=planned,
        tolerance=tolerance_of(gauge),
        quantity=Quantity.ANGLE if gauge.degrees else Quantity.LENGTH,
        least=least,
        most=Fraction(planned) + around,
        level=gauge.level,
    )


def planned_reading(gauge: Gauge, plan: Plan, setup: Setup, shape: Shape) -> Fraction | float:
    """What was asked for; where nothing was, what the simulated marks make, on the tape's scale."""
    asked = next((plan.inputs[key] for key in gauge.asked if key in plan.inputs), None)
    value = shape.read([gauge])[0] if asked is None else asked
    if gauge.degrees:
        return half_degrees(float(value))
    return round_to(abs(Fraction(value)) if gauge.level is not None else Fraction(value), setup.scale)


def tolerance_of(gauge: Gauge) -> Fraction | float:
    """How far a reading may be off: inches, or degrees."""
    if gauge.degrees:
        return ANGLE_TOLERANCE
    if gauge.tolerance is not None:
        return gauge.tolerance
    return LENGTH_TOLERANCE if gauge.level is None else LEG_TOLERANCE


def unknown_check(key: str, plan: Plan) -> BenchError:
    values: dict[str, Value] = {"check": key.replace("_", " "), "bend": plan.bend}
    keys = ", ".join(gauge.key.replace("_", " ") for gauge in gauges(plan))
    return BenchError(
        Note("check_unknown", "There is no {check} to check on a {bend}.", values),
        Note("check_known", "Give one of: {keys}.", {"keys": keys}),
    )
