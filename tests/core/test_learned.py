"""Learning a bender and its person: closer to the truth, never more certain than the evidence, and never silently."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise

import numpy as np
import pytest

from bench.core.bender import Bender
from bench.core.bends import work_out
from bench.core.evidence import evidence_of
from bench.core.given import Number
from bench.core.learned import (
    LEAST_BENDS,
    TYPICAL_SPREAD,
    Evidence,
    Numbers,
    estimate,
    learned_bender,
    worth_offering,
)
from bench.core.notes import BenchError
from bench.data import tables
from tests.benchmarks.learning import bend_all, person, plans

SETUP = tables.setup("emt", "3/4", stick_length=F(240))
TYPICAL = Numbers.of(SETUP.bender)


def test_estimates_approach_the_true_numbers() -> None:
    """Eight people with thirty bends each: the mean comes within what it says of itself, and close."""
    off = []
    for number in range(8):
        dice = random.Random(f"truth {number}")
        who = person(dice)
        _, taught = bend_all(who, who.setup.bender, plans(who.setup, 30, dice), 0.75, dice)
        start = Numbers.of(who.setup.bender)
        found, true = estimate(start, TYPICAL_SPREAD, taught), Numbers.of(who.bender)
        assert found.spread.take_up < 1 / 16
        off.append(
            [(a - b) / s for a, b, s in zip(found.numbers.row, true.row, found.spread.row, strict=True)]
        )
    each = np.sqrt(np.mean(np.square(off), axis=0))
    assert np.all(each < 2.0), each


def test_more_bends_make_the_estimate_more_certain() -> None:
    dice = random.Random(3)
    who = person(dice)
    _, taught = bend_all(who, who.setup.bender, plans(who.setup, 12, dice), 1.5, dice)
    start = Numbers.of(who.setup.bender)
    sizes = [estimate(start, TYPICAL_SPREAD, taught[:count]).spread.row for count in range(len(taught) + 1)]
    for before, after in pairwise(sizes):
        assert all(new <= old + 1e-9 for old, new in zip(before, after, strict=True))


def test_without_evidence_nothing_is_known() -> None:
    found = estimate(TYPICAL, TYPICAL_SPREAD, ())
    assert found.numbers.row == pytest.approx(TYPICAL.row)
    assert found.spread.row == pytest.approx(TYPICAL_SPREAD)
    assert worth_offering(found, SETUP.bender, "learned") is None


def _stub_read(take_up: float, angle: float, number: int) -> Evidence:
    plan = work_out("stub", {"height": F(20)}, SETUP)
    square = evidence_of((str(number),), plan, SETUP, {"square": angle})
    assert square is not None
    return square


def test_the_estimate_is_that_of_least_squares() -> None:
    """Against numpy: the mean of weighted readings of a square with the prior as four readings more."""
    taught = [_stub_read(6, angle, number) for number, angle in enumerate((88.0, 87.5, 88.5, 88.0))]
    found = estimate(TYPICAL, TYPICAL_SPREAD, taught)
    weight = 1 / np.sqrt(1.5**2 + 0.25**2)
    # The angle kept is (90 + hand) / (1 + springback / 90): its slopes at none are -1 and 1.
    rows = np.vstack([np.diag(1 / np.array(TYPICAL_SPREAD)), *[weight * np.array([[0, 0, -1, 1]])] * 4])
    right = np.concatenate(
        [np.array(TYPICAL.row) / TYPICAL_SPREAD, weight * (np.array([88, 87.5, 88.5, 88]) - 90)]
    )
    expected = np.linalg.lstsq(rows, right, rcond=None)[0]
    assert found.numbers.row == pytest.approx(expected, abs=0.05)


def test_an_offer_wants_enough_bends() -> None:
    for count in range(1, 2 * LEAST_BENDS):
        found = estimate(TYPICAL, TYPICAL_SPREAD, [_stub_read(6, 86.0, n) for n in range(count)])
        offered = worth_offering(found, SETUP.bender, "learned")
        assert (offered is not None) == (count >= LEAST_BENDS)
        if offered is not None:
            assert offered.pull(90) > 92.5
            assert not offered.typical


def test_what_is_learned_is_not_offered_twice() -> None:
    found = estimate(TYPICAL, TYPICAL_SPREAD, [_stub_read(6, 86.0, n) for n in range(12)])
    bender = worth_offering(found, SETUP.bender, "learned")
    assert bender is not None
    assert worth_offering(found, bender, "learned") is None


def test_a_misread_check_teaches_nothing() -> None:
    taught = [_stub_read(6, 88.0, number) for number in range(6)]
    so_far = estimate(TYPICAL, TYPICAL_SPREAD, taught)
    plan = work_out("stub", {"height": F(20)}, SETUP)
    assert evidence_of(("7",), plan, SETUP, {"square": 70.0}, so_far=so_far) is None
    assert evidence_of(("7",), plan, SETUP, {"square": 87.0}, so_far=so_far) is not None


def test_said_to_fit_teaches_less_than_a_reading() -> None:
    plan = work_out("stub", {"height": F(20)}, SETUP)
    read = evidence_of(("1",), plan, SETUP, {"rise": F(20)})
    told = evidence_of(("1",), plan, SETUP, {"rise": F(20)}, fits={"rise"})
    assert read is not None
    assert told is not None
    assert told.information[0] < read.information[0]


def test_a_corrected_bend_teaches_positions_only() -> None:
    plan = work_out("stub", {"height": F(20)}, SETUP)
    found = evidence_of(("1",), plan, SETUP, {"rise": F(161, 8)}, mended=True)
    assert found is not None
    after = estimate(TYPICAL, TYPICAL_SPREAD, [found])
    assert 0 < after.numbers.take_up - TYPICAL.take_up < 1 / 8
    assert after.spread.springback == pytest.approx(TYPICAL_SPREAD[2])
    assert after.spread.hand == pytest.approx(TYPICAL_SPREAD[3])


def test_a_shot_bend_teaches_nothing() -> None:
    measures: dict[str, Number] = {"radius": F(30), "angle": 90.0, "shots": 15, "start": F(24)}
    plan = work_out("segmented", measures, SETUP)
    assert evidence_of(("1",), plan, SETUP, {"square": 88.0}) is None


def test_a_hand_that_overbends_is_asked_for_less() -> None:
    """Hand 2 over and 2 of springback: a right angle is pulled to 90, thirty to 28 2/3 (arithmetic)."""
    bender = replace(SETUP.bender, springback=2.0, hand=2.0)
    assert bender.pull(90) == pytest.approx(90)
    assert bender.pull(30) == pytest.approx(28 + 2 / 3)


def test_impossible_numbers_make_no_bender() -> None:
    wild = estimate(Numbers(6.0, 0.1, 2.0, 0.0), TYPICAL_SPREAD, ())
    with pytest.raises(BenchError):
        learned_bender(wild, SETUP.bender, "learned")
    with pytest.raises(BenchError):
        Bender("x", F(6), F("2.853"), F("0.922"), hand=11.0)
