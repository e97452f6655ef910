"""Marks of a bend rounded together: by simulation, nearer to the bend than each rounded alone."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.core.bends import work_out
from bench.core.bends.catalogue import SINGLE
from bench.core.lengths import angle_text, round_to
from bench.core.notes import BenchError
from bench.core.plan import Mark, Plan
from bench.core.simulate import simulate
from bench.core.stick import OnStick, lay_out
from bench.data import tables
from tests.examples import examples
from tests.known import known

HALF = replace(tables.setup(), stick_length=F(240))
KINDS = ("saddle3", "saddle4")


def legs(plan: Plan, marks: tuple[Mark, ...]) -> float:
    """How far the legs are out of line with these marks."""
    path = simulate(marks, HALF.bender, 240.0)
    return known(SINGLE[plan.inner].finished(path, plan.inputs, HALF).legs_out_of_line)


@settings(max_examples=examples(40), deadline=None)
@given(
    st.sampled_from(KINDS),
    st.integers(640, 1280),
    st.integers(16, 96),
    st.sampled_from([15.0, 22.5, 30.0, 45.0]),
)
def test_legs_are_in_line_to_half_a_division(kind: str, place: int, height: int, angle: float) -> None:
    where = {"to_center": F(place, 16)} if kind == "saddle3" else {"to_edge": F(place, 16), "width": F(7)}
    try:
        plan = work_out(kind, {**where, "height": F(height, 16), "angle": angle}, HALF)
    except BenchError:
        return
    alone = tuple(replace(mark, at=round_to(mark.place)) for mark in plan.marks)
    assert all(abs(mark.at - mark.place) < F(1, 16) and mark.at % F(1, 16) == 0 for mark in plan.marks)
    assert legs(plan, plan.marks) <= max(1 / 32, legs(plan, alone)) + 1e-9
    assert legs(plan, plan.marks) < 0.045


@pytest.mark.parametrize("ahead", [F(1, 3), F(7, 9), F(5, 11)])
def test_a_second_bend_on_the_stick_is_rounded_once(ahead: F) -> None:
    """From its exact places on the stick, not from its own rounded marks."""
    plan = work_out("saddle3", {"to_center": F(50), "height": F(3), "angle": 30.0}, HALF)
    stick = lay_out(HALF, [OnStick(plan, from_end=30 + ahead)])
    for mark, own in zip(stick.marks, plan.marks, strict=True):
        assert float(known(mark.exact)) == pytest.approx(float(own.place + 30 + ahead), abs=1e-9)
        assert abs(mark.at - known(mark.exact)) < F(1, 16)
    assert legs(plan, stick.marks) < 0.045


@pytest.mark.parametrize(
    ("degrees", "written"),
    [
        (0.5, "½°"),
        (22.5, "22½°"),
        (30.0, "30°"),
        (2.25, "2.25°"),
        (11.75, "11.75°"),
        (2.2, "2.2°"),
        (22.3, "22.3°"),
    ],
)
def test_angles_are_written_to_the_half_the_quarter_or_one_decimal(degrees: float, written: str) -> None:
    assert angle_text(degrees) == written
