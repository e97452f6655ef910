"""What the checks after a bend are worth: of what the hand does wrong, how much is removed.

    python -m tests.benchmarks.checks --each 1000 --seed 1 --processes 2

Bends of every kind are made with usual errors (angle 1.5 degrees, mark 1/32, turn 1.5 degrees, all normal), each check
is read with a tape (1/32, to a sixteenth; angles 0.25 degrees, to half a degree) in the order the dialogue asks them,
and XX: its height, its far leg two feet out in both planes, its place along the wall, its angle.

removed   of the root of the sum of their squares, mean before against mean after
at most   the same if nothing were left but the error of the last readings
beyond    removed of what the worst of them is over one tolerance
out       bends with any of them over one tolerance, before and after
worse     bends worse by more than a quarter of a tolerance, and past one and a quarter
again     bends to be made again; left out of the other columns
short     bends found too short, where only moving the fitting or a coupling helps
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction as F
from functools import partial
from multiprocessing import Pool

from bench.core.as_bent import Shape
from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.checks import Check, checks, gauges
from bench.core.corrections import Verdict, correct
from bench.core.gauges import Gauge
from bench.core.given import Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.plan import Plan, Quantity
from bench.data import tables

ANGLE, TURN, MARK, READING = 1.5, 1.5, 1 / 32, 1 / 32
TRIES = 3
"""Most corrections at one check before going on."""


Off = Mapping[str, float]
"""Tolerances that each routine check is off by."""


@dataclass(frozen=True)
class Outcome:
    """One bend: what is off before and after, what the readings alone leave off, what was to be done, and the seconds
    of the slowest correction."""

    before: Off
    after: Off
    read_off: Off
    verdict: Verdict
    slowest: float


def random_plan(kind: str, dice: random.Random) -> tuple[Plan, Setup]:
    """A bend that can be made, on any typical bender."""
    while True:
        setup = replace(tables.setup(*dice.choice(list(tables.benders()))), stick_length=F(240))
        try:
            return work_out(kind, _measures(kind, dice), setup), setup
        except BenchError:
            continue


def _measures(kind: str, dice: random.Random) -> Mapping[str, Number]:
    def inches(least: int, most: int) -> F:
        return F(dice.randrange(least * 16, most * 16), 16)

    every: dict[str, dict[str, Number]] = {
        "offset": {"distance": inches(40, 80), "rise": inches(2, 14)},
        "rolling": {"distance": inches(40, 80), "rise": inches(2, 10), "roll": inches(2, 10)},
        "kick": {"distance": inches(40, 80), "rise": inches(2, 14)},
        "back-to-back": {"stub": inches(22, 40), "distance": inches(30, 60)},
        "saddle3": {"to_center": inches(40, 80), "height": inches(1, 6)},
        "saddle4": {"to_edge": inches(40, 80), "height": inches(1, 8), "width": inches(4, 20)},
        "box-offset": {"rise": F(dice.randrange(4, 14), 16)},
        "stub": {"height": inches(22, 60)},
        "segmented": {"radius": inches(24, 48), "angle": 90.0, "shots": 15, "start": F(24)},
    }
    return every[kind]


KINDS = ("offset", "rolling", "kick", "back-to-back", "saddle3", "saddle4", "box-offset", "stub", "segmented")


def bent(plan: Plan, setup: Setup, dice: random.Random) -> Shape:
    """The bend as made by hand, with random errors."""
    count = len(plan.marks)

    def errors(spread: float) -> tuple[float, ...]:
        return tuple(dice.gauss(0, spread) for _ in range(count))

    share = 1 / math.sqrt(count) if count > 6 else 1.0
    return Shape(plan, setup, errors(ANGLE * share), errors(TURN * share), errors(MARK))


def off_by(shape: Shape) -> Off:
    """The errors of a shape."""
    planned = Shape.planned(shape.plan, shape.setup)
    return {
        gauge.key: _apart(gauge, shape, planned) / _tolerance(gauge)
        for gauge in gauges(shape.plan)
        if gauge.routine
    }


def _apart(gauge: Gauge, shape: Shape, planned: Shape) -> float:
    """From what was asked for; where nothing was, from what the marks should make."""
    asked = next((shape.plan.inputs[key] for key in gauge.asked if key in shape.plan.inputs), None)
    (here,), (made,) = shape.read([gauge]), planned.read([gauge])
    wanted = made if asked is None else float(asked)
    return abs(abs(here) - abs(wanted)) if gauge.turns else abs(here - wanted)


def _tolerance(gauge: Gauge) -> float:
    return 1.0 if gauge.degrees else 0.25 if gauge.level is not None else 0.125


def size(off: Off) -> float:
    """The root of the sum of squares."""
    return math.sqrt(sum(value**2 for value in off.values()))


def beyond(off: Off) -> float:
    """What the worst is over its tolerance."""
    return max(0.0, max(off.values()) - 1)


def reading(shape: Shape, check: Check, dice: random.Random) -> Number:
    """What a person reads: to a sixteenth of an inch, or half a degree."""
    gauge = next(gauge for gauge in gauges(shape.plan) if gauge.key == check.key)
    (value,) = shape.read([gauge])
    value = abs(value) if gauge.turns else value
    if check.quantity is Quantity.ANGLE:
        return round(2 * (value + dice.gauss(0, 0.25))) / 2
    return round_to(value + dice.gauss(0, READING))


def checked(plan: Plan, setup: Setup, dice: random.Random) -> Outcome:
    """One bend made, checked and corrected."""
    shape = bent(plan, setup, dice)
    before, slowest, read_off, verdict = off_by(shape), 0.0, {}, Verdict.FITS
    known: dict[str, Number] = {}
    for check in checks(plan, setup):
        for _ in range(TRIES):
            known[check.key] = reading(shape, check, dice)
            read_off[check.key] = _misread(shape, check, known[check.key])
            began = time.process_time()
            correction = correct(plan, setup, known)
            slowest = max(slowest, time.process_time() - began)
            if correction.verdict is Verdict.REMAKE:
                return Outcome(before, off_by(shape), read_off, Verdict.REMAKE, slowest)
            if correction.verdict is Verdict.TRIM:
                shape = _trimmed(shape, float(correction.trim or 0))
            if correction.verdict is not Verdict.BEND:
                verdict = Verdict.MOVE if correction.verdict is Verdict.MOVE else verdict
                break
            closes, turns = [0.0] * len(plan.marks), [0.0] * len(plan.marks)
            for tweak in correction.tweaks:
                closes[tweak.mark - 1], turns[tweak.mark - 1] = tweak.close, tweak.turn
            shape = _mended(shape, closes, turns, known, correction.predicted)
    return Outcome(before, off_by(shape), read_off, verdict, slowest)


def _misread(shape: Shape, check: Check, read: Number) -> float:
    """How far a reading is off what is there, in tolerances."""
    gauge = next(gauge for gauge in gauges(shape.plan) if gauge.key == check.key)
    (value,) = shape.read([gauge])
    return abs(float(read) - (abs(value) if gauge.turns else value)) / _tolerance(gauge)


def _trimmed(shape: Shape, by: float) -> Shape:
    """All lies nearer the tape end by what was cut off."""
    return replace(shape, slipped=tuple(slip - by for slip in shape.slipped))


def _mended(
    shape: Shape,
    closes: list[float],
    turns: list[float],
    known: dict[str, Number],
    predicted: Mapping[str, float],
) -> Shape:
    """The person turns against the lean: whichever way makes it less. What was read before is then as foreseen, to a
    64th, as the dialogue keeps it."""
    here, there = shape.changed(closes, turns), shape.changed(closes, [-turn for turn in turns])
    known.update(
        {
            key: round_to(value, F(1, 64)) if isinstance(known[key], F) else value
            for key, value in predicted.items()
        }
    )
    return min(here, there, key=lambda shape: size(off_by(shape))) if any(turns) else here


def table(each: int, seed: int, kind: str) -> list[Outcome]:
    """The outcomes of so many bends of a kind."""
    dice = random.Random(f"{seed} {kind}")
    return [checked(*random_plan(kind, dice), dice) for _ in range(each)]


def row(kind: str, outcomes: list[Outcome]) -> str:
    """A row of the table."""
    kept = [one for one in outcomes if one.verdict is not Verdict.REMAKE]
    before, after = (
        [size(off) for off in offs] for offs in zip(*((o.before, o.after) for o in kept), strict=True)
    )
    worse = sum(late > max(early, 1.0) + 0.25 for early, late in zip(before, after, strict=True))
    over = [[beyond(off) for off in offs] for offs in zip(*((o.before, o.after) for o in kept), strict=True)]
    out = [100 * sum(value > 0 for value in values) / len(kept) for values in over]
    again, short = (
        100 * sum(one.verdict is verdict for one in outcomes) / len(outcomes)
        for verdict in (Verdict.REMAKE, Verdict.MOVE)
    )
    most = _removed(before, [size(one.read_off) for one in kept])
    return (
        f"| {kind} | {_removed(before, after):.0f} | {most:.0f} | {_removed(*over):.1f} | {out[0]:.0f}, {out[1]:.0f} |"
        f" {worse} | {again:.1f} | {short:.1f} | {statistics.median(before):.2f} |"
        f" {statistics.median(after):.2f}, {max(after):.2f} | {1000 * max(one.slowest for one in outcomes):.0f} |"
    )


def _removed(before: Sequence[float], after: Sequence[float]) -> float:
    return 100 * (1 - sum(after) / max(sum(before), 1e-9))


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--each", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kinds", nargs="*", default=KINDS)
    parser.add_argument("--processes", type=int, default=1)
    args = parser.parse_args()
    print(
        "| kind | removed, % | at most, % | beyond, % | out, % | worse | again, % | short, % | before, median |"
        " left, median and worst | slowest, ms |"
    )
    print("|" + "---|" * 11)
    with Pool(args.processes) as pool:
        every = pool.imap(partial(table, args.each, args.seed), args.kinds)
        for kind, outcomes in zip(args.kinds, every, strict=True):
            print(row(kind, outcomes), flush=True)


if __name__ == "__main__":
    main()
