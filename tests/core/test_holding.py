"""No plan puts the arrow or the foot on a finished bend, or one arc on another."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction as F

import numpy as np
import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from bench.core.bender import Setup
from bench.core.bends import work_out, work_out_rack
from bench.core.given import Number
from bench.core.notes import BenchError
from bench.core.plan import Hook, Mark, Method, Plan
from bench.core.stick import OnStick, lay_out
from bench.data import tables
from tests.examples import examples
from tests.independent import shape
from tests.strategies import BEND_MEASURES, SETUPS, lengths

LOW = {
    "offset": {"distance": lengths(40, 80), "rise": st.integers(4, 48).map(lambda n: F(n, 16))},
    "rolling": {"distance": lengths(40, 80), "rise": lengths(1, 2), "roll": lengths(1, 2)},
    "saddle3": {"to_center": lengths(40, 80), "height": st.integers(4, 48).map(lambda n: F(n, 16))},
    "saddle4": {"to_edge": lengths(40, 80), "height": lengths(1, 3), "width": lengths(1, 8)},
    "kick": {"rise": lengths(1, 8)},
    "back-to-back": {"distance": lengths(8, 40)},
    "stub": {"height": lengths(6, 20)},
}
"""Low and short, without an angle: where there is little room."""


def most_on_bends(marks: tuple[Mark, ...], setup: Setup, taken: float) -> float:
    """The most that arrow or foot lie on anything bent before, inches, worked out independently."""
    bender = setup.bender
    radius = float(bender.gain - bender.od) / (2 - math.pi / 2)
    lead = float(bender.take_up) - radius - float(bender.od) / 2
    worst, bent = 0.0, [(-1e6, taken)]
    for mark in sorted(marks, key=lambda each: each.order):
        numbers = (float(bender.take_up), float(bender.gain), float(bender.od))
        ((start, end),) = shape([mark], *numbers, 1e4).arcs
        foot = float(bender.foot)
        spans = {
            Hook.AWAY: [(end, end + lead), (start - foot, start)],
            Hook.TAPE_END: [(start - lead, start), (end, end + foot)],
            Hook.EITHER: [],
        }[mark.hook]
        laps = [min(b, d) - max(a, c) for a, b in [*spans, (start, end)] for c, d in bent]
        worst = max(worst, *laps)
        bent.append((start, end))
    return worst


def taken(kind: str, measures: dict[str, Number], setup: Setup) -> float:
    """What of a 90 already there lies past its back."""
    on_ninety = (kind == "back-to-back" and "stub" not in measures) or (
        kind == "kick" and "distance" not in measures
    )
    radius = float(setup.bender.gain - setup.bender.od) / (2 - math.pi / 2)
    return radius + float(setup.bender.od) / 2 if on_ninety else -1e6


@settings(max_examples=examples(60), deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(
    st.data(),
    st.sampled_from(sorted(LOW)),
    st.sampled_from(SETUPS),
    st.sampled_from(list(Method)),
    st.booleans(),
)
def test_every_plan_can_be_held(
    data: st.DataObject, kind: str, table: Setup, method: Method, rack: bool
) -> None:
    setup = replace(table, stick_length=F(400))
    measures: dict[str, Number] = {key: data.draw(values) for key, values in LOW[kind].items()}
    plan: Plan
    try:
        if rack:
            spread = {**measures, "spacing": F(3), "count": 3}
            plan = work_out_rack(kind, spread, setup, method)
        else:
            plan = work_out(kind, measures, setup, method)
    except BenchError:
        reject()
    for each in (plan, *plan.rack):
        assert most_on_bends(each.marks, setup, taken(kind, measures, setup)) <= 1 / 16 + 1e-9


def test_a_low_offset_gets_a_gentler_angle_not_a_bad_plan() -> None:
    """Two inches on 1-1/4 EMT: at 22-1/2 degrees the straight is (2 - 1.104) / sin 22-1/2 = 2.34 (computed), less
    than the 2.99 from arc to arrow: the arrow would lie on the first bend."""
    setup = tables.setup("emt", "1 1/4")
    plan = work_out("offset", {"distance": F(60), "rise": F(2)}, setup)
    assert plan.inputs["angle"] in (10.0, 15.0)
    with pytest.raises(BenchError) as refused:
        work_out("offset", {"distance": F(60), "rise": F(2), "angle": 22.5}, setup)
    assert refused.value.code == "hook_on_bend"
    angle = refused.value.remedy.values["angle"]
    assert isinstance(angle, float)
    work_out("offset", {"distance": F(60), "rise": F(2), "angle": angle}, setup)


@pytest.mark.parametrize(("distance", "hook"), [(40, Hook.AWAY), (F(21, 2), Hook.TAPE_END)])
def test_short_back_to_backs_turn_the_hook_around(distance: F, hook: Hook) -> None:
    """On half-inch EMT two backs 10-1/2 apart leave 10.5 - 2 x 4 - 0.706 = 1.8 of straight (computed): too little
    for a foot of two inches, enough for the hook."""
    (mark,) = work_out("back-to-back", {"distance": F(distance)}, tables.setup("emt", "1/2")).marks
    assert mark.hook is hook


def test_backs_that_leave_nothing_to_hold_are_refused_with_what_works() -> None:
    setup = tables.setup("emt", "1/2")
    with pytest.raises(BenchError) as refused:
        work_out("back-to-back", {"distance": F(9)}, setup)
    least = refused.value.remedy.values["distance"]
    assert isinstance(least, F)
    work_out("back-to-back", {"distance": least}, setup)


def test_every_kind_is_tried() -> None:
    assert set(LOW) == set(BEND_MEASURES)


@settings(max_examples=examples(60), deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(
    st.lists(
        st.tuples(st.sampled_from(["offset", "stub", "kick"]), st.integers(0, 160)), min_size=2, max_size=4
    ),
    st.sampled_from(["1/2", "3/4", "1"]),
)
def test_every_stick_that_is_laid_out_can_be_held(bends: list[tuple[str, int]], size: str) -> None:
    """Several bends on one length: in the given order neither arrow nor foot lies on a finished one."""
    setup = replace(tables.setup("emt", size), stick_length=F(400))
    single: dict[str, dict[str, Number]] = {
        "offset": {"distance": F(30), "rise": F(4), "angle": 30.0},
        "stub": {"height": F(14)},
        "kick": {"distance": F(30), "rise": F(4), "angle": 22.5},
    }
    at, on_stick = F(0), []
    for kind, quarters in bends:
        on_stick.append(OnStick(work_out(kind, single[kind], setup), from_end=at))
        at += 8 + F(quarters, 4)
    try:
        stick = lay_out(setup, on_stick)
    except BenchError:
        reject()
    assert most_on_bends(stick.marks, setup, -1e6) <= 1 / 8


def test_another_order_is_chosen_where_it_holds() -> None:
    """Three bends close together: the one in the middle last or first, whatever leaves the hook its straight."""
    setup = replace(tables.setup("emt", "3/4"), stick_length=F(400))
    stub = work_out("stub", {"height": F(20)}, setup)
    offset = work_out("offset", {"distance": F(30), "rise": F(4), "angle": 30.0}, setup)
    stick = lay_out(setup, [OnStick(stub), OnStick(offset, from_end=F(14)), OnStick(stub, from_end=F(40))])
    assert most_on_bends(stick.marks, setup, -1e6) <= 1 / 8


@pytest.mark.parametrize("made", [0, 1])
def test_the_hook_is_turned_around_where_the_foot_would_stand_on_the_ninety(made: int) -> None:
    """An offset 18 from the back of a 90: with the hook away the foot finds no room before its first bend, whether or
    not the 90 is bent already. Turned around, hook and foot find theirs, and the shape is the same."""
    setup = tables.setup("emt", "1/2")
    stub = work_out("stub", {"height": F(12)}, setup)
    offset = work_out("offset", {"distance": F(18), "rise": F(6), "angle": 30.0}, setup)
    stick = lay_out(setup, [OnStick(stub), OnStick(offset)], made=made)
    assert {mark.hook for mark in offset.marks} == {Hook.AWAY}
    assert [mark.hook for mark in stick.marks[1:]] == [Hook.TAPE_END, Hook.TAPE_END]
    assert most_on_bends(stick.marks, setup, -1e6) <= 1 / 16
    numbers = (float(setup.bender.take_up), float(setup.bender.gain), setup.od, 120.0)
    ninety, last = shape(stick.marks, *numbers).straights[1], shape(stick.marks, *numbers).straights[-1]
    assert np.linalg.norm(np.cross(last.start - ninety.start, ninety.along)) == pytest.approx(6.0, abs=1 / 16)
    assert lay_out(setup, stick.bends, made=made).marks == stick.marks


@pytest.mark.parametrize("made", [0, 1, 2])
def test_what_is_bent_already_comes_first(made: int) -> None:
    """Of three bends close together the middle one is made where it can be held; never before one that is there."""
    setup = replace(tables.setup("emt", "3/4"), stick_length=F(400))
    stub = work_out("stub", {"height": F(20)}, setup)
    kick = work_out("kick", {"distance": F(30), "rise": F(4), "angle": 22.5}, setup)
    bends = [OnStick(stub), OnStick(kick, from_end=F(25)), OnStick(stub, from_end=F(60))]
    stick = lay_out(setup, bends, made=made)
    turns = {owner: mark.order for owner, mark in zip(stick.whose, stick.marks, strict=True)}
    bent = [turns[owner] for owner in range(made)]
    assert sorted(bent) == list(range(1, made + 1))
    assert most_on_bends(stick.marks, setup, -1e6) <= 1 / 8


def test_a_bend_without_room_on_the_stick_is_offered_an_angle_that_fits() -> None:
    """An offset 18 from the back of a 90, no angle asked: at 22 1/2 its first bend would be inside the 90. What is
    named is tried: it can be held."""
    setup = tables.setup("emt", "1/2")
    stub = OnStick(work_out("stub", {"height": F(12)}, setup))
    offset = {"distance": F(18), "rise": F(6)}
    with pytest.raises(BenchError) as caught:
        lay_out(setup, [stub, OnStick(work_out("offset", offset, setup))])
    assert (caught.value.code, caught.value.remedy.code) == ("bends_overlap", "angle_works")
    angle = caught.value.remedy.values["angle"]
    assert angle == 30.0
    stick = lay_out(setup, [stub, OnStick(work_out("offset", {**offset, "angle": 30.0}, setup))])
    assert most_on_bends(stick.marks, setup, -1e6) <= 1 / 16
