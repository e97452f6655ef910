"""The work on a stick as a list of steps: mark, turn, put, bend, check, cut, fit. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from bench.core.bender import Bender, Setup
from bench.core.cautions import Step
from bench.core.corrections import Check, checks
from bench.core.lengths import Units, angle_text, text
from bench.core.notes import Note
from bench.core.plan import Mark, Plan
from bench.core.stick import Stick
from bench.dialogue.knowledge import Knowledge
from bench.language.speak import spoken_length
from bench.language.write import written_value


class Doing(StrEnum):
    """What the hands do in a step."""

    MARK = "mark"
    TURN = "turn"
    SEAT = "seat"
    BEND = "bend"
    CHECK = "check"
    CUT = "cut"
    REAM = "ream"
    FIT = "fit"


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step: the words, the huge number, what else to know.

    `mark` indexes the stick's marks. `owner` indexes the stick's bends, at a check.
    """

    doing: Doing
    say: tuple[Note, ...]
    number: str
    lines: tuple[Note, ...] = ()
    mark: int | None = None
    angle: float | None = None
    caution: Step | None = None
    check: Check | None = None
    owner: int | None = None


def work_steps(
    stick: Stick, to_make: Sequence[int], plans: Sequence[tuple[int, Plan]], units: Units, k: Knowledge
) -> tuple[WorkStep, ...]:
    """What is left to do on a stick, in order: `to_make` are marks not yet bent, `plans` those to check."""
    setup = stick.setup
    steps = [_mark(stick, index, units, k) for index in to_make]
    roll = _roll_in_hand(stick, to_make)
    for index in sorted(to_make, key=lambda each: stick.marks[each].order):
        mark = stick.marks[index]
        if mark.roll != roll:
            steps.append(_turn(index, mark, roll, stick, k))
            roll = mark.roll
        steps += [_seat(index, mark, k), _bend(index, mark, setup.bender, k)]
    for owner, plan in plans:
        steps += [_check(check, owner, units, k) for check in checks(plan, setup)]
    return (*steps, *_ending(stick, setup, units, k))


def _roll_in_hand(stick: Stick, to_make: Sequence[int]) -> float:
    """How the conduit lies now: as the last bend made left it, or as the first one wants it."""
    made = [mark for index, mark in enumerate(stick.marks) if index not in to_make]
    if made:
        return max(made, key=lambda mark: mark.order).roll
    return stick.in_order[0].roll if stick.marks else 0.0


def _mark(stick: Stick, index: int, units: Units, k: Knowledge) -> WorkStep:
    mark = stick.marks[index]
    say = k.note("mark", name=index + 1, at=mark.at)
    return WorkStep(Doing.MARK, (say,), text(mark.at, units), (k.note("from_tape_end"),), mark=index)


def _turn(index: int, mark: Mark, now: float, stick: Stick, k: Knowledge) -> WorkStep:
    """From how the conduit lies now. What is to bend to the right is brought up by a turn to the left."""
    by = (mark.roll - now) % 360
    if by == 180:
        say = k.note("turn_back" if mark.roll == stick.in_order[0].roll else "turn_half")
    elif by < 180:
        say = k.note("turn_left", roll=float(by))
    else:
        say = k.note("turn_right", roll=float(360 - by))
    return WorkStep(Doing.TURN, (say,), angle_text(min(by, 360 - by)), (say, k.note("line_up")), mark=index)


def _seat(index: int, mark: Mark, k: Knowledge) -> WorkStep:
    hook = k.note(f"hook_{mark.hook}")
    say = k.note("seat", reference=k.word(mark.reference).capitalize(), mark=index + 1)
    lines = (say, hook)
    return WorkStep(Doing.SEAT, lines, str(index + 1), lines, mark=index, caution=Step.BEND)


def _bend(index: int, mark: Mark, bender: Bender, k: Knowledge) -> WorkStep:
    pair = bender.between_shoe_marks(mark.pull)
    between = () if pair is None else (_on_the_shoe(*pair, k),)
    sprung = abs(mark.pull - mark.bend) >= 0.25
    say = k.note("pull", pull=mark.pull, angle=mark.bend) if sprung else k.note("bend", angle=mark.bend)
    lines = (say, *between)
    return WorkStep(Doing.BEND, lines, angle_text(mark.pull), lines, mark=index, angle=mark.pull)


def _on_the_shoe(low: float, high: float, k: Knowledge) -> Note:
    """Between which two marks of the shoe an angle lies; there is none below the first."""
    return k.note("between", low=low, high=high) if low else k.note("short_of", high=high)


def _check(check: Check, owner: int, units: Units, k: Knowledge) -> WorkStep:
    number = written_value(check.planned, units)
    return WorkStep(Doing.CHECK, (check.note,), number, (check.note,), check=check, owner=owner)


def _ending(stick: Stick, setup: Setup, units: Units, k: Knowledge) -> tuple[WorkStep, ...]:
    """Cut, ream, fit and support."""
    cut = k.note("cut") if stick.cut_at is None else k.note("cut_at", at=stick.cut_at)
    number = k.verbs["cut"] if stick.cut_at is None else text(stick.cut_at, units)
    rule = k.limits.support(setup.conduit.kind, setup.conduit.size)
    fit = (k.note("fit"), k.note("support", near=rule.from_box, every=rule.every))
    near, every = (spoken_length(length, units, feet=True) for length in (rule.from_box, rule.every))
    said = (k.note("fit"), k.note("support", near=near, every=every))
    return (
        WorkStep(Doing.CUT, (cut,), number, (cut,), caution=Step.CUT),
        WorkStep(Doing.REAM, (k.note("ream"),), k.verbs["ream"], (k.note("ream"),)),
        WorkStep(Doing.FIT, said, k.verbs["fit"], fit, caution=Step.FIT),
    )
