"""A test ninety whose measures contradict one another: which one to measure again."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from bench.core.bender import calibrated, calibration_doubts
from bench.core.notes import BenchError
from bench.data import tables

MARK, STUB, LEG, BEFORE = F(12), F(23), F(45), F(68) - F(37, 8)
"""1-1/4 EMT: take-up 11 (as an apprenticeship course implies, Level I lesson 5), gain 4-5/8 (computed from NEC Chapter
9 Table 2)."""


def codes(mark: F = MARK, stub: F = STUB, leg: F = LEG, before: F = BEFORE) -> list[str]:
    """What is doubted of such a test ninety."""
    pipe = tables.conduit("emt", "1 1/4")
    bender = calibrated(pipe, mark=mark, stub=stub, leg=leg, before=before)
    return [note.code for note in calibration_doubts(bender, tables.typical_bender("emt", "1 1/4"))]


def test_one_that_agrees_raises_no_doubt() -> None:
    assert codes() == []


def test_the_measure_that_explains_both_is_named() -> None:
    assert codes(stub=STUB + F(5, 4)) == ["take_up_unusual", "gain_unusual", "stub_again"]
    assert codes(mark=MARK - F(5, 4)) == ["take_up_unusual", "mark_again"]
    assert codes(leg=LEG + F(3, 4)) == ["gain_unusual", "leg_again"]
    assert codes(mark=MARK - F(9, 4), leg=LEG + F(3, 4)) == ["take_up_unusual", "gain_unusual", "test_again"]


def test_measures_of_no_bender_are_refused() -> None:
    with pytest.raises(BenchError):
        codes(leg=LEG + 9)
    with pytest.raises(BenchError):
        codes(leg=LEG - 3)
    with pytest.raises(BenchError):
        codes(mark=MARK + 4)


@pytest.mark.parametrize("pipe", tables.benders(), ids=" ".join)
def test_every_typical_bender_can_be_calibrated(pipe: tuple[str, str]) -> None:
    """A test ninety made on it gives the same bender back."""
    typical, conduit = tables.typical_bender(*pipe), tables.conduit(*pipe)
    stub, leg = 20 + typical.take_up, F(60)
    again = calibrated(conduit, mark=F(20), stub=stub, leg=leg, before=stub + leg - typical.gain)
    assert (again.take_up, again.gain) == (typical.take_up, typical.gain)
    assert calibration_doubts(again, typical) == ()
