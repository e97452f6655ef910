"""One bend from its measures to a plan that has been simulated before anyone hears of it."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.catalogue import BENDS
from bench.core.bends.base import Bend, Given
from bench.core.bends.layout import lay_out
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note
from bench.core.plan import Layout, Measure, Method, Plan, Quantity


def work_out(
    kind: str, measures: Mapping[str, Fraction | float | int], setup: Setup, method: Method = Method.TRUE
) -> Plan:
    """The plan for one bend: `measures` by key, lengths in inches, angles in degrees.

    Without an angle the first of the bend's own that can be made is used. Raises BenchError when a measure is
    missing or out of range, or the bend cannot be made; its remedy names what would work.
    """
    bend = BENDS[kind]
    given = checked(bend, measures)
    if bend.angles and "angle" not in given:
        return _with_some_angle(bend, given, setup, method)
    return plan_for(bend, given, setup, method)


def checked(bend: Bend, measures: Mapping[str, Fraction | float | int]) -> dict[str, Fraction | float | int]:
    """The measures in their own types, each present and in range. Raises BenchError."""
    known = {measure.key: measure for measure in (*bend.measures, *bend.extras)}
    for key in measures:
        if key not in known:
            raise BenchError(
                Note("measure_unknown", "A {bend} has no {measure}.", {"bend": bend.key, "measure": key}),
                Note("measure_known", "It takes {measures}.", {"measures": ", ".join(known)}),
            )
    for measure in known.values():
        if not measure.optional and measure.key not in measures:
            raise BenchError(
                Note(
                    "measure_missing",
                    "A {bend} needs its {measure}.",
                    {"bend": bend.key, "measure": measure.key},
                ),
                Note("measure_give", "Give the {measure}.", {"measure": measure.key}),
            )
    return {key: _in_range(value, known[key]) for key, value in measures.items()}


def plan_for(bend: Bend, given: Given, setup: Setup, method: Method) -> Plan:
    """The plan for measures that are complete. Raises BenchError without a tried remedy."""
    bend.check(given, setup)
    chosen, path = lay_out(bend, method, given, setup)
    shrink = bend.shrink(path, given, setup, method)
    cut = bend.cut(given, setup, shrink)
    return Plan(
        bend=bend.key,
        inputs=dict(given),
        chosen=chosen,
        other=_other(bend, method, given, setup),
        shrink=shrink,
        gain=bend.gain(path, given, setup),
        developed=bend.developed(path),
        total_degrees=sum(mark.bend for mark in chosen.marks),
        advice=(),
        warnings=(),
        cut=None if cut is None else round_to(cut, setup.scale),
    )


def _other(bend: Bend, method: Method, given: Given, setup: Setup) -> Layout | None:
    """The layout by the other method, where it can be made."""
    other = Method.TRUE if method is Method.BOOK else Method.BOOK
    try:
        return lay_out(bend, other, given, setup)[0]
    except BenchError:
        return None


def _with_some_angle(bend: Bend, given: Given, setup: Setup, method: Method) -> Plan:
    first: BenchError | None = None
    for degrees in bend.angles:
        try:
            return plan_for(bend, {**given, "angle": degrees}, setup, method)
        except BenchError as error:
            first = first or error
    raise first or AssertionError("a bend with angles has at least one")


def _in_range(value: Fraction | float | int, measure: Measure) -> Fraction | float | int:
    if not measure.least <= value <= measure.most:
        raise BenchError(
            Note(
                "measure_out_of_range",
                "A {measure} of {value} is not plausible.",
                {"measure": measure.key, "value": _typed(value, measure)},
            ),
            Note(
                "measure_range",
                "It must lie between {least} and {most}.",
                {"least": _typed(measure.least, measure), "most": _typed(measure.most, measure)},
            ),
        )
    return _typed(value, measure)


def _typed(value: Fraction | float | int, measure: Measure) -> Fraction | float | int:
    if measure.quantity is Quantity.LENGTH:
        return Fraction(value)
    return float(value) if measure.quantity is Quantity.ANGLE else int(value)
