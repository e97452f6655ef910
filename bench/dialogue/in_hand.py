"""The work in hand: its steps, and the bend that is checked. Pure."""

from __future__ import annotations

from bench.core.plan import Plan
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import marks_to_make, whole_stick
from bench.dialogue.state import State
from bench.dialogue.steps import work_steps
from bench.dialogue.steps.step import Doing, Pace, WorkStep
from bench.job.model import JobBend


def steps_of(state: State, knowledge: Knowledge) -> tuple[WorkStep, ...]:
    """The steps of the bends on the stick that are not yet made."""
    place = state.now
    stick = whole_stick(place, state.units, knowledge)
    plans = [
        (owner, stick.bends[owner].plan)
        for owner, bend in enumerate(place.stick.bends[: len(stick.bends)])
        if not bend.finished
    ]
    pace = Pace(place.apart, place.row)
    return work_steps(stick, marks_to_make(place, stick), plans, state.units, knowledge, pace)


def step_now(state: State, knowledge: Knowledge) -> WorkStep:
    """The step in hand."""
    return steps_of(state, knowledge)[state.now.at]


def bent_already(state: State, knowledge: Knowledge) -> bool:
    """Whether a bend of the work in hand has been made."""
    return any(step.doing is Doing.BEND for step in steps_of(state, knowledge)[: state.now.at])


def owner_checked(state: State, knowledge: Knowledge) -> int:
    """The index of the bend that is checked. Raises ValueError where no single bend is."""
    owner = step_now(state, knowledge).owner
    if owner is None:
        raise ValueError("no check is in hand")
    return owner


def plan_checked(state: State, knowledge: Knowledge) -> Plan:
    """The plan of the bend that is checked, on this stick: a neighbor in a rack has measures of its own."""
    return whole_stick(state.now, state.units, knowledge).bends[owner_checked(state, knowledge)].plan


def bend_checked(state: State, knowledge: Knowledge) -> JobBend:
    """The bend that is checked, as it was asked for."""
    return state.now.stick.bends[owner_checked(state, knowledge)]
