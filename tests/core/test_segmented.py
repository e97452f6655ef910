"""Segmented 90s: both legs as long as requested, including the cut, and a stub that its check corrects."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction as F

import numpy as np
import pytest

from bench.core.as_bent import Shape
from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.checks import checks
from bench.core.corrections import Verdict, correct
from bench.core.finished import back_of_bend
from bench.core.given import Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.plan import Mark, Method, Plan
from bench.data import tables
from tests.independent import shape
from tests.known import known

TWO_INCH = replace(tables.setup("rmc", "2"), stick_length=F(240))


def random_plans(method: Method, count: int) -> list[tuple[Plan, Setup]]:
    dice = random.Random(5)
    made: list[tuple[Plan, Setup]] = []
    while len(made) < count:
        setup = replace(tables.setup(*dice.choice(list(tables.benders()))), stick_length=F(360))
        measures: dict[str, Number] = {
            "radius": F(dice.randrange(24 * 16, 48 * 16), 16),
            "angle": 90.0,
            "shots": dice.choice([4, 6, 9, 12, 15, 18, 24, 30]),
            "stub": F(dice.randrange(60 * 16, 80 * 16), 16),
            "leg": F(dice.randrange(60 * 16, 80 * 16), 16),
        }
        try:
            made.append((work_out("segmented", measures, setup, method), setup))
        except BenchError:
            continue
    return made


def legs(plan: Plan, setup: Setup, moved: F = F(0)) -> tuple[float, float]:
    """Stub and leg to the backs, of the marks moved and the conduit cut, worked out independently."""
    bender, cut = setup.bender, float(known(plan.cut))
    marks: list[Mark] = [replace(mark, at=mark.at + moved) for mark in plan.marks]
    end = shape(marks, float(bender.take_up), float(bender.gain), float(bender.od), cut).straights[-1]
    assert end.along == pytest.approx(np.array([0.0, 1.0, 0.0]), abs=1e-9)
    return float(end.end[0]) + setup.od / 2, float(end.end[1]) + setup.od / 2


def test_both_legs_come_out_to_a_sixteenth() -> None:
    """Whatever the radius and the number of shots: 4 shots of a large radius saved 0.8 in. less than its arc."""
    for plan, setup in random_plans(Method.TRUE, 100):
        stub, leg = legs(plan, setup)
        assert stub == pytest.approx(float(plan.inputs["stub"]), abs=1 / 16)
        assert leg == pytest.approx(float(plan.inputs["leg"]), abs=1 / 16)


def test_taught_marks_say_how_far_off_they_are() -> None:
    """Marks in the middles of the shots (NJATC Conduit Fabrication Level II, lesson 4) are for a shoe that bends about
    its mark; a hand bender bends beyond its arrow. Moved as the warning says, both legs come out."""
    for plan, setup in random_plans(Method.BOOK, 100):
        (sits,) = [note for note in plan.warnings if note.code in ("sits_too_far", "sits_too_near")]
        by = F(sits.values["by"])
        assert by >= F(1, 8)
        stub, leg = legs(plan, setup, -by if sits.code == "sits_too_far" else by)
        assert stub == pytest.approx(float(plan.inputs["stub"]), abs=1 / 16)
        assert leg == pytest.approx(float(plan.inputs["leg"]), abs=1 / 16)


def test_bender_true_marks_need_no_such_warning() -> None:
    for plan, _ in random_plans(Method.TRUE, 40):
        assert not [note for note in plan.warnings if note.code.startswith("sits")]


@pytest.mark.parametrize("shots", [6, 15, 18])
@pytest.mark.parametrize("early", [0.25, -0.25])
def test_a_stub_is_corrected_and_the_angle_kept(shots: int, early: float) -> None:
    """Shots too strong at one end and too weak at the other: square, and off where it stands. The last shot alone
    would spoil the angle."""
    measures: dict[str, Number] = {"radius": F(36), "angle": 90.0, "shots": shots, "stub": F(60)}
    plan = work_out("segmented", measures, TWO_INCH)
    assert [check.key for check in checks(plan, TWO_INCH)] == ["angle", "rise"]
    half = shots // 2
    errors = (early,) * half + (0.0,) * (shots % 2) + (-early,) * half
    none = (0.0,) * shots
    found = Shape(plan, TWO_INCH, errors, none, none)
    off = back_of_bend(found.path, TWO_INCH.od) - 60
    assert abs(off) > 1 / 4
    read: dict[str, Number] = {"angle": 90.0, "rise": round_to(60 + off)}
    correction = correct(plan, TWO_INCH, read)
    assert correction.verdict is Verdict.BEND
    closes = [0.0] * shots
    for tweak in correction.tweaks:
        closes[tweak.mark - 1] = tweak.close
    assert sum(closes) == pytest.approx(0.0, abs=1e-9)
    mended = found.changed(closes, none)
    assert abs(back_of_bend(mended.path, TWO_INCH.od) - 60) <= 1 / 8
