"""Laws that hold for every conduit, bender, bend and angle, against independent mathematics."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction as F

import mpmath
import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import assume, given, reject, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bench.core.bender import Bender, Setup
from bench.core.bends import work_out
from bench.core.bends.base import Bending
from bench.core.bends.catalogue import SINGLE
from bench.core.bends.layout import possible
from bench.core.bends.slope import slope
from bench.core.given import Given, Number
from bench.core.inverse import arc_start, mark_for
from bench.core.notes import BenchError
from bench.core.path import Arc, build_path
from bench.core.plan import Hook, Method, Plan, Reference
from bench.core.simulate import simulate
from tests.examples import examples
from tests.known import known
from tests.strategies import SETUPS, angles, jobs, lengths, setups

Frame = npt.NDArray[np.float64]
PLENTY = settings(max_examples=examples(60), deadline=None)


def plan_or_skip(
    kind: str, measures: Mapping[str, Number], setup: Setup, method: Method = Method.TRUE
) -> Plan:
    try:
        return work_out(kind, measures, setup, method)
    except BenchError:
        reject()


@PLENTY
@given(jobs(), setups())
def test_simulated_true_marks_give_the_measures_back(
    job: tuple[str, dict[str, F | float]], setup: Setup
) -> None:
    """Within what rounding each mark by half a sixteenth can do."""
    kind, measures = job
    finished = plan_or_skip(kind, measures, setup).chosen.finished
    wanted = measures.get("rise", measures.get("height"))
    if wanted is not None:
        assert finished.rise == pytest.approx(float(wanted), abs=1 / 16)
    if kind == "saddle3":
        assert finished.crown_at == pytest.approx(float(measures["to_center"]), abs=0.2)
        assert known(finished.legs_out_of_line) < 1 / 8
    if kind == "back-to-back":
        assert finished.end_to_end == pytest.approx(float(measures["distance"]), abs=1 / 32)
    assert finished.dogleg == pytest.approx(0, abs=1e-9)
    assert (finished.legs_out_of_parallel or 0) == pytest.approx(0, abs=1e-9)


@PLENTY
@given(jobs(), setups(), st.floats(0.6, 40.0))
def test_exact_marks_are_exact_at_any_scale(
    job: tuple[str, dict[str, F | float]], setup: Setup, factor: float
) -> None:
    """Scale invariance: every length times a factor, every mark times it."""
    kind, measures = job
    small = _exact(kind, measures, setup)
    grown = {key: value * F(factor) if isinstance(value, F) else value for key, value in measures.items()}
    bender = setup.bender
    large_bender = replace(
        bender,
        **{key: getattr(bender, key) * F(factor) for key in ("take_up", "gain", "od", "grip", "foot")},
    )
    large = _exact(
        kind,
        grown,
        Setup(
            replace(setup.conduit, od=setup.conduit.od * F(factor)),
            large_bender,
            setup.trade,
            setup.scale * F(factor),
            setup.stick_length * F(factor),
        ),
    )
    for here, there in zip(small, large, strict=True):
        assert float(there.at) == pytest.approx(float(here.at) * factor, rel=1e-9, abs=1e-6)


@PLENTY
@given(lengths(120, 180), lengths(4, 20), st.sampled_from([17.0, 20.0, 25.0, 35.0, 50.0]))
def test_book_is_true_for_a_bender_of_no_size(distance: F, rise: F, angle: float) -> None:
    """As R and b go to zero the two methods agree, at untaught angles where the book's ratios are exact."""
    tiny = Bender("tiny", F(2, 10**5), F(1, 10**5), F(1, 10**5) / 3, grip=F(0), foot=F(0))
    setup = replace(SETUPS[0], bender=tiny, scale=F(1, 10**6), stick_length=F(400))
    for kind, key in (("offset", "distance"), ("saddle3", "to_center"), ("kick", "distance")):
        height = "height" if kind == "saddle3" else "rise"
        measures = Given({key: distance, height: rise, "angle": min(angle, 44.0)})
        true, book = (work_out(kind, measures, setup, method) for method in (Method.TRUE, Method.BOOK))
        for here, there in zip(true.marks, book.marks, strict=True):
            assert float(here.at) == pytest.approx(float(there.at), abs=1e-3)


@PLENTY
@given(lengths(100, 200), angles(90.0), st.sampled_from(list(Reference)), setups())
def test_marks_mirror_when_the_tape_hooks_on_the_other_end(
    start: F, angle: float, reference: Reference, setup: Setup
) -> None:
    bender, length = setup.bender, 400.0
    here = mark_for(float(start), reference, Hook.TAPE_END, angle, bender)
    other = length - float(start) - bender.arc(angle)
    there = mark_for(other, reference, Hook.AWAY, angle, bender)
    assert here == pytest.approx(length - there)
    assert arc_start(here, reference, Hook.TAPE_END, angle, bender) == pytest.approx(float(start))


@PLENTY
@given(lengths(120, 180), lengths(1, 10), angles(40.0), setups(), st.sampled_from(list(Method)))
def test_saddles_are_symmetric(middle: F, height: F, angle: float, setup: Setup, method: Method) -> None:
    """Three points: outer marks equally far from the arc's middle; four: the pairs mirror each other."""
    three = _exact("saddle3", {"to_center": middle, "height": height, "angle": angle}, setup, method)
    center_bend, near, far = sorted(three, key=lambda bending: bending.order)
    center = float(center_bend.at)
    if method is Method.TRUE:
        path = simulate(three, setup.bender, 400.0)
        arc = path.arcs[1]
        center = (arc.start + arc.end(path.radius)) / 2
    assert center - float(near.at) == pytest.approx(float(far.at) - center)
    four = _exact(
        "saddle4", {"to_edge": middle, "height": height, "width": F(6), "angle": angle}, setup, method
    )
    second, first, third, fourth = (float(b.at) for b in sorted(four, key=lambda bending: bending.order))
    assert second - first == pytest.approx(fourth - third)


@PLENTY
@given(st.floats(2, 40), st.floats(5, 80), st.floats(0.5, 12))
def test_shrink_and_gain_against_mpmath(rise: float, angle: float, radius: float) -> None:
    """Closed forms at 40 digits: used - run, by the tangent lengths of horizontal curves."""
    assume(rise > 2 * radius * (1 - math.cos(math.radians(angle))) + 1e-6)
    curve = slope(rise, angle, radius)
    with mpmath.workdps(40):
        theta = mpmath.radians(mpmath.mpf(angle))
        gain = 2 * radius * mpmath.tan(theta / 2) - radius * theta
        shrink = rise * mpmath.tan(theta / 2) - 2 * gain
        run = rise / mpmath.tan(theta) + 2 * radius * mpmath.tan(theta / 2)
    assert curve.shrink == pytest.approx(float(shrink), abs=1e-9)
    assert curve.run == pytest.approx(float(run), rel=1e-9)


@settings(max_examples=examples(15), deadline=None)
@given(st.lists(st.tuples(st.floats(1, 10), angles(90.0), st.floats(0, 360)), min_size=1, max_size=4))
def test_path_against_integrated_curvature(bends: list[tuple[float, float, float]]) -> None:
    """The moving frame of the curve, integrated piece by piece by scipy, ends where the path ends."""
    radius, at = 4.0, 0.0
    arcs: list[Arc] = []
    for straight, angle, roll in bends:
        arcs.append(Arc(at + straight, angle, roll))
        at = arcs[-1].end(radius)
    path = build_path(arcs, radius, at + 5)
    state = np.array([0.0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1])
    here = 0.0
    for arc in arcs:
        state = _integrated(state, arc.start - here, 0.0, 0.0)
        state = _integrated(state, arc.length(radius), 1 / radius, math.radians(arc.roll))
        here = arc.end(radius)
    state = _integrated(state, path.length - here, 0.0, 0.0)
    assert path.point(path.length) == pytest.approx(tuple(state[:3]), abs=1e-5)


def _integrated(state: Frame, length: float, curvature: float, roll: float) -> Frame:
    """Parallel-transport frame t, u, v with curvature towards u cos roll + v sin roll."""

    def change(_: float, y: Frame) -> Frame:
        t, u, v = y[3:6], y[6:9], y[9:12]
        k1, k2 = curvature * math.cos(roll), curvature * math.sin(roll)
        return np.concatenate([t, k1 * u + k2 * v, -k1 * t, -k2 * t])

    end: Frame = solve_ivp(change, (0, length), state, rtol=1e-9, atol=1e-10).y[:, -1]
    return end


def _exact(
    kind: str, measures: Mapping[str, Number], setup: Setup, method: Method = Method.TRUE
) -> tuple[Bending, ...]:
    try:
        return possible(SINGLE[kind], method, Given(measures), setup)[0]
    except BenchError:
        reject()
