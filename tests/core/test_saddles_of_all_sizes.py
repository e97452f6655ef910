"""Simulated saddles over all conduit sizes, and the facts of the notch, the hook and low obstructions."""

from __future__ import annotations

import math
from fractions import Fraction as F

import pytest

from bench.core.bender import Bender
from bench.core.bends import work_out
from bench.core.bends.catalogue import SINGLE
from bench.core.bends.slope import least_rise
from bench.core.given import Given
from bench.core.notes import BenchError
from bench.core.plan import Finished, Hook, Method
from bench.core.simulate import simulate
from bench.data import tables
from tests.known import known


@pytest.mark.parametrize("pipe", tables.benders())
@pytest.mark.parametrize("side", [15.0, 22.5, 30.0])
@pytest.mark.parametrize("height", [2, 4, 6])
def test_true_saddles_come_out_right_and_no_worse_than_by_the_book(
    pipe: tuple[str, str], side: float, height: int
) -> None:
    setup = tables.setup(*pipe)
    measures = Given({"to_center": F(60), "height": F(height), "angle": side})
    if height < least_rise(side, setup.bender.radius):
        with pytest.raises(BenchError, match="too small"):
            work_out("saddle3", measures, setup)
        return
    straight = (height - least_rise(side, setup.bender.radius)) / math.sin(math.radians(side))
    if straight < min(setup.bender.arc_start, float(setup.bender.foot)) - 1 / 16:
        with pytest.raises(BenchError, match="finished bend"):
            work_out("saddle3", measures, setup)
        return
    plan = work_out("saddle3", measures, setup)
    true = plan.chosen.finished
    assert true.rise == pytest.approx(height, abs=1 / 16)
    assert true.crown_at == pytest.approx(60, abs=1 / 10)
    assert known(true.legs_out_of_line) < 1 / 16
    if plan.other:
        assert _off(true, height) <= _off(plan.other.finished, height) + 1 / 8


def _off(finished: Finished, height: float) -> float:
    rise, crown_at = known(finished.rise), known(finished.crown_at)
    return max(abs(rise - height), abs(crown_at - 60), known(finished.legs_out_of_line))


def test_a_notch_off_the_middle_of_its_bend_puts_the_legs_out_of_line() -> None:
    """R (pi/8 - angle) of material: on R 4.25 a thirty-degree center bend is off by 0.556 in.

    Follows from the notch being the middle of a 45-degree bend (Modern Residential Wiring 2015 p. 91).
    """
    gain = F((2 - math.pi / 2) * 4.25 + 0.706)
    bender = Bender("r", F(11, 2), gain, F("0.706"))
    setup = tables.setup("emt", "1/2", bender)
    assert bender.radius * (math.pi / 8 - math.radians(15)) == pytest.approx(0.556, abs=0.001)
    given = Given({"to_center": F(40), "height": F(3), "angle": 15.0})
    book = SINGLE["saddle3"].book(given, setup, SINGLE["saddle3"].ways[0])
    path = simulate(book, bender, 120)
    middle = (path.arcs[1].start + path.arcs[1].end(path.radius)) / 2
    assert float(book[1].at) - middle == pytest.approx(0.556, abs=0.001)
    by_book, exact = (work_out("saddle3", given, setup, method) for method in (Method.BOOK, Method.TRUE))
    assert known(by_book.chosen.finished.legs_out_of_line) > 0.2
    assert known(exact.chosen.finished.legs_out_of_line) < 1 / 16


def test_the_hook_decides_whether_a_book_offset_is_level_at_the_obstruction() -> None:
    """Away from the tape end the arc lies before its mark: level in time. The other way it still climbs."""
    setup = tables.setup("emt", "1/2")
    given = Given({"distance": F(40), "rise": F(4), "angle": 30.0})
    gaps = {}
    for way in SINGLE["offset"].ways[:2]:
        bends = SINGLE["offset"].bends(Method.BOOK, given, setup, way)
        path = simulate(bends, setup.bender, 120)
        gaps[way[0].hook] = known(SINGLE["offset"].finished(path, given, setup).clearance)
    assert gaps[Hook.AWAY] > 0
    assert gaps[Hook.TAPE_END] < -0.4
    assert {mark.hook for mark in work_out("offset", given, setup, Method.BOOK).marks} == {Hook.AWAY}
