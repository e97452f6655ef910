"""What learning a bender and its person is worth: bends that fit the first time, before and after.

    python -m tests.benchmarks.learning --people 200 --bends 12 --seed 1

Each person has a bender that differs from the typical one and a hand of their own; the typical table starts at no
springback. They make `--bends` bends with the typical numbers, checks read and mended in the order the dialogue asks,
and once more as many with what Bench learned of the first, where it offers anything. A bend fits the first time when
every check is within its tolerance as it comes out of the bender. `true` are the same bends with the bender's and
hand's true numbers, the most that could be had; `worse` are people with fewer fits than with typical numbers: with the
true ones that is chance alone. Hand errors are normal: angle as given by `--angle` (usual 1.5 degrees), turn 1.5
degrees, mark 1/32, reading 1/32 in. and a quarter of a degree.
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
from bench.core.checks import Check, checks, gauges
from bench.core.corrections import Verdict, correct
from bench.core.evidence import evidence_of
from bench.core.given import Number
from bench.core.learned import (
    TYPICAL_SPREAD,
    Evidence,
    Numbers,
    estimate,
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
    """How many of a person's bends fit the first time with typical, learned and true numbers; whether Bench offered;
    how far what was learned is off."""

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


def read(shape: Shape, check: Check, dice: random.Random) -> Number:
    """What a person reads at a check."""
    gauge = next(gauge for gauge in gauges(shape.plan) if gauge.key == check.key)
    (value,) = shape.read([gauge])
    if gauge.degrees:
        return round(4 * (value + dice.gauss(0, ANGLE_READING))) / 4
    return round_to(value + dice.gauss(0, READING))


def fits(shape: Shape, setup: Setup, dice: random.Random) -> bool:
    """Whether all its checks are within tolerance; a dogleg is a slip of the hand that no bender's numbers change."""
    known = {gauge.key: gauge for gauge in gauges(shape.plan)}
    each = [check for check in checks(shape.plan, setup) if not known[check.key].turns]
    return all(abs(float(read(shape, one, dice) - one.planned)) <= float(one.tolerance) for one in each)


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
    so_far = estimate(Numbers.of(who.setup.bender), TYPICAL_SPREAD, ())
    for number, (kind, measures) in enumerate(asked):
        plan = work_out(kind, measures, setup)
        shape = made(plan, setup, who, angle, dice)
        fit += fits(shape, setup, dice)
        for known, mended in checked(shape, setup, dice):
            one = evidence_of((str(number),), plan, setup, known, so_far=so_far, mended=mended)
            if one is not None:
                taught.append(one)
                so_far = estimate(Numbers.of(who.setup.bender), TYPICAL_SPREAD, taught)
    return fit, taught


def checked(shape: Shape, setup: Setup, dice: random.Random) -> list[tuple[dict[str, Number], bool]]:
    """What is read in the order the dialogue asks, up to the first mending, and what is read after it."""
    plan, found = shape.plan, []
    known: dict[str, Number] = {}
    since: dict[str, Number] = {}
    mended = False
    for check in checks(plan, setup):
        known[check.key] = since[check.key] = read(shape, check, dice)
        correction = correct(plan, setup, known)
        if correction.verdict is Verdict.REMAKE:
            break
        if correction.verdict is not Verdict.BEND:
            continue
        if not mended:
            found.append((dict(since), False))
        mended, since = True, {}
        closes, turns = [0.0] * len(plan.marks), [0.0] * len(plan.marks)
        for tweak in correction.tweaks:
            closes[tweak.mark - 1], turns[tweak.mark - 1] = tweak.close, tweak.turn
        shape = shape.changed(closes, turns)
        known = {key: correction.predicted[key] for key in known if key in correction.predicted}
    return [*found, (since, mended)] if since else found


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
        "| slip, degrees | people | offered | fit first: typical | learned | true | worse: learned | true |"
    )
    print("|---|---|---|---|---|---|---|---|")
    for angle in args.angle:
        found = [tried(number, args.seed, args.bends, angle) for number in range(args.people)]
        shares = [
            100 * sum(getattr(one, name) for one in found) / total for name in ("typical", "learned", "true")
        ]
        worse, chance = (
            sum(getattr(one, name) < one.typical for one in found) for name in ("learned", "true")
        )
        print(
            f"| {angle} | {args.people} | {sum(one.offered for one in found)} |"
            + "".join(f" {share:.0f} % |" for share in shares)
            + f" {worse} | {chance} |"
        )
        spreads = [math.sqrt(sum(one.off.row[way] ** 2 for one in found) / len(found)) for way in range(4)]
        print(
            f"|  | off by (rms) | take-up {spreads[0]:.3f} | radius {spreads[1]:.3f} |"
            f" springback {spreads[2]:.2f} | hand {spreads[3]:.2f} | | |"
        )


if __name__ == "__main__":
    main()
