"""What learning a bender and its person is worth: bends that fit the first time, before and after.

    python -m tests.benchmarks.learning --people 200 --bends 12 --seed 1

Each person has a bender that differs from the typical one and a hand of their own; the typical table starts at no
springback. They make `--bends` bends with the typical numbers, each read at its checks, and once more as many with what
Bench learned of the first, where it offers anything. A bend fits the first time when every check is within its
tolerance as it comes out of the bender. `true` are the same bends with the bender's and hand's true numbers, the most
that could be had. Hand errors are normal: angle as given by `--angle` (usual 1.5 degrees), turn 1.5 degrees, mark 1/32,
reading 1/32 in. and a quarter of a degree.
"""

from __future__ import annotations

import argparse
import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction as F

from bench.core.as_bent import Shape
from bench.core.bender import SQUARE_CORNER, Bender, Setup
from bench.core.bends import work_out
from bench.core.corrections import checks, gauges
from bench.core.given import Number
from bench.core.learned import (
    TYPICAL_SPREAD,
    Estimate,
    Evidence,
    Numbers,
    estimate,
    evidence_of,
    worth_offering,
)
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.plan import Plan
from bench.data import tables

TURN, MARK, READING, ANGLE_READING = 1.5, 1 / 32, 1 / 32, 0.25
KINDS = ("offset", "stub", "saddle3", "kick", "back-to-back", "saddle4")
CONDUITS = (("emt", "1/2"), ("emt", "3/4"), ("emt", "1"))


@dataclass(frozen=True)
class Person:
    """A bender and a hand as they are: take-up and radius off by so many inches, springback and hand in degrees."""

    setup: Setup
    take_up: float
    radius: float
    springback: float
    hand: float

    @property
    def bender(self) -> Bender:
        """The bender with its true numbers."""
        used = self.setup.bender
        gain = F(used.radius + self.radius) * F(SQUARE_CORNER) + used.od
        return replace(
            used,
            take_up=used.take_up + F(self.take_up),
            gain=gain,
            springback=self.springback,
            hand=self.hand,
            typical=False,
        )


@dataclass(frozen=True)
class Outcome:
    """How many of a person's bends fit the first time with typical, learned and true numbers; whether Bench offered."""

    typical: int
    learned: int
    true: int
    offered: bool
    off: Numbers


def person(dice: random.Random) -> Person:
    """Take-up 3/16 and radius 1/8 about the typical ones, springback 2.2 give or take 0.7, a hand of 0 +- 1 degree.

    Springback of steel is computed as 2.0 to 2.4 (trade values); the spreads are common practice, no source.
    """
    setup = replace(tables.setup(*dice.choice(CONDUITS)), stick_length=F(240))
    while True:
        springback = max(0.0, dice.gauss(2.2, 0.7))
        one = Person(setup, dice.gauss(0, 3 / 16), dice.gauss(0, 1 / 8), springback, dice.gauss(0, 1.0))
        try:
            one.bender.pull(90.0)
        except BenchError:
            continue
        return one


def made(plan: Plan, setup: Setup, who: Person, angle: float, dice: random.Random) -> Shape:
    """As this person makes it on this bender, from marks and pulls worked out with the numbers of `setup`."""
    kept = [(mark.pull + who.hand) / (1 + who.springback / 90) for mark in plan.marks]
    closed = tuple(k - mark.bend + dice.gauss(0, angle) for k, mark in zip(kept, plan.marks, strict=True))
    turned = tuple(dice.gauss(0, TURN) for _ in plan.marks)
    slipped = tuple(dice.gauss(0, MARK) for _ in plan.marks)
    return Shape(plan, replace(setup, bender=who.bender), closed, turned, slipped)


def read(shape: Shape, planned: Setup, dice: random.Random) -> tuple[dict[str, Number], bool]:
    """What is read at each check, and whether all are within tolerance."""
    known = {gauge.key: gauge for gauge in gauges(shape.plan)}
    found: dict[str, Number] = {}
    fits = True
    for check in checks(shape.plan, planned):
        gauge = known[check.key]
        (value,) = shape.read([gauge])
        if gauge.degrees:
            found[check.key] = round(4 * (value + dice.gauss(0, ANGLE_READING))) / 4
        else:
            found[check.key] = round_to(value + dice.gauss(0, READING))
        off = abs(abs(float(found[check.key])) - abs(float(check.planned))) if gauge.turns else None
        off = abs(float(found[check.key] - check.planned)) if off is None else off
        # A dogleg is a slip of the hand that no bender's numbers change.
        fits = fits and (bool(gauge.turns) or off <= float(check.tolerance))
    return found, fits


def plans(setup: Setup, bends: int, dice: random.Random) -> list[tuple[str, Mapping[str, Number]]]:
    """So many bends of every kind in turn, which can be made."""
    found: list[tuple[str, Mapping[str, Number]]] = []
    while len(found) < bends:
        kind = KINDS[len(found) % len(KINDS)]
        measures = _measures(kind, dice)
        try:
            work_out(kind, measures, setup)
        except BenchError:
            continue
        found.append((kind, measures))
    return found


def _measures(kind: str, dice: random.Random) -> Mapping[str, Number]:
    def inches(least: int, most: int) -> F:
        return F(dice.randrange(least * 16, most * 16), 16)

    every: dict[str, dict[str, Number]] = {
        "offset": {"distance": inches(40, 80), "rise": inches(3, 14)},
        "kick": {"distance": inches(40, 80), "rise": inches(3, 14)},
        "back-to-back": {"stub": inches(22, 40), "distance": inches(30, 60)},
        "saddle3": {"to_center": inches(40, 80), "height": inches(2, 6)},
        "saddle4": {"to_edge": inches(40, 80), "height": inches(2, 8), "width": inches(6, 20)},
        "stub": {"height": inches(22, 60)},
    }
    return every[kind]


def bend_all(
    who: Person,
    bender: Bender,
    asked: Sequence[tuple[str, Mapping[str, Number]]],
    angle: float,
    dice: random.Random,
) -> tuple[int, list[Evidence]]:
    """The bends made with the numbers of a bender: how many fit the first time, and what they taught."""
    setup = replace(who.setup, bender=bender)
    fit, taught = 0, []
    so_far: Estimate | None = None
    start = Numbers.of(who.setup.bender)
    for number, (kind, measures) in enumerate(asked):
        plan = work_out(kind, measures, setup)
        found, fits = read(made(plan, setup, who, angle, dice), setup, dice)
        fit += fits
        one = evidence_of((str(number),), plan, setup, found, so_far=so_far)
        if one is not None:
            taught.append(one)
            so_far = estimate(start, TYPICAL_SPREAD, taught)
    return fit, taught


def tried(number: int, seed: int, bends: int, angle: float) -> Outcome:
    """One person: bends with typical numbers, then as many with what was learned, and with the true ones.

    All three have the same slips of the hand.
    """
    dice = random.Random(f"{seed} {number}")
    who = person(dice)
    first, second = plans(who.setup, bends, dice), plans(who.setup, bends, dice)
    _, taught = bend_all(who, who.setup.bender, first, angle, dice)
    found = estimate(Numbers.of(who.setup.bender), TYPICAL_SPREAD, taught)
    learned = worth_offering(found, who.setup.bender, "learned")

    def fitting(bender: Bender) -> int:
        return bend_all(who, bender, second, angle, random.Random(f"{seed} {number} again"))[0]

    before = fitting(who.setup.bender)
    after = before if learned is None else fitting(learned)
    truth = Numbers.of(who.bender)
    off = Numbers(*(a - b for a, b in zip(found.numbers.row, truth.row, strict=True)))
    return Outcome(before, after, fitting(who.bender), learned is not None, off)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--people", type=int, default=200)
    parser.add_argument("--bends", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--angle", type=float, nargs="*", default=[1.5, 0.75])
    args = parser.parse_args()
    total = args.people * args.bends
    print(
        "| hand's slip, degrees | people | offered | fit first: typical | learned | true | fewer than before, people |"
    )
    print("|---|---|---|---|---|---|---|")
    for angle in args.angle:
        found = [tried(number, args.seed, args.bends, angle) for number in range(args.people)]
        shares = [
            100 * sum(getattr(one, name) for one in found) / total for name in ("typical", "learned", "true")
        ]
        worse = sum(one.learned < one.typical for one in found)
        print(
            f"| {angle} | {args.people} | {sum(one.offered for one in found)} |"
            + "".join(f" {share:.0f} % |" for share in shares)
            + f" {worse} |"
        )
        spreads = [math.sqrt(sum(one.off.row[way] ** 2 for one in found) / len(found)) for way in range(4)]
        print(
            f"|  | off by (rms) | take-up {spreads[0]:.3f} | radius {spreads[1]:.3f} |"
            f" springback {spreads[2]:.2f} | hand {spreads[3]:.2f} | |"
        )


if __name__ == "__main__":
    main()
