"""The work left or begun again: bends taken off the stick, or a fresh length."""

from __future__ import annotations

from dataclasses import replace

from bench.dialogue.in_hand import bent_already
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import setup_of, told
from bench.dialogue.prompt import Turn
from bench.dialogue.stages.progress import taken_up_again
from bench.dialogue.state import Stage, State
from bench.job.model import JobBend, JobStick
from bench.job.records import Record, RecordKind


def dropped(state: State, knowledge: Knowledge) -> Turn:
    """The bends in hand taken off the stick; `undo` brings them back. Pipe that is bent already is scrap."""
    if all(bend.finished for bend in state.now.stick.bends):
        return Turn(state.settled(), (knowledge.note("nothing_to_cancel"),))
    note = knowledge.note("dropped_bent" if bent_already(state, knowledge) else "dropped")
    place = state.now
    while place.stick.bends and not place.stick.bends[-1].finished:
        place = taken_up_again(place, Stage.AFTER)
    if not place.stick.bends:
        emptied = JobStick(place.stick.name, run=place.stick.run)
        place = replace(place, stage=Stage.PICK, stick=emptied, waiting=())
    record = Record(RecordKind.DROPPED, {"stick": place.stick.name})
    return Turn(state.moved(replace(place, bend=JobBend(), fault="")), (note,), (record,))


def begun_again(state: State, knowledge: Knowledge) -> Turn:
    """From the first mark: on this length while nothing is bent, else on a fresh one."""
    place = state.now
    if place.stage is Stage.WORK and not bent_already(state, knowledge):
        drawn = tuple(number for number in place.stick.marked if number in place.stick.bent)
        return Turn(state.moved(replace(place, at=0, stick=replace(place.stick, marked=drawn))))
    return made_again(state, knowledge)


def made_again(state: State, knowledge: Knowledge) -> Turn:
    """Remake: the same stick from its first mark, on a fresh length."""
    stick = told(state.now.stick.fresh(), setup_of(state.now, state.units, knowledge))
    place = replace(state.now, stage=Stage.WORK, at=0, stick=stick, observed=(), measured=None)
    return Turn(
        state.moved(place),
        (knowledge.note("fresh_length"),),
        (Record(RecordKind.REMADE, {"stick": stick.name}),),
    )
