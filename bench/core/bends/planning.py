"""One bend from its measures to a plan that has been simulated before anyone hears of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.advice import advice, warnings
from bench.core.bends.base import Bend, Given
from bench.core.bends.catalogue import BENDS, SINGLE
from bench.core.bends.layout import lay_out, neighbours
from bench.core.bends.parallel import Parallel
from bench.core.bends.remedy import remedied
from bench.core.bends.words import LABELS, NAMES
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
    if kind not in BENDS:
        raise BenchError(
            Note("bend_unknown", "There is no bend called {bend}.", {"bend": kind}),
            Note("bend_known", "The bends are {bends}.", {"bends": ", ".join(BENDS)}),
        )
    return _work_out(BENDS[kind], measures, setup, method)


def work_out_rack(
    inner: str, measures: Mapping[str, Fraction | float | int], setup: Setup, method: Method = Method.TRUE
) -> Plan:
    """As `work_out` for a rack of any single bend; `measures` with `spacing` and `count`."""
    if inner not in SINGLE:
        raise BenchError(
            Note("bend_unknown", "There is no rack of {bend}.", {"bend": inner}),
            Note("bend_known", "The bends are {bends}.", {"bends": ", ".join(SINGLE)}),
        )
    return _work_out(Parallel(SINGLE[inner]), measures, setup, method)


def _work_out(
    bend: Bend, measures: Mapping[str, Fraction | float | int], setup: Setup, method: Method
) -> Plan:
    given = checked(bend, measures)
    if not bend.angles or "angle" in given:
        return _plan_or_remedy(bend, given, setup, method, asked="angle" in given)
    for degrees in bend.angles:
        try:
            return _plan(bend, {**given, "angle": degrees}, setup, method, asked=False)
        except BenchError:
            continue
    return _plan_or_remedy(bend, {**given, "angle": _best_try(bend)}, setup, method, asked=False)


def checked(bend: Bend, measures: Mapping[str, Fraction | float | int]) -> dict[str, Fraction | float | int]:
    """The measures in their own types, each present and in range. Raises BenchError."""
    known = {measure.key: measure for measure in (*bend.measures, *bend.extras)}
    name = NAMES[bend.key]
    for key in measures:
        if key not in known:
            raise BenchError(
                Note("measure_unknown", "The {bend} has no {measure}.", {"bend": name, "measure": key}),
                Note("measure_known", "It takes {measures}.", {"measures": ", ".join(known)}),
            )
    for measure in known.values():
        if not measure.optional and measure.key not in measures:
            values = {"bend": name, "measure": LABELS[measure.key]}
            raise BenchError(
                Note("measure_missing", "The {bend} needs its {measure}.", values),
                Note("measure_give", "Give the {measure}.", values),
            )
    return {key: _in_range(value, known[key]) for key, value in measures.items()}


def _plan_or_remedy(bend: Bend, given: Given, setup: Setup, method: Method, asked: bool) -> Plan:
    try:
        return _plan(bend, given, setup, method, asked)
    except BenchError as error:
        asked = asked or not bend.angles
        raise remedied(error, bend, given, setup, method, asked) from None


def _plan(bend: Bend, given: Given, setup: Setup, method: Method, asked: bool) -> Plan:
    bend.check(given, setup)
    laid = lay_out(bend, method, given, setup)
    rack = neighbours(bend, laid, given, setup)
    other = _other(bend, method, given, setup)
    shrink = bend.shrink(laid.exact, given, setup, method)
    cut = bend.cut(given, setup, shrink)
    return Plan(
        bend=bend.key,
        inputs=dict(given),
        chosen=laid.layout,
        other=other,
        shrink=shrink,
        gain=bend.gain(laid.exact, given, setup),
        developed=bend.developed(laid.exact),
        total_degrees=sum(mark.bend for mark in laid.layout.marks),
        advice=advice(bend, given, laid, other, setup, asked),
        warnings=warnings(bend, given, laid, setup),
        cut=None if cut is None else round_to(cut, setup.scale),
        rack=rack,
    )


def _other(bend: Bend, method: Method, given: Given, setup: Setup) -> Layout | None:
    """The layout by the other method, where it can be made."""
    other = Method.TRUE if method is Method.BOOK else Method.BOOK
    try:
        return lay_out(bend, other, given, setup).layout
    except BenchError:
        return None


def _best_try(bend: Bend) -> float:
    """The angle whose error is told when none works: the first."""
    return bend.angles[0]


def _in_range(value: Fraction | float | int, measure: Measure) -> Fraction | float | int:
    label = LABELS[measure.key]
    limits = {"least": _typed(measure.least, measure), "most": _typed(measure.most, measure)}
    between = Note("measure_range", "It must lie between {least} and {most}.", limits)
    if not math.isfinite(value):
        raise BenchError(
            Note("measure_not_a_number", "The {measure} is no number.", {"measure": label}), between
        )
    if not measure.least <= value <= measure.most:
        values = {"measure": label, "value": _typed(value, measure)}
        raise BenchError(
            Note("measure_out_of_range", "A {measure} of {value} is not plausible.", values), between
        )
    return _typed(value, measure)


def _typed(value: Fraction | float | int, measure: Measure) -> Fraction | float | int:
    if measure.quantity is Quantity.LENGTH:
        return Fraction(value)
    return float(value) if measure.quantity is Quantity.ANGLE else int(value)
