"""Racks: every conduit keeps its distance from the first, and has measures of its own."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction as F
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bench.core.bends import neighbor_of, work_out, work_out_rack
from bench.core.bends.rack import Spread
from bench.core.checks import checks
from bench.core.given import Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.plan import Plan
from bench.core.stick import OnStick, lay_out, same_again
from bench.core.taping import Over, Taped
from bench.data import tables
from tests.examples import examples
from tests.independent import Shape, shape
from tests.strategies import BEND_MEASURES, SETUPS

HALF = tables.setup("emt", "1/2")


def bent(plan: Plan, setup: Any) -> Shape:
    bender = setup.bender
    return shape(plan.marks, float(bender.take_up), float(bender.gain), float(bender.od), 400.0)


def apart(one: Shape, other: Shape, aside: float) -> list[float]:
    """Between corresponding straights, the other conduit lying `aside` to the left of the first one's start."""
    gaps = []
    for mine, theirs in zip(one.straights, other.straights, strict=True):
        assert theirs.along == pytest.approx(mine.along, abs=1e-9)
        between = theirs.start + np.array([0.0, aside, 0.0]) - mine.start
        gaps.append(float(np.linalg.norm(np.cross(between, mine.along))))
    return gaps


RACKED = {kind: BEND_MEASURES[kind] for kind in ("offset", "saddle3", "saddle4", "stub", "kick")}


@settings(max_examples=examples(50), deadline=None)
@given(st.data(), st.sampled_from(sorted(RACKED)), st.sampled_from(SETUPS), st.floats(1.5, 6))
def test_neighbors_keep_their_distance(data: st.DataObject, kind: str, table: Any, spacing: float) -> None:
    """On a fine tape every straight of the third conduit lies twice the spacing from the first one's, whatever
    the order of marks and arcs: a four-point saddle with a short flat has marks two and three crossed."""
    setup = replace(table, scale=F(1, 10**6), stick_length=F(400))
    measures = {key: data.draw(values) for key, values in RACKED[kind].items()}
    try:
        rack = work_out_rack(kind, {**measures, "spacing": F(spacing), "count": 3}, setup)
    except BenchError:
        assume(False)
    one = bent(rack, setup)
    outside = -math.cos(math.radians(one.rolls[0]))
    for number, plan in enumerate(rack.rack, start=1):
        out = float(F(spacing)) * number
        assert apart(one, bent(plan, setup), outside * out) == pytest.approx(
            [out] * len(one.straights), abs=1e-4
        )


def test_a_four_point_saddle_whose_marks_cross() -> None:
    """1-1/4 EMT (b = 2.995): the flat of 5.8 in. is less than 2b, so marks two and three cross."""
    setup = replace(tables.setup("emt", "1 1/4"), scale=F(1, 10**6), stick_length=F(200))
    given_: dict[str, Number] = {
        "to_edge": F(60),
        "height": F(6),
        "width": F(29, 5),
        "angle": 30.0,
        "spacing": F(1, 2),
        "count": 2,
    }
    rack = work_out_rack("saddle4", given_, setup)
    assert [mark.order for mark in rack.marks] == [2, 3, 1, 4]
    one, other = bent(rack, setup), bent(rack.rack[0], setup)
    assert apart(one, other, 0.5) == pytest.approx([0.5] * 5, abs=1e-4)


@settings(max_examples=examples(40), deadline=None)
@given(st.data(), st.sampled_from(sorted(RACKED)), st.sampled_from(SETUPS), st.floats(-4, 6))
def test_a_neighbor_is_the_bend_of_its_own_measures(
    data: st.DataObject, kind: str, table: Any, out: float
) -> None:
    """Its marks come from the shift, its measures from geometry; worked out afresh from those measures alone it
    has the same arcs."""
    setup = replace(table, scale=F(1, 10**6), stick_length=F(400))
    measures = {key: data.draw(values) for key, values in RACKED[kind].items()}
    try:
        neighbor = neighbor_of(work_out(kind, measures, setup), setup, out)
        afresh = work_out(kind, neighbor.inputs, setup)
    except BenchError:
        assume(False)
    for arc, own in zip(bent(neighbor, setup).arcs, bent(afresh, setup).arcs, strict=True):
        assert arc == pytest.approx(own, abs=1e-5)


def test_a_stub_of_twelve_shifted_by_two_is_a_stub_of_fourteen() -> None:
    """In its mark, its readings and its cut (both legs grow by the distance: plane geometry)."""
    stick = lay_out(HALF, [OnStick(work_out("stub", {"height": F(12), "leg": F(20)}, HALF))])
    moved = same_again(stick, F(2))
    (plan,) = (bend.plan for bend in moved.bends)
    assert plan.inputs == {"height": 14, "leg": 22}
    assert {check.key: check.planned for check in checks(plan, HALF)} == {"square": 90.0, "rise": 14}
    assert moved.marks[0].at - stick.marks[0].at == 2
    assert moved.cut_at is not None
    assert stick.cut_at is not None
    assert moved.cut_at - stick.cut_at == 4
    beside = same_again(stick, F(2), spread=Spread.SIDE_BY_SIDE)
    assert (beside.marks, beside.bends) == (stick.marks, stick.bends)


def test_side_by_side_racks_have_the_same_marks() -> None:
    given_: dict[str, Number] = {"height": F(12), "spacing": F(2), "count": 3, "side_by_side": 1}
    rack = work_out_rack("stub", given_, HALF)
    assert [plan.marks for plan in rack.rack] == [rack.marks] * 2
    assert "rack_in_plane" not in {note.code for note in rack.advice}


@pytest.mark.parametrize("spacing", [F(2), F(-3, 2)])
def test_back_to_back_racks(spacing: F) -> None:
    """A U inside a U: the stub grows by the distance, back to back by twice that (plane geometry)."""
    both = work_out("back-to-back", {"stub": F(20), "distance": F(40)}, HALF)
    alone = work_out("back-to-back", {"distance": F(40)}, HALF)
    neighbor = neighbor_of(both, HALF, float(spacing))
    assert neighbor.inputs == {"stub": 20 + spacing, "distance": 40 + 2 * spacing}
    made = bent(neighbor, HALF)
    back = made.straights[1].start[0] + float(HALF.od) / 2
    assert back == pytest.approx(float(20 + spacing), abs=1 / 16)
    rack = work_out_rack("back-to-back", {"distance": F(40), "spacing": abs(spacing), "count": 2}, HALF)
    assert rack.rack[0].marks[0].at == alone.marks[0].at + 2 * abs(spacing)


def test_knockouts_for_parallel_kicks() -> None:
    """Conduits 2-1/2 apart kicked 30 degrees into one box: holes 2.5 / cos 30 = 2.887, 2-7/8 apart (IBEW
    booklet): the neighbor's kick rises that much less than the spacing would have it."""
    kick = work_out("kick", {"distance": F(60), "rise": F(8), "angle": 30.0}, HALF)
    neighbor = neighbor_of(kick, HALF, 2.5)
    lower = float(kick.inputs.length("rise") - neighbor.inputs.length("rise"))
    assert 2.5 + lower == pytest.approx(2.887, abs=5e-4)


def test_parallel_kicks_through_a_wall_along_the_run() -> None:
    """Conduits 2 apart, kicked 30: holes in a wall that lies along the run are 2 csc 30 = 4 apart (lesson pages,
    common practice, no source)."""
    setup = replace(HALF, scale=F(1, 10**6))
    kick = work_out("kick", {"distance": F(60), "rise": F(8), "angle": 30.0}, setup)
    first, other = bent(kick, setup).straights[-1], bent(neighbor_of(kick, setup, 2.0), setup).straights[-1]

    def crosses(straight: Any, below: float) -> float:
        steps = (10.0 + below - straight.start[1]) / straight.along[1]
        return float(straight.start[0] + steps * straight.along[0])

    assert crosses(other, 2.0) - crosses(first, 0.0) == pytest.approx(4.0, abs=1e-4)


def test_marks_after_a_ninety_are_rounded_once() -> None:
    """In the middle of its sixteenth at worst: half of one, 1/32, from its exact place."""
    for rise in range(4, 12):
        offset = work_out("offset", {"distance": F(30), "rise": F(rise, 1) + F(1, 3), "angle": 30.0}, HALF)
        stick = lay_out(HALF, [OnStick(work_out("stub", {"height": F(12)}, HALF)), OnStick(offset)])
        for mark, own in zip(stick.marks[1:], offset.marks, strict=True):
            start = float(mark.place - own.place)
            assert start == pytest.approx(float(F(12) - HALF.bender.gain), abs=1e-6)
            assert abs(mark.at - mark.place) <= F(1, 32)


def test_the_second_mark_is_given_from_the_back_of_the_first_ninety() -> None:
    """Backs 40 apart: 40 from the back of the first 90, star on the mark (Modern Residential Wiring 2021
    p. 145). On the straight conduit it is 12 + 40 less the gain."""
    both = work_out("back-to-back", {"stub": F(12), "distance": F(40)}, HALF)
    stick = lay_out(HALF, [OnStick(both)])
    assert [stick.taped(1, ()), stick.taped(2, ())] == [None, None]
    assert stick.taped(2, (1,)) == Taped(F(40), from_back=True, over=Over.NOTHING)
    assert float(stick.marks[1].at) == pytest.approx(52 - float(HALF.bender.gain), abs=1 / 32)
    alone = [
        OnStick(work_out(kind, {key: F(at)}, HALF))
        for kind, key, at in (("stub", "height", 12), ("back-to-back", "distance", 40))
    ]
    assert lay_out(HALF, alone).taped(2, (1,)) == Taped(F(40), from_back=True, over=Over.NOTHING)


@pytest.mark.parametrize("first", [None, "stub"])
@pytest.mark.parametrize(
    ("kind", "measures"),
    [
        ("offset", {"distance": F(40), "rise": F(6)}),
        ("rolling", {"distance": F(40), "rise": F(4), "roll": F(5)}),
        ("saddle3", {"to_center": F(36), "height": F(3)}),
        ("saddle4", {"to_edge": F(36), "height": F(3), "width": F(6)}),
    ],
)
def test_a_mark_past_a_finished_bend_is_taped_straight(
    first: str | None, kind: str, measures: dict[str, F]
) -> None:
    """A straight tape beside the finished pipe, on the simulation of `independent`: from its end, or from the back of
    the 90, along the leg there, square across to the mark."""
    stub = [OnStick(work_out("stub", {"height": F(12)}, HALF))] if first else []
    setup = replace(HALF, stick_length=F(240))
    bends = [*stub, OnStick(work_out(kind, measures, setup), roll=90.0)]
    kick = OnStick(work_out("kick", {"distance": F(100), "rise": F(6)}, setup))
    stick = lay_out(setup, [*bends, kick], length=F(240))
    last = len(stick.marks)
    taped = stick.taped(last, range(1, last))
    made = shape(stick.marks[:-1], float(HALF.bender.take_up), float(HALF.bender.gain), HALF.od, 240.0)
    leg, own = made.straights[1 if first else 0], made.straights[-1]
    mark = own.start + own.along * (float(stick.marks[-1].place) - made.arcs[-1][1])
    back = HALF.bender.radius + HALF.od / 2 if first else 0.0
    straight = float(np.dot(mark - leg.start, leg.along)) + back
    assert taped == Taped(round_to(straight), from_back=bool(first), over=Over.BENDS)
    assert float(stick.marks[-1].at) > straight + (12 - HALF.bender.gain if first else 0)


@pytest.mark.parametrize("first", [None, "stub"])
@pytest.mark.parametrize("angle", [10.0, 22.5, 45.0])
def test_a_mark_behind_a_kick_is_taped_over_its_outside(first: str | None, angle: float) -> None:
    """A tape along the outside of the pipe, on the simulation of `independent`: straight, around the arc half a
    diameter beyond the centerline, straight; from the pipe's end or from the back of the 90. On 1/2 in. EMT it reads
    0.14 more than the centerline at 22 1/2 degrees: the mark would be as much too near."""
    setup = replace(HALF, stick_length=F(240))
    stub = [OnStick(work_out("stub", {"height": F(12)}, setup))] if first else []
    kick = OnStick(work_out("kick", {"distance": F(60), "rise": F(6), "angle": angle}, setup))
    last = OnStick(work_out("offset", {"distance": F(60), "rise": F(4)}, setup), from_end=F(60))
    stick = lay_out(setup, [*stub, kick, last])
    number = len(stick.marks) - 1
    taped = stick.taped(number, range(1, number))
    before = stick.marks[: number - 1]
    made = shape(before, float(HALF.bender.take_up), float(HALF.bender.gain), HALF.od, 240.0)
    leg, own = made.straights[-2:]
    turn = math.acos(float(np.dot(leg.along, own.along)))
    radius = float(np.linalg.norm(own.start - leg.end)) / (2 * math.sin(turn / 2))
    outside = float(np.linalg.norm(leg.end - leg.start)) + (radius + HALF.od / 2) * turn
    outside += float(stick.marks[number - 1].place) - made.arcs[-1][1]
    back = HALF.bender.radius + HALF.od / 2 if first else 0.0
    assert taped == Taped(round_to(outside + back), from_back=bool(first), over=Over.OUTSIDE)


def test_no_tape_leads_behind_several_bends_that_leave_the_line() -> None:
    """The conduit goes another way from there, and one bend's outside is the other's inside: the mark is given along
    the conduit."""
    setup = replace(HALF, stick_length=F(240))
    kicks = [
        OnStick(
            work_out("kick", {"distance": F(at), "rise": F(6), "angle": angle}, setup), roll, from_end=F(0)
        )
        for at, angle, roll in ((60, 22.5, 0.0), (100, 30.0, 180.0))
    ]
    stub = OnStick(work_out("stub", {"height": F(130)}, setup), from_end=F(0))
    stick = lay_out(setup, [*kicks, stub])
    assert stick.taped(3, (1, 2)) is None
    assert stick.taped(2, (1,)) is not None
