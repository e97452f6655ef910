"""Match a bend that is there: its angle from two rises over a known run."""

from __future__ import annotations

import math
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.fittings import Fittings
from bench.core.given import Given, Number
from bench.core.lengths import half_degrees, round_to
from bench.core.notes import BenchError, Note, Value
from bench.core.site.base import Answer, Lead, LeadsTo, Site, length

_SHOE_WITHIN = 1.0
"""Degrees within which the angle is taken for one marked on the shoe (common practice, no source)."""
_READING = 1 / 32
"""Usual error of one reading of a tape, inches (common practice, no source)."""


def angle_between(low: Fraction, high: Fraction, run: Fraction) -> float:
    """The slope of a straight, degrees: its distance from a line is `low` and, `run` farther along the line, `high`.

    tan = (high - low) / run: a right triangle. `run` lies along the line, not along the pipe (that would be a sine).
    """
    return math.degrees(math.atan2(float(high - low), float(run)))


def angle_spread(angle: float, run: Fraction) -> float:
    """How far the angle is off when each rise is off by a thirty-second, degrees (root of the sum of squares)."""
    return math.degrees(math.sqrt(2) * _READING / float(run) * math.cos(math.radians(angle)) ** 2)


def angle_to_bend(angle: float, shoe_angles: tuple[float, ...]) -> float:
    """The angle to bend: the nearest mark of the shoe where one is within a degree, else the nearest half."""
    nearest = min(shoe_angles, key=lambda mark: abs(mark - angle), default=angle)
    if abs(nearest - angle) <= _SHOE_WITHIN:
        return nearest
    return half_degrees(angle)


class Match(Site):
    """`low` and `high` are the distances of the pipe from the wall, or from the line of its other leg, at two places
    on its slope `run` apart along the wall. `rise` is that of the whole offset, where there is one."""

    key = "match"
    name = "match"
    measures = (
        length("low", "first distance", "0", "120"),
        length("high", "second distance", "1/8", "240"),
        length("run", "distance between", "1", "240"),
        length("rise", "whole rise", "1/4", "60", optional=True),
    )

    def answer(self, given: Given, setup: Setup, fittings: Fittings) -> Answer:
        """The angle, and the offset that matches it."""
        near, far = sorted((given.length("low"), given.length("high")))
        run = given.length("run")
        if near == far:
            raise BenchError(
                Note(
                    "match_flat", "Both distances are {low}: there is no slope between them.", {"low": near}
                ),
                Note("match_on_slope", "Measure both on the sloping part, farther apart."),
            )
        measured = angle_between(near, far, run)
        bend = angle_to_bend(measured, setup.bender.shoe_angles)
        notes = [Note("match_angle", "The angle is {angle}.", {"angle": bend})]
        if abs(bend - measured) >= 0.05:
            notes.append(Note("match_measured", "Measured {angle}.", {"angle": round(measured, 1)}))
        spread = angle_spread(measured, run)
        if spread > _SHOE_WITHIN:
            longer: dict[str, Value] = {"angle": round(spread, 1), "run": _run_for(measured)}
            notes.append(
                Note("match_short_run", "Give or take {angle}: measure {run} apart or more.", longer)
            )
        measures: dict[str, Number] = {"angle": bend}
        if "rise" in given:
            measures["rise"] = given.length("rise")
        values: dict[str, Number] = {"angle": measured, "bend": bend, "spread": spread}
        return Answer(bend, tuple(notes), values, LeadsTo((Lead("offset", measures),)))


def _run_for(angle: float) -> Fraction:
    """The run over which the angle is within a degree."""
    return round_to(angle_spread(angle, Fraction(1)) / _SHOE_WITHIN + 0.5, Fraction(1))
