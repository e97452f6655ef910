"""One bend from its measures to a plan that has been simulated before anyone hears of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Protocol

from bench.core.bender import Setup
from bench.core.bends.advice import advice, warnings
from bench.core.bends.base import Bend, LaidOut
from bench.core.bends.catalogue import BENDS, SINGLE
from bench.core.bends.layout import (
    Neighbor,
    in_way,
    laid_out,
    lay_out,
    neighbor,
    neighbors,
    without_obstruction,
)
from bench.core.bends.rack import Rack, of_bend
from bench.core.bends.remedy import Asked, remedied
from bench.core.feasible import check_possible
from bench.core.given import Given, Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note
from bench.core.plan import Hook, Layout, Mark, Measure, Method, Plan, Reference


class Asks(Protocol):
    """Anything with measures of its own: a bend, a rack, something measured on site."""

    @property
    def name(self) -> str: ...
    @property
    def measures(self) -> tuple[Measure, ...]: ...
    @property
    def extras(self) -> tuple[Measure, ...]: ...


def work_out(kind: str, measures: Mapping[str, Number], setup: Setup, method: Method = Method.TRUE) -> Plan:
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
    inner: str, measures: Mapping[str, Number], setup: Setup, method: Method = Method.TRUE
) -> Plan:
    """As `work_out` for a rack of any single bend; `measures` with `spacing` and `count`."""
    if inner not in SINGLE:
        raise BenchError(
            Note("bend_unknown", "There is no rack of {bend}.", {"bend": inner}),
            Note("bend_known", "The bends are {bends}.", {"bends": ", ".join(SINGLE)}),
        )
    return _work_out(Rack(SINGLE[inner]), measures, setup, method)


def neighbor_of(plan: Plan, setup: Setup, out: float, ahead: float = 0.0) -> Plan:
    """The plan of the conduit that lies `out` inches outside this plan's, in the plane of its bends.

    It has its own measures (a stub of 12 with its neighbor 2 outside is a stub of 14), marks, readings and
    cut. Negative `out` lies inside. `ahead` is how much farther back its measures start, inches: 0 but behind a
    90 on the same stick. Raises BenchError when it cannot be made.
    """
    bend = SINGLE[plan.inner]
    laid = lay_out(bend, plan.chosen.method, of_bend(plan.inputs), setup)
    next_one = neighbor(bend, plan.chosen.method, laid.bends, of_bend(plan.inputs), setup, out, ahead)
    check_possible(next_one.marks, setup, bend.taken(of_bend(plan.inputs), setup))
    return _neighbor_plan(bend, next_one, setup, plan.chosen.method)


def held_otherwise(plan: Plan, setup: Setup) -> Iterator[Plan]:
    """The same bend in its other ways to make it, best first: the hook turned round, another bend first."""
    bend, given, method = SINGLE[plan.inner], of_bend(plan.inputs), plan.chosen.method
    for way in bend.ways_for(method):
        try:
            bends, marks = in_way(bend, method, given, setup, way)
        except BenchError:
            continue
        if _holds(marks) != _holds(plan.marks):
            laid = laid_out(bend, method, given, setup, bends, marks)
            yield replace(
                plan,
                chosen=laid.layout,
                advice=advice(bend, given, laid, plan.other, setup, asked=False),
                warnings=warnings(bend, given, laid, setup),
            )


def at_another_angle(plan: Plan, setup: Setup) -> Iterator[Plan]:
    """The same bend at its other angles that can be made, in the order they are tried."""
    bend = SINGLE[plan.inner]
    asked = Rack(bend) if plan.bend != plan.inner else bend
    for degrees in bend.angles:
        if degrees == plan.inputs.get("angle"):
            continue
        try:
            yield _plan(asked, plan.inputs.with_(angle=degrees), setup, plan.chosen.method, chosen=True)
        except BenchError:
            continue


def _holds(marks: Sequence[Mark]) -> list[tuple[Reference, Hook, int]]:
    return [(mark.reference, mark.hook, mark.order) for mark in marks]


def _work_out(asked: Bend | Rack, measures: Mapping[str, Number], setup: Setup, method: Method) -> Plan:
    given = checked(asked, measures)
    bend = asked.inner if isinstance(asked, Rack) else asked
    if not bend.angles or "angle" in given:
        return _plan_or_remedy(asked, given, setup, method, chosen="angle" in given)
    for degrees, well in [(degrees, well) for well in (True, False) for degrees in bend.angles]:
        try:
            return _plan(asked, given.with_(angle=degrees), setup, method, chosen=False, well=well)
        except BenchError:
            continue
    return _plan_or_remedy(asked, given.with_(angle=bend.angles[0]), setup, method, chosen=False)


def checked(bend: Asks, measures: Mapping[str, Number]) -> Given:
    """The measures in their own types, each present and in range. Raises BenchError."""
    known = {measure.key: measure for measure in (*bend.measures, *bend.extras)}
    for key in measures:
        if key not in known:
            raise BenchError(
                Note("measure_unknown", "The {bend} has no {measure}.", {"bend": bend.name, "measure": key}),
                Note("measure_known", "It takes {measures}.", {"measures": ", ".join(known)}),
            )
    for measure in known.values():
        if not measure.optional and measure.key not in measures:
            values = {"bend": bend.name, "measure": measure.label}
            raise BenchError(
                Note("measure_missing", "The {bend} needs its {measure}.", values),
                Note("measure_give", "Give the {measure}.", values),
            )
    return Given({key: _in_range(value, known[key]) for key, value in measures.items()})


def _plan_or_remedy(asked: Bend | Rack, given: Given, setup: Setup, method: Method, chosen: bool) -> Plan:
    """`chosen` tells that the person chose the angle: then it stays while other measures are tried."""
    try:
        return _plan(asked, given, setup, method, chosen)
    except BenchError as error:
        bend, distances = _parts(asked, given)
        tried = Asked(bend, setup, method, distances, () if chosen else bend.angles)
        raise remedied(error, tried, of_bend(given)) from None


def _parts(asked: Bend | Rack, given: Given) -> tuple[Bend, tuple[float, ...]]:
    """The bend itself, and how far outside it its neighbors lie."""
    return (asked.inner, asked.distances(given)) if isinstance(asked, Rack) else (asked, ())


def _plan(
    asked: Bend | Rack, given: Given, setup: Setup, method: Method, chosen: bool, well: bool = False
) -> Plan:
    bend, distances = _parts(asked, given)
    own = of_bend(given)
    bend.check(own, setup)
    laid = lay_out(bend, method, own, setup, distances, well)
    further = tuple(neighbors(bend, method, laid.bends, own, setup, distances))
    other = _other(bend, method, own, setup)
    return replace(
        _made(asked.key, bend, given, setup, laid),
        other=other,
        advice=advice(bend, own, laid, other, setup, chosen) + _how_spread(asked, distances),
        warnings=warnings(bend, own, laid, setup),
        rack=tuple(_neighbor_plan(bend, each, setup, method) for each in further),
    )


def _made(kind: str, bend: Bend, given: Given, setup: Setup, laid: LaidOut) -> Plan:
    """The plan of a bend that is laid out, without advice."""
    own = of_bend(given)
    shrink = bend.shrink(laid.exact, own, setup, laid.layout.method)
    cut = bend.cut(own, setup, shrink, laid.exact)
    return Plan(
        bend=kind,
        inner=bend.key,
        inputs=given,
        chosen=laid.layout,
        other=None,
        shrink=shrink,
        gain=bend.gain(laid.exact, own, setup),
        developed=bend.developed(laid.exact),
        total_degrees=sum(mark.bend for mark in laid.layout.marks),
        advice=(),
        warnings=(),
        cut=None if cut is None else round_to(cut, setup.scale),
    )


def _neighbor_plan(bend: Bend, each: Neighbor, setup: Setup, method: Method) -> Plan:
    laid = laid_out(bend, method, each.given, setup, each.bends, each.marks)
    layout = Layout(method, each.marks, without_obstruction(laid.layout.finished))
    laid = LaidOut(layout, laid.bends, laid.exact, laid.path)
    return _made(bend.key, bend, each.given, setup, laid)


def _how_spread(asked: Bend | Rack, distances: tuple[float, ...]) -> tuple[Note, ...]:
    """For whom the marks of a rack move."""
    if not isinstance(asked, Rack) or not any(distances):
        return ()
    template = "The shift is for conduits spread in the plane of the bend. Side by side they need none."
    return (Note("rack_in_plane", template),)


def _other(bend: Bend, method: Method, given: Given, setup: Setup) -> Layout | None:
    """The layout by the other method, where it can be made."""
    try:
        return lay_out(bend, method.other, given, setup).layout
    except BenchError:
        return None


def _in_range(value: Number, measure: Measure) -> Number:
    limits = {"least": measure.typed(measure.least), "most": measure.typed(measure.most)}
    between = Note("measure_range", "It must lie between {least} and {most}.", limits)
    if not math.isfinite(value):
        template = "The {measure} must be a number."
        raise BenchError(Note("measure_not_a_number", template, {"measure": measure.label}), between)
    if not measure.allows(value):
        values = {"measure": measure.label, "value": measure.typed(value)}
        raise BenchError(
            Note("measure_out_of_range", "A {measure} of {value} is not plausible.", values), between
        )
    return measure.typed(value)
