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
from bench.dialogue.actions import how_to_measure, put_on, turned
from bench.dialogue.knowledge import Knowledge
from bench.language.speak import spoken_length
from bench.language.write import written_value

_SEEN = 0.25
"""Degrees of springback that are told."""


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

    `action` is the instruction in block letters, `alone` where it tells the number too. `mark` indexes the
    stick's marks. `owner` indexes the stick's bends, at a check. `turn` is degrees to turn the conduit to the left.
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
    action: tuple[str, ...] = ()
    alone: bool = False
    turn: float = 0.0


def work_steps(
    stick: Stick,
    to_make: Sequence[int],
    plans: Sequence[tuple[int, Plan]],
    units: Units,
    knowledge: Knowledge,
) -> tuple[WorkStep, ...]:
    """What is left to do on a stick, in order: `to_make` are marks not yet bent, `plans` those to check."""
    setup = stick.setup
    steps = [_mark(stick, index, to_make, units, knowledge) for index in to_make]
    roll = _roll_in_hand(stick, to_make)
    for index in sorted(to_make, key=lambda each: stick.marks[each].order):
        mark = stick.marks[index]
        if mark.roll != roll:
            steps.append(_turn(index, mark, roll, stick, knowledge))
            roll = mark.roll
        steps += [_seat(index, mark, knowledge), _bend(index, mark, setup.bender, knowledge)]
    for owner, plan in plans:
        steps += [_check(check, owner, units, knowledge) for check in checks(plan, setup)]
    return (*steps, *_ending(stick, setup, units, knowledge))


def _roll_in_hand(stick: Stick, to_make: Sequence[int]) -> float:
    """How the conduit lies now: as the last bend made left it, or as the first one wants it."""
    made = [mark for index, mark in enumerate(stick.marks) if index not in to_make]
    if made:
        return max(made, key=lambda mark: mark.order).roll
    return stick.in_order[0].roll if stick.marks else 0.0


def _mark(stick: Stick, index: int, to_make: Sequence[int], units: Units, knowledge: Knowledge) -> WorkStep:
    """A mark from the tape end, or from the back of a finished ninety that no tape reaches around."""
    mark = stick.marks[index]
    at, note, where = mark.at, "mark", "from_tape_end"
    made = [number for number in range(1, len(stick.marks) + 1) if number - 1 not in to_make]
    back = stick.from_back(index + 1, made)
    if back is not None:
        at, note, where = back, "mark_from_back", "from_back"
    say = knowledge.note(note, name=index + 1, at=at)
    action = (knowledge.words[where],)
    return WorkStep(Doing.MARK, (say,), text(at, units), mark=index, action=action)


def _turn(index: int, mark: Mark, now: float, stick: Stick, knowledge: Knowledge) -> WorkStep:
    """From how the conduit lies now. What is to bend to the right is brought up by a turn to the left."""
    by = (mark.roll - now) % 360
    if by == 180:
        say = knowledge.note("turn_back" if mark.roll == stick.in_order[0].roll else "turn_half")
    elif by < 180:
        say = knowledge.note("turn_left", roll=float(by))
    else:
        say = knowledge.note("turn_right", roll=float(360 - by))
    number = angle_text(min(by, 360 - by))
    action = turned(by, mark.roll == stick.in_order[0].roll, knowledge)
    return WorkStep(
        Doing.TURN,
        (say,),
        number,
        (knowledge.note("line_up"),),
        mark=index,
        action=action,
        alone=True,
        turn=float(by),
    )


def _seat(index: int, mark: Mark, knowledge: Knowledge) -> WorkStep:
    hook = knowledge.note(f"hook_{mark.hook}")
    say = knowledge.note("seat", reference=knowledge.word(mark.reference).capitalize(), mark=index + 1)
    action = put_on(mark, index + 1, knowledge)
    return WorkStep(
        Doing.SEAT, (say, hook), str(index + 1), mark=index, caution=Step.BEND, action=action, alone=True
    )


def _bend(index: int, mark: Mark, bender: Bender, knowledge: Knowledge) -> WorkStep:
    pair = bender.between_shoe_marks(mark.pull)
    between = () if pair is None else (_on_the_shoe(*pair, knowledge),)
    lines = (how_far(mark, knowledge), *between)
    return WorkStep(Doing.BEND, lines, angle_text(mark.pull), lines, mark=index, angle=mark.pull)


def how_far(mark: Mark, knowledge: Knowledge) -> Note:
    """How far to bend, and to pull where it springs back, or this hand goes on, by what can be seen."""
    if abs(mark.pull - mark.bend) >= _SEEN:
        return knowledge.note(
            "pull" if mark.pull > mark.bend else "pull_short", pull=mark.pull, angle=mark.bend
        )
    return knowledge.note("bend", angle=mark.bend)


def _on_the_shoe(low: float, high: float, knowledge: Knowledge) -> Note:
    """Between which two marks of the shoe an angle lies; there is none below the first."""
    return knowledge.note("between", low=low, high=high) if low else knowledge.note("short_of", high=high)


def _check(check: Check, owner: int, units: Units, knowledge: Knowledge) -> WorkStep:
    number = written_value(check.planned, units)
    laid, what = how_to_measure(check)
    lay = (Note("lay", f"{laid}."),) if laid else ()
    return WorkStep(Doing.CHECK, (check.note,), number, lay, check=check, owner=owner, action=(what,))


def _ending(stick: Stick, setup: Setup, units: Units, knowledge: Knowledge) -> tuple[WorkStep, ...]:
    """Cut, ream, fit and support."""
    cut = knowledge.note("cut") if stick.cut_at is None else knowledge.note("cut_at", at=stick.cut_at)
    number = knowledge.verbs["cut"] if stick.cut_at is None else text(stick.cut_at, units)
    rule = knowledge.limits.support(setup.conduit.kind, setup.conduit.size)
    fit = (knowledge.note("fit"), knowledge.note("support", near=rule.from_box, every=rule.every))
    near, every = (spoken_length(length, units, feet=True) for length in (rule.from_box, rule.every))
    said = (knowledge.note("fit"), knowledge.note("support", near=near, every=every))
    return (
        WorkStep(Doing.CUT, (cut,), number, (cut,), caution=Step.CUT),
        WorkStep(Doing.REAM, (knowledge.note("ream"),), knowledge.verbs["ream"], (knowledge.note("ream"),)),
        WorkStep(Doing.FIT, said, knowledge.verbs["fit"], fit, caution=Step.FIT),
    )
