"""What the checks after a bend are worth: of what the hand does wrong, how much is removed.

    python -m tests.benchmarks.checks --each 100 --seed 1

Bends of every kind are made with usual errors (angle 1.5 degrees, mark 1/32, turn 1.5 degrees, all normal), each check
is read with a tape (1/32) in the order the dialogue asks them, and what Bench says is done (to half a degree). The
error of a bend is the root of the sum of squares, in tolerances, of what is wrong with the finished shape: its height,
its far leg two feet out in both planes, its place along the wall, its legs out of line.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction as F

from bench.core.as_bent import Shape
from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.corrections import Check, Verdict, checks, correct, gauges
from bench.core.given import Number
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.plan import Plan, Quantity
from bench.data import tables

ANGLE, TURN, MARK, READING = 1.5, 1.5, 1 / 32, 1 / 32
TRIES = 3
"""How often one check is mended before going on."""


@dataclass(frozen=True)
class Outcome:
    """One bend: its error before and after, whether it was to be made again, and the seconds of the slowest
    correction."""

    before: float
    after: float
    remade: bool
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
    """As a hand makes it."""
    count = len(plan.marks)

    def errors(spread: float) -> tuple[float, ...]:
        return tuple(dice.gauss(0, spread) for _ in range(count))

    share = 1 / math.sqrt(count) if count > 6 else 1.0
    return Shape(plan, setup, errors(ANGLE * share), errors(TURN * share), errors(MARK))


def wrong(shape: Shape) -> float:
    """The error of a shape, in tolerances."""
    plan, setup = shape.plan, shape.setup
    planned = Shape.planned(plan, setup)
    total = 0.0
    for gauge in gauges(plan):
        if not gauge.routine:
            continue
        (here,), (wanted,) = shape.read([gauge]), planned.read([gauge])
        off = abs(abs(here) - abs(wanted)) if gauge.turns else abs(here - wanted)
        total += (off / (1.0 if gauge.degrees else 0.25 if gauge.level is not None else 0.125)) ** 2
    return math.sqrt(total)


def reading(shape: Shape, check: Check, dice: random.Random) -> Number:
    """What a person reads: to a sixteenth of an inch, or half a degree."""
    gauge = next(gauge for gauge in gauges(shape.plan) if gauge.key == check.key)
    (value,) = shape.read([gauge])
    value = abs(value) if gauge.turns else value
    if check.quantity is Quantity.ANGLE:
        return round(2 * (value + dice.gauss(0, 0.25))) / 2
    return round_to(value + dice.gauss(0, READING))


def checked(plan: Plan, setup: Setup, dice: random.Random) -> Outcome:
    """One bend made, checked and mended."""
    shape = bent(plan, setup, dice)
    before, slowest = wrong(shape), 0.0
    known: dict[str, Number] = {}
    for check in checks(plan, setup):
        for _ in range(TRIES):
            known[check.key] = reading(shape, check, dice)
            began = time.perf_counter()
            correction = correct(plan, setup, known)
            slowest = max(slowest, time.perf_counter() - began)
            if correction.verdict is Verdict.REMAKE:
                return Outcome(before, wrong(shape), True, slowest)
            if correction.verdict is Verdict.TRIM:
                shape = _trimmed(shape, float(correction.trim or 0))
            if correction.verdict is not Verdict.BEND:
                break
            closes, turns = [0.0] * len(plan.marks), [0.0] * len(plan.marks)
            for tweak in correction.tweaks:
                closes[tweak.mark - 1], turns[tweak.mark - 1] = tweak.close, tweak.turn
            shape = _mended(shape, closes, turns, known, correction.predicted)
    return Outcome(before, wrong(shape), False, slowest)


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
    return min(here, there, key=wrong) if any(turns) else here


def table(each: int, seed: int, kinds: tuple[str, ...] = KINDS) -> list[tuple[str, list[Outcome]]]:
    """The outcomes of so many bends a kind."""
    rows = []
    for kind in kinds:
        dice = random.Random(f"{seed} {kind}")
        rows.append((kind, [checked(*random_plan(kind, dice), dice) for _ in range(each)]))
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--each", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kinds", nargs="*", default=KINDS)
    args = parser.parse_args()
    print("| kind | removed, % | worse | make again, % | left, median and worst, tolerances | slowest, ms |")
    print("|---|---|---|---|---|---|")
    for kind, outcomes in table(args.each, args.seed, tuple(args.kinds)):
        kept = [one for one in outcomes if not one.remade]
        removed = 100 * (1 - sum(one.after for one in kept) / max(sum(one.before for one in kept), 1e-9))
        worse = sum(one.after > max(one.before, 1.0) + 0.25 for one in kept)
        again = 100 * (len(outcomes) - len(kept)) / len(outcomes)
        left = [one.after for one in kept]
        slow = 1000 * max(one.slowest for one in outcomes)
        print(
            f"| {kind} | {removed:.0f} | {worse} | {again:.1f} | {statistics.median(left):.2f},"
            f" {max(left):.2f} | {slow:.0f} |"
        )


if __name__ == "__main__":
    main()
