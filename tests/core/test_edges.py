"""Details that laws and worked examples do not cover: where a single constant or sign decides.

Each test was written for a fault that no other noticed (`tests.benchmarks.mutation`). What is expected follows from
the geometry or the definition named beside it.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from scipy.optimize import brentq

from bench.core.bends import work_out
from bench.core.bends.box_offset import _angle
from bench.core.bends.catalogue import SINGLE
from bench.core.bends.segmented import _later
from bench.core.checks import LENGTH_TOLERANCE, checks
from bench.core.clearance import Round, fouls
from bench.core.corrections import Verdict, correct
from bench.core.given import Given
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.plan import Method
from bench.core.stick import OnStick, lay_out
from tests.strategies import SETUPS

SETUP = SETUPS[0]


def test_the_stubs_height_is_given_only_where_both_nineties_are_new() -> None:
    both = work_out("back-to-back", {"distance": Fraction(40), "stub": Fraction(12)}, SETUP, Method.TRUE)
    one = work_out("back-to-back", {"distance": Fraction(40)}, SETUP, Method.TRUE)
    assert both.chosen.finished.rise == pytest.approx(12, abs=1 / 16)
    assert one.chosen.finished.rise is None
    given = Given({"distance": Fraction(40), "stub": Fraction(12)})
    bend = SINGLE["back-to-back"]
    assert len(bend.gauges_for(given)) == len(bend.gauges_for(Given({"distance": Fraction(40)}))) + 1


def test_only_a_bend_behind_a_ninety_finds_conduit_bent_already() -> None:
    for kind in ("offset", "saddle3", "saddle4", "stub"):
        given = Given({"distance": Fraction(40), "rise": Fraction(6)})
        assert SINGLE[kind].taken(given, SETUP) == 0.0
        assert SINGLE[kind].start_ahead(given, 2.0) == 0.0
    both = Given({"distance": Fraction(40), "stub": Fraction(12)})
    assert SINGLE["back-to-back"].taken(both, SETUP) == 0.0
    assert SINGLE["back-to-back"].start_ahead(both, 2.0) == 0.0
    behind = Given({"distance": Fraction(40)})
    assert SINGLE["back-to-back"].start_ahead(behind, 2.0) == 2.0
    assert SINGLE["back-to-back"].taken(behind, SETUP) > 0


def test_the_neighbor_of_a_stub_is_longer_by_the_spacing_on_both_legs() -> None:
    """Two 90s in parallel, 2 inches apart: legs of 12 and 30 become 14 and 32 (plane geometry)."""
    given = Given({"height": Fraction(12), "leg": Fraction(30)})
    beside = SINGLE["stub"].neighbor(given, SETUP, 2.0)
    assert (beside["height"], beside["leg"]) == (14, 32)
    ahead = SINGLE["stub"].neighbor(given, SETUP, 2.0, 1.0)
    assert (ahead["height"], ahead["leg"]) == (15, 32)


@pytest.mark.parametrize("rise", [0.25, 0.5, 0.75, 1.0])
def test_the_angle_of_a_box_offset_is_that_of_a_root_finder(rise: float) -> None:
    """The rise of two arcs at a spacing s along the conduit is (s - R a) sin a + 2 R (1 - cos a); scipy solves it."""
    spacing, radius = float(SETUP.trade.box_spacing), SETUP.bender.radius

    def short(angle: float) -> float:
        return (spacing - radius * angle) * math.sin(angle) + 2 * radius * (1 - math.cos(angle)) - rise

    wanted = math.degrees(brentq(short, 0.0, math.pi / 4))
    assert _angle(rise, spacing, SETUP.bender) == pytest.approx(wanted, abs=1e-9)


def test_the_neighbor_of_a_box_offset_begins_where_a_corner_outside_it_does() -> None:
    """The first mark moves by out tan(a/2), and by what it hooks farther back (plane geometry of parallel bends)."""
    given = Given({"rise": Fraction(1, 2), "to_box": Fraction(2)})
    degrees = _angle(0.5, float(SETUP.trade.box_spacing), SETUP.bender)
    beside = SINGLE["box-offset"].neighbor(given, SETUP, 2.0, 0.25)
    assert float(beside["to_box"]) == pytest.approx(2 + 2 * math.tan(math.radians(degrees) / 2) + 0.25)


def test_a_round_obstruction_lies_on_the_wall_unless_it_is_said_to_stand_off() -> None:
    assert Round(10, 2).distance(10, 3) == 1.0
    assert Round(10, 2, stand_off=0.5).distance(10, 3) == 0.5
    assert Round(10, 2).distance(14, 1) == 3.0
    assert not fouls(-1 / 16, Fraction(1, 16))
    assert fouls(-1 / 16 - 1e-9, Fraction(1, 16))
    assert not fouls(None, Fraction(1, 16))


def test_shots_corrected_against_each_other_lie_a_third_from_the_ends() -> None:
    assert _later(8) == [0, 0, -1, 0, 0, 1, 0, 0]
    assert _later(18) == [0.0] * 6 + [-1.0] + [0.0] * 4 + [1.0] + [0.0] * 6
    assert sum(_later(9)) == 0


def test_an_eighth_is_accepted_and_stated() -> None:
    """An eighth on a stub's height is common practice, no source; beyond it there is something to do."""
    made = work_out("stub", {"height": Fraction(12), "leg": Fraction(30)}, SETUP, Method.TRUE)
    assert Fraction(1, 8) == LENGTH_TOLERANCE
    height = checks(made, SETUP)[0]
    assert height.tolerance == (LENGTH_TOLERANCE if isinstance(height.planned, Fraction) else 1.0)
    for check in checks(made, SETUP):
        near = check.planned + (Fraction(1, 16) if isinstance(check.planned, Fraction) else 0.5)
        found = correct(made, SETUP, {check.key: near})
        assert found.verdict is Verdict.FITS
        assert any(note.values.get("tolerance") == check.tolerance for note in found.notes)


@pytest.mark.parametrize("beyond", [Fraction(0), Fraction(1, 2), Fraction(1)])
def test_overlapping_bends_say_how_much_is_missing_and_that_is_enough(beyond: Fraction) -> None:
    """Moved on by that much, the second bend no longer overlaps. A quarter inch less does."""
    offset = work_out("offset", {"distance": Fraction(30), "rise": Fraction(4)}, SETUP, Method.TRUE)
    end = max(float(mark.at) for mark in offset.marks)
    first = OnStick(offset)

    def refused_for(start: Fraction) -> str:
        try:
            together(start)
        except BenchError as error:
            return error.code
        return ""

    def together(start: Fraction) -> None:
        lay_out(SETUP, [first, OnStick(offset, from_end=start)])

    start = Fraction(round(end - float(offset.marks[0].at))) + beyond
    with pytest.raises(BenchError) as refused:
        together(start)
    values = refused.value.message.values
    assert (values["first"], values["second"]) == (1, 2)
    lack = values["lack"]
    assert isinstance(lack, Fraction)
    assert lack > 0
    assert lack % SETUP.scale == 0
    assert refused_for(start + lack) != "bends_overlap"
    assert refused_for(start + lack - Fraction(1, 4)) == "bends_overlap"


def test_four_points_are_offered_where_they_can_be_made() -> None:
    """A box seven wide, its center fourteen from the end, leaves ten and a half to its edge; one eight wide ten, which
    is too near for this bender's first bend."""

    def offered(width: int) -> set[str]:
        measures = {"to_center": Fraction(14), "height": Fraction(3), "width": Fraction(width)}
        made = work_out("saddle3", measures, SETUP, Method.TRUE)
        return {note.code for note in (*made.warnings, *made.advice)}

    assert {"fouls", "four_points_clear"} <= offered(7)
    assert "fouls" in offered(8)
    assert "four_points_clear" not in offered(8)


@pytest.mark.parametrize(
    ("value", "wanted"),
    [
        (Fraction(1, 32), "1/16"),
        (Fraction(-1, 32), "-1/16"),
        (Fraction(3, 32), "1/8"),
        (Fraction(5, 64), "1/16"),
    ],
    ids=str,
)
def test_exact_halves_are_rounded_away_from_zero(value: Fraction, wanted: str) -> None:
    """As a person reads a tape; Python's decimal module calls it ROUND_HALF_UP."""
    assert round_to(value) == Fraction(wanted)
    sixteenths = (Decimal(value.numerator) / Decimal(value.denominator) * 16).to_integral_value(ROUND_HALF_UP)
    assert round_to(value) == Fraction(int(sixteenths), 16)
