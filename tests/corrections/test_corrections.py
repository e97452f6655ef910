"""What is measured after a bend leads to the change that brings the planned measure back."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from bench.core.bends import work_out
from bench.core.checks import LENGTH_TOLERANCE, checks, observe
from bench.core.corrections import Tweak, Verdict, correct
from bench.core.cure import MOST_CLOSED, MOST_OPENED
from bench.core.finished import crown, far_leg, from_tape_leg, legs_apart, legs_out_of_parallel
from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.core.path import Path
from bench.core.plan import Method, Plan, Quantity
from bench.core.simulate import simulate
from bench.core.vectors import norm
from bench.data import tables
from bench.language.write import written
from tests.examples import examples

HALF = tables.setup("emt", "1/2")
MEASURES: dict[str, dict[str, Any]] = {
    "offset": {"distance": Fraction(40), "rise": Fraction(6), "angle": 30.0},
    "saddle3": {"to_center": Fraction(48), "height": Fraction(3), "angle": 22.5},
    "saddle4": {"to_edge": Fraction(40), "height": Fraction(3), "width": Fraction(6), "angle": 30.0},
    "stub": {"height": Fraction(14)},
    "back-to-back": {"distance": Fraction(40)},
    "kick": {"distance": Fraction(60), "rise": Fraction(5), "angle": 22.5},
    "rolling": {"distance": Fraction(50), "rise": Fraction(8), "roll": Fraction(6), "angle": 30.0},
    "box-offset": {"rise": Fraction(1, 2)},
    "parallel": {
        "distance": Fraction(40),
        "rise": Fraction(6),
        "spacing": Fraction(2),
        "count": 3,
        "angle": 30.0,
    },
    "segmented": {"radius": Fraction(24), "angle": 90.0, "shots": 18, "stub": Fraction(48)},
}


def plan(kind: str, **changed: Any) -> Plan:
    return work_out(kind, {**MEASURES[kind], **changed}, HALF, Method.TRUE)


def bent(made: Plan, closed: list[float], turned: list[float] | None = None, length: float = 120) -> Path:
    """The plan as a hand might bend it: each bend so many degrees further, and turned."""
    turns = turned or [0.0] * len(closed)
    marks = [
        replace(mark, bend=mark.bend + close, roll=mark.roll + turn)
        for mark, close, turn in zip(made.marks, closed, turns, strict=True)
    ]
    return simulate(marks, HALF.bender, length)


def mended(made: Plan, closed: list[float], tweaks: tuple[Tweak, ...]) -> list[float]:
    after = list(closed)
    for tweak in tweaks:
        after[tweak.mark - 1] += tweak.close
    return after


def as_measured(value: float) -> Fraction:
    """A sixteenth, as a tape is read."""
    return Fraction(round(value * 16), 16)


@pytest.mark.parametrize("kind", MEASURES)
def test_every_bend_has_checks_that_fit_when_made_as_planned(kind: str) -> None:
    made = plan(kind)
    every = checks(made, HALF)
    assert every
    for check in every:
        assert correct(made, HALF, {check.key: check.planned}).verdict is Verdict.FITS
        assert check.least <= check.planned <= check.most
        assert (check.quantity is Quantity.ANGLE) == isinstance(check.planned, float)
        assert str(check.planned) not in check.note.template


def test_published_sensitivity_of_an_offset() -> None:
    """6 in. rise, 30 degrees, R 4: both bends a degree over, the rise grows 0.18 in. (S cos + R sin) x
    0.01745."""
    radius, angle = HALF.bender.radius, math.radians(30)
    straight = (6 - 2 * radius * (1 - math.cos(angle))) / math.sin(angle)
    assert radius == pytest.approx(4, abs=0.01)
    law = (straight * math.cos(angle) + radius * math.sin(angle)) * math.radians(1)
    assert law == pytest.approx(0.18, abs=0.005)
    grown = legs_apart(bent(plan("offset"), [0.5, 0.5])) - legs_apart(bent(plan("offset"), [-0.5, -0.5]))
    assert grown == pytest.approx(law, rel=0.01)
    high = correct(plan("offset"), HALF, {"rise": Fraction(6) + Fraction(3, 8)})
    assert [tweak.close for tweak in high.tweaks] == [-2.0, -2.0]
    assert written(high.notes[0]) == "Open both bends by 2°."


@example(15.0, 161, -2.75)
@settings(max_examples=examples(40))
@given(st.sampled_from([15.0, 22.5, 30.0, 45.0]), st.integers(16 * 4, 16 * 12), st.floats(-4, 3))
def test_offset_rise_comes_back(angle: float, sixteenths: int, over: float) -> None:
    """A long slope too: once only one bend of 15 degrees was closed, and the far leg leaned by three."""
    rise = Fraction(sixteenths, 16)
    made = plan("offset", distance=Fraction(60), angle=angle, rise=rise)
    found = as_measured(legs_apart(bent(made, [over, over])))
    correction = correct(made, HALF, {"rise": found})
    # Changes are given to half a degree: what a quarter of one moves, dH = (S cos a + R sin a) da, may stay.
    as_planned = bent(made, [0.0, 0.0])
    slope = as_planned.straights()[1] * math.cos(math.radians(angle))
    coarse = (slope + as_planned.radius * math.sin(math.radians(angle))) * math.radians(0.25)
    if correction.verdict is Verdict.FITS:
        assert abs(found - rise) <= max(float(LENGTH_TOLERANCE), coarse) + 1 / 16
        return
    assert correction.verdict is Verdict.BEND
    path = bent(made, mended(made, [over, over], correction.tweaks))
    assert legs_apart(path) == pytest.approx(float(rise), abs=max(float(LENGTH_TOLERANCE), coarse) + 1 / 16)
    assert legs_out_of_parallel(path) < 1.1
    assert correction.predicted["rise"] == pytest.approx(legs_apart(path), abs=1 / 16)


def test_a_height_alone_is_not_corrected_at_the_cost_of_the_far_leg() -> None:
    """A rise of 10 1/16 for 9 15/16 once closed the far bend alone by 4.5 degrees: the height fits, the far leg leans
    by as much (plane geometry: the legs of two opposite bends lean by what one is more than the other)."""
    made = plan("offset", distance=Fraction(60), angle=22.5, rise=Fraction(159, 16))
    close = [0.0, 0.0]
    for tweak in correct(made, HALF, {"rise": Fraction(161, 16)}).tweaks:
        close[tweak.mark - 1] = tweak.close
    assert abs(close[0] - close[1]) <= 1.0


@settings(max_examples=examples(30))
@given(st.sampled_from(["saddle3", "saddle4"]), st.floats(-2.5, 2.5))
def test_saddle_height_comes_back_and_legs_stay_in_line(kind: str, over: float) -> None:
    made = plan(kind)
    closed = [over, 2 * over, over] if kind == "saddle3" else [over] * 4
    found = as_measured(norm(from_tape_leg(crown(bent(made, closed))[1])))
    correction = correct(made, HALF, {"rise": found})
    if correction.verdict is Verdict.FITS:
        assert abs(found - 3) <= LENGTH_TOLERANCE
        return
    path = bent(made, mended(made, closed, correction.tweaks))
    assert norm(from_tape_leg(crown(path)[1])) == pytest.approx(3, abs=float(LENGTH_TOLERANCE) + 1 / 32)
    assert legs_out_of_parallel(path) < 1.1


@settings(max_examples=examples(30))
@given(st.sampled_from(["offset", "saddle3", "saddle4", "rolling"]), st.floats(-4, 4))
def test_far_leg_comes_parallel_again(kind: str, over: float) -> None:
    """The last bend alone is off: told by the far leg, up or down over two feet."""
    made = plan(kind)
    closed = [0.0] * (len(made.marks) - 1) + [over]
    found = as_measured(leg_up(bent(made, closed, length=200), kind))
    correction = correct(made, HALF, {"far_leg": found})
    if correction.verdict is Verdict.FITS:
        assert abs(over) < 1.5
        return
    after = bent(made, mended(made, closed, correction.tweaks))
    assert [tweak.mark for tweak in correction.tweaks] == [len(made.marks)]
    assert legs_out_of_parallel(after) < 0.7


def leg_up(path: Path, kind: str) -> float:
    """Of an offset the rise of the far leg over two feet, of a saddle its height two feet out; up is where the
    first bend turns."""
    leg = far_leg(path)
    start, end = leg.point(leg.start), leg.point(leg.start + 24)
    up = math.cos(math.radians(path.arcs[0].roll))
    return up * (end[1] if kind.startswith("saddle") else end[1] - start[1])


@settings(max_examples=examples(30))
@given(st.floats(2, 6), st.sampled_from(["offset", "saddle3", "saddle4"]))
def test_dogleg_is_turned_back(turn: float, kind: str) -> None:
    made = plan(kind)
    none = [0.0] * len(made.marks)
    turns = [*none[:-1], turn]
    leg = far_leg(bent(made, none, turns, length=200))
    daylight = as_measured(abs(leg.point(leg.start + 24)[2]))
    correction = correct(made, HALF, {"dogleg": daylight})
    if correction.verdict is Verdict.FITS:
        assert daylight <= Fraction(1, 4)
        return
    assert [abs(tweak.turn) for tweak in correction.tweaks] == pytest.approx([turn], abs=0.75)
    assert correction.tweaks[0].mark == len(made.marks)


def test_two_measures_at_once() -> None:
    """Too low and the far leg spread: both bends closed, the last one differently."""
    made = plan("offset")
    path = bent(made, [-2.0, -4.0])
    spread = as_measured(leg_up(path, "offset"))
    correction = correct(made, HALF, {"far_leg": spread, "rise": as_measured(legs_apart(path))})
    closes = {tweak.mark: tweak.close for tweak in correction.tweaks}
    assert closes == {1: pytest.approx(2, abs=0.6), 2: pytest.approx(4, abs=0.6)}


def test_explained_as_an_independent_solver_does() -> None:
    made = plan("offset")

    def over(degrees: float) -> float:
        return legs_apart(bent(made, [degrees, degrees])) - 5.25

    root = brentq(over, -10, 5)
    correction = correct(made, HALF, {"rise": Fraction("5.25")})
    assert [tweak.close for tweak in correction.tweaks] == pytest.approx([-root, -root], abs=0.26)


def test_over_bent_ninety_is_brought_back_a_little() -> None:
    """An over-bent 90 can be brought back a little (course Level I, lesson 5); much of it flattens the
    conduit."""
    made = plan("stub")
    assert correct(made, HALF, {"square": 93.0}).tweaks == (Tweak(1, close=-3.0),)
    assert correct(made, HALF, {"square": 90 + MOST_OPENED + 1}).verdict is Verdict.REMAKE
    assert correct(made, HALF, {"square": 90 - MOST_CLOSED}).tweaks == (Tweak(1, close=MOST_CLOSED - 0.5),)
    assert correct(made, HALF, {"square": 90.5}).verdict is Verdict.FITS


def test_stub_too_long_is_cut_and_too_short_made_again() -> None:
    made = plan("stub")
    long = correct(made, HALF, observe(made, HALF, "too_long", Fraction(3, 8)))
    assert (long.verdict, long.trim, long.headline()) == (Verdict.TRIM, Fraction(3, 8), '3/8"')
    short = correct(made, HALF, observe(made, HALF, "too_short", Fraction(3, 8)))
    assert (short.verdict, short.headline()) == (Verdict.MOVE, '3/8"')


def test_crown_late_is_cut_off_the_tape_end() -> None:
    made = plan("saddle3")
    late = correct(made, HALF, observe(made, HALF, "crown_late", Fraction(1, 2)))
    assert (late.verdict, late.trim) == (Verdict.TRIM, Fraction(1, 2))
    assert correct(made, HALF, observe(made, HALF, "crown_early", Fraction(1, 2))).verdict is Verdict.MOVE


def test_backs_that_miss_cannot_be_bent_right() -> None:
    made = plan("back-to-back")
    assert correct(made, HALF, {"distance": Fraction(41)}).verdict is Verdict.REMAKE


@pytest.mark.parametrize(
    ("fault", "key", "sign"),
    [
        ("too_high", "rise", 1),
        ("too_low", "rise", -1),
        ("legs_off", "far_leg", 1),
        ("dogleg", "dogleg", 1),
        ("daylight_left", "tape_leg", 1),
        ("daylight_right", "far_leg", 1),
        ("crown_late", "crown_at", 1),
    ],
)
def test_faults_as_they_are_spoken(fault: str, key: str, sign: int) -> None:
    made = plan("saddle3")
    planned = {"rise": 3, "crown_at": 48}.get(key, 0)
    assert observe(made, HALF, fault, Fraction(1, 2)) == {key: planned + sign * Fraction(1, 2)}


@pytest.mark.parametrize("fault", ["daylight_left", "daylight_right", "leg_up"])
def test_daylight_opens_one_bend_and_leaves_the_height(fault: str) -> None:
    """Two degrees lift a leg 0.84 in. in two feet (computed). The last bend opened by them brings the legs parallel
    and leaves the crown where it is; the first would move it."""
    made = plan("saddle3")
    correction = correct(made, HALF, observe(made, HALF, fault, 2.0))
    assert [tweak.mark for tweak in correction.tweaks] == [3]
    assert correction.tweaks[0].close == pytest.approx(-2, abs=1.1)
    down = correct(made, HALF, observe(made, HALF, "leg_down", 2.0))
    assert [tweak.mark for tweak in down.tweaks] == [3]
    assert down.tweaks[0].close == pytest.approx(2, abs=0.3)


def test_unknown_check_names_those_there_are() -> None:
    with pytest.raises(BenchError) as caught:
        correct(plan("stub"), HALF, {"crown_at": Fraction(3)})
    assert caught.value.remedy.values == {"keys": "square, rise"}
    with pytest.raises(BenchError):
        observe(plan("stub"), HALF, "crown_late", Fraction(1))


def test_by_the_book_is_mended_towards_what_was_asked() -> None:
    made = work_out("offset", {**MEASURES["offset"], "angle": 45.0}, HALF, Method.BOOK)
    assert {check.key: check.planned for check in checks(made, HALF)}["rise"] == 6


def test_metric_headline() -> None:
    made = plan("stub")
    assert correct(made, HALF, {"rise": Fraction(15)}).headline(Units.METRIC) == "25 mm"


def test_at_the_limit_what_can_be_bent_is_bent() -> None:
    """An eighth is usually accepted (common practice, no source); a reading just there is as likely over it."""
    made = plan("offset")
    assert correct(made, HALF, {"rise": Fraction(6) + Fraction(1, 16)}).verdict is Verdict.FITS
    assert correct(made, HALF, {"rise": Fraction(6) + LENGTH_TOLERANCE}).verdict is Verdict.BEND


def test_at_the_limit_nothing_is_cut_or_moved() -> None:
    made = plan("stub")
    for off in (LENGTH_TOLERANCE, -LENGTH_TOLERANCE):
        assert correct(made, HALF, {"rise": Fraction(14) + off}).verdict is Verdict.FITS
    more = LENGTH_TOLERANCE + Fraction(1, 16)
    assert correct(made, HALF, {"rise": Fraction(14) + more}).verdict is Verdict.TRIM
    assert correct(made, HALF, {"rise": Fraction(14) - more}).verdict is Verdict.MOVE


@pytest.mark.parametrize("kind", ["offset", "kick", "saddle3", "box-offset"])
def test_nobody_is_told_to_make_again_what_is_at_the_limit(kind: str) -> None:
    """Where half a degree would overshoot it is left as it is."""
    made = plan(kind)
    for check in checks(made, HALF):
        found = check.planned + check.tolerance
        assert correct(made, HALF, {check.key: found}).verdict in (Verdict.BEND, Verdict.FITS)
