"""Bends that cannot be made on the floor because an end of the conduit would go below it."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction as F

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.floor import DIP, in_the_air
from bench.core.given import Number
from bench.core.notes import BenchError
from bench.core.plan import Hook, Mark, Method, Plan, Reference
from bench.data import tables
from tests.examples import examples
from tests.independent import shape
from tests.strategies import BEND_MEASURES, SETUPS

HALF = tables.setup("emt", "1/2")
OFFSET: dict[str, Number] = {"distance": F(40), "rise": F(6), "angle": 30.0}


def airs(plan: Plan) -> dict[int, tuple[F, F]]:
    return {
        int(note.values["mark"]): (F(note.values["below"]), F(note.values["room"]))
        for note in plan.advice
        if note.code == "in_the_air"
    }


def lowest(marks: tuple[Mark, ...], number: int, setup: Setup, length: float) -> float:
    """How far under the shoe anything is when the bend of that order begins, worked out independently: a
    hundredth of a degree of it tells which way it turns, and that way is up."""
    numbers = (float(setup.bender.take_up), float(setup.bender.gain), setup.od)
    done = [mark for mark in marks if mark.order < number]
    (mark,) = (mark for mark in marks if mark.order == number)
    whole = shape([mark], *numbers, length).arcs[0]
    radius = float(setup.bender.gain - setup.bender.od) / (2 - math.pi / 2)
    little = replace(mark, bend=0.01)
    gone = math.radians(mark.bend - 0.01) * radius if mark.hook.value == "away" else 0.0
    little = replace(little, at=mark.at - F(gone)) if gone else little
    made = shape([*done, little], *numbers, length)
    index = sorted(arc[0] for arc in made.arcs).index(
        next(arc[0] for arc in made.arcs if arc[0] == pytest.approx(whole[0], abs=1e-6))
    )
    before, after = made.straights[index], made.straights[index + 1]
    up = (after.along - before.along) / math.radians(0.01)
    points = [made.straights[0].start, *(straight.end for straight in made.straights)]
    points += [straight.start for straight in made.straights]
    return -min(float(np.dot(point - before.end, up)) for point in points)


def test_the_second_bend_of_a_long_offset() -> None:
    """Eighty inches of a far leg at thirty degrees: 80 sin 30 = 40 under the floor (plane geometry)."""
    plan = work_out("offset", OFFSET, HALF)
    ((mark, (below, room)),) = airs(plan).items()
    assert mark == 1
    assert float(below) == pytest.approx(80 * math.sin(math.radians(30)), abs=1.0)
    assert float(below) < float(room) < float(HALF.stick_length)


@pytest.mark.parametrize(
    ("kind", "measures"),
    [
        ("stub", {"height": F(20)}),
        ("back-to-back", {"stub": F(20), "distance": F(40)}),
        ("kick", {"distance": F(60), "rise": F(5)}),
        ("segmented", {"radius": F(24), "angle": 90.0, "shots": 4}),
    ],
)
def test_bends_to_one_side_stay_on_the_floor(kind: str, measures: dict[str, Number]) -> None:
    assert not airs(work_out(kind, measures, replace(HALF, stick_length=F(240))))


@settings(max_examples=examples(60), deadline=None)
@given(st.data(), st.sampled_from(["offset", "rolling", "saddle3", "saddle4"]), st.sampled_from(SETUPS))
def test_agrees_with_an_independent_simulation(data: st.DataObject, kind: str, table: Setup) -> None:
    setup = replace(table, stick_length=F(240))
    measures = {key: data.draw(value) for key, value in BEND_MEASURES[kind].items()}
    try:
        plan = work_out(kind, measures, setup)
    except BenchError:
        reject()
    told = {mark.name: below for mark, below, _ in in_the_air(plan.marks, setup.bender, 240.0)}
    for mark in plan.marks:
        if mark.order == 1:
            assert mark.name not in told
            continue
        below = lowest(plan.marks, mark.order, setup, 240.0)
        if abs(below - DIP) > 0.1:
            assert (mark.name in told) == (below > DIP)
        if mark.name in told:
            assert told[mark.name] == pytest.approx(below, abs=0.1)


@pytest.mark.parametrize(
    "orders", [(1, 2, 3, 4, 5, 6), (6, 5, 4, 3, 2, 1), (5, 6, 1, 2, 4, 3), (3, 2, 6, 4, 5, 1)]
)
def test_several_bends_in_any_order_agree_with_an_independent_simulation(orders: tuple[int, ...]) -> None:
    rolls, hooks = (0.0, 180.0, 90.0, 270.0, 0.0, 90.0), (Hook.AWAY, Hook.TAPE_END)
    marks = tuple(
        Mark(str(number), F(25 * number), Reference.ARROW, hooks[number % 2], 10.0 * number, roll, order, 0.0)
        for number, (roll, order) in enumerate(zip(rolls, orders, strict=True), start=1)
    )
    told = {mark.order: below for mark, below, _ in in_the_air(marks, HALF.bender, 240.0)}
    below = {order: lowest(marks, order, HALF, 240.0) for order in orders if order > 1}
    assert told == pytest.approx({order: by for order, by in below.items() if by > DIP}, abs=0.1)


def test_only_book_plans_say_what_the_hook_does() -> None:
    """Bender-true both ways make the same shape, so nothing is to be said of it."""
    assert "hook_away" in {note.code for note in work_out("offset", OFFSET, HALF, Method.BOOK).advice}
    assert "hook_away" not in {note.code for note in work_out("offset", OFFSET, HALF).advice}
