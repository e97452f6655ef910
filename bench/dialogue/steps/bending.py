"""The bends to make: conduit turned, bender put on the mark, pulled to the angle. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bench.core.bender import Bender
from bench.core.cautions import Step
from bench.core.floor import lie
from bench.core.lengths import angle_text
from bench.core.notes import Note
from bench.core.plan import Hook, Mark
from bench.core.stick import Stick
from bench.dialogue import rows
from bench.dialogue.actions import put_on, turned
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.steps.step import Doing, Pace, WorkStep

_SEEN = 0.25
"""The least springback that is told, degrees."""


@dataclass(frozen=True, slots=True)
class Ready:
    """What is done before the bender is put on a mark: ends swapped, the handle up or down. `lines` are shown in small
    letters, and said too where the conduit `stays` as it lies though one could think that it is turned."""

    say: tuple[Note, ...]
    action: tuple[str, ...]
    lines: tuple[Note, ...]
    stays: bool

    @property
    def once(self) -> tuple[Note, ...]:
        """What is said the first time only."""
        return self.lines if self.stays else ()


def bend_steps(stick: Stick, to_make: Sequence[int], knowledge: Knowledge, pace: Pace) -> list[WorkStep]:
    """The bends in the order they are made, each from how the conduit and the bender lie after the one before."""
    steps: list[WorkStep] = []
    air = stick.in_the_air
    order = sorted(to_make, key=lambda each: stick.marks[each].order)
    last = _last_made(stick, to_make)
    hook, bent, before = None, 0.0, -1
    for index in order:
        mark, owner = stick.marks[index], stick.whose[index]
        lies = lie(mark, mark.order in air)
        by = (lies - lie(last, last.order in air)) % 360 if last else 0.0
        swap = hook is not None and mark.hook is not Hook.EITHER and mark.hook is not hook
        bent = mark.bend + (bent if owner == before else 0.0)
        over = by == 180 and not swap and not pace.apart
        back = lies == lie(stick.in_order[0], False)
        turn = _turn(index, by, back, knowledge) if by else None
        ready = _ready(
            mark, last, swap, any(stick.marks[each].order in air for each in order), air, knowledge
        )
        if pace.apart:
            steps += [*((turn,) if turn else ()), *_apart(index, mark, ready, stick, knowledge)]
        else:
            steps += [turn] if turn and not over else []
            step = _together(index, mark, ready, stick, knowledge)
            step = _turned_over(step, turn, back, knowledge) if turn and over else step
            further = owner == before and _one_of_many(stick, owner)
            steps.append(_one_more(step, bent, knowledge) if further else step)
        last, before = mark, owner
        hook = hook if mark.hook is Hook.EITHER else mark.hook
    return steps


def _ready(
    mark: Mark, last: Mark | None, swap: bool, mixed: bool, air: frozenset[int], knowledge: Knowledge
) -> Ready:
    """What changes before a bend. `mixed` tells that some of the bends to make are made in the air: then the first
    one's place is told too."""
    up, was = mark.order in air, last is not None and last.order in air
    handle = "" if up == was and (last or not mixed) else "handle_down" if up else "handle_up"
    say = [knowledge.note("swap_ends")] if swap else []
    action = [knowledge.words["swap_ends"]] if swap else []
    if handle:
        say.append(knowledge.note(handle))
    if up != was:
        action.append(knowledge.words[handle])
    stays = last is not None and up != was and lie(mark, up) == lie(last, was)
    shown = [knowledge.note("as_it_lies")] if stays else say[-1:] if handle and last is None else []
    return Ready(tuple(say), tuple(action), tuple(shown), stays)


def _apart(index: int, mark: Mark, ready: Ready, stick: Stick, knowledge: Knowledge) -> tuple[WorkStep, ...]:
    """The bender put on the mark, and the bend."""
    seat = _seat(index, mark, knowledge)
    seat = replace(
        seat,
        say=(*ready.say, *seat.say),
        action=(*ready.action, *seat.action),
        lines=ready.lines,
        once=ready.once,
    )
    return seat, _bend(index, mark, stick.setup.bender, knowledge)


def _together(index: int, mark: Mark, ready: Ready, stick: Stick, knowledge: Knowledge) -> WorkStep:
    """The bender put on the mark and the bend."""
    bend = _bend(index, mark, stick.setup.bender, knowledge)
    how, *between = bend.say
    point = knowledge.word(mark.reference).capitalize()
    put = knowledge.note(f"put_{mark.hook}", reference=point, mark=index + 1)
    to = knowledge.words["pull" if how.code == "pull" else "bend_to"].format(angle=angle_text(mark.pull))
    return replace(
        bend,
        say=(*ready.say, put, how),
        once=(*ready.once, *between),
        lines=(*ready.lines, *bend.lines),
        caution=Step.BEND,
        action=(*ready.action, *put_on(mark, index + 1, knowledge), to),
        alone=True,
    )


def _turned_over(step: WorkStep, turn: WorkStep, back: bool, knowledge: Knowledge) -> WorkStep:
    """A bend with half a turn of the conduit in the same movement."""
    say = (knowledge.note("over_back" if back else "over"), *step.say)
    return replace(step, say=say, action=(*turn.action, *step.action), turn=turn.turn)


def _one_of_many(stick: Stick, owner: int) -> bool:
    """Whether a bend is made of many small ones."""
    return rows.evenly_spaced(stick, [index for index, whose in enumerate(stick.whose) if whose == owner])


def _one_more(step: WorkStep, bent: float, knowledge: Knowledge) -> WorkStep:
    """A further small bend, hook and degrees as before, with the degrees bent in all."""
    put, *how = step.say
    total = knowledge.note("in_all", angle=bent)
    say = (replace(knowledge.note("put_either"), values=put.values), *how, total)
    action = (*step.action, knowledge.words["in_all"].format(angle=angle_text(bent)))
    return replace(step, say=say, action=action, once=())


def _last_made(stick: Stick, to_make: Sequence[int]) -> Mark | None:
    """The mark bent last: the conduit lies as its bend left it."""
    made = [mark for index, mark in enumerate(stick.marks) if index not in to_make]
    return max(made, key=lambda mark: mark.order, default=None)


def _turn(index: int, by: float, back: bool, knowledge: Knowledge) -> WorkStep:
    """From how the conduit lies now, degrees to the left. What is to bend to the right is brought up by a turn to the
    left. `back` tells that it then lies as it did for the first bend."""
    if by == 180:
        say = knowledge.note("turn_back" if back else "turn_half")
    elif by < 180:
        say = knowledge.note("turn_left", roll=float(by))
    else:
        say = knowledge.note("turn_right", roll=float(360 - by))
    number = angle_text(min(by, 360 - by))
    action = turned(by, back, knowledge)
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
    more = lines if abs(mark.pull - mark.bend) >= _SEEN else between
    return WorkStep(Doing.BEND, lines, angle_text(mark.pull), more, mark=index, angle=mark.pull)


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
