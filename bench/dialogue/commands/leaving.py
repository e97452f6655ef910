"""Leave what is in hand: cancel, start over, finish, goodbye."""

from __future__ import annotations

from dataclasses import replace

from bench.dialogue.commands.beginning import to_stage
from bench.dialogue.commands.moves import home
from bench.dialogue.in_hand import step_now
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Turn
from bench.dialogue.stages import finish, progress, remake, set_up
from bench.dialogue.state import Stage, State
from bench.dialogue.steps.step import Doing
from bench.job.model import JobBend
from bench.language.meaning import Kind, Meaning


def cancel(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Leave what is in hand: a change of one measure, the checks, the bend. Bends finished before stay."""
    place = state.now
    if place.stage in (Stage.WHICH, Stage.SIDE) or place.changing:
        return Turn(state.moved(replace(place, stage=Stage.READ_BACK, at=0, changing=False)))
    if place.stage in (Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK):
        return Turn(state.moved(replace(place, stage=Stage.WORK, measured=None, fault="")))
    if place.stage is Stage.WORK and step_now(state, knowledge).doing in (Doing.OFFER, Doing.CHECK):
        return progress.past_checks(state, "skipped", knowledge)
    return _dropped(state, knowledge)


def _dropped(state: State, knowledge: Knowledge) -> Turn:
    """Leave the bend, the set-up or the question in hand, and go back to where one is between bends."""
    place = state.now
    if place.stage is Stage.WORK:
        return remake.dropped(state, knowledge)
    if place.stage is Stage.RESUME:
        return set_up.resume_take(state, Meaning(Kind.YESNO, False), knowledge)
    if place.stage in (Stage.RUN, Stage.FINISH):
        return Turn(state.moved(replace(place, stage=place.came_from or home(state), came_from=None)))
    if place.stage is Stage.RACK_READ_BACK:
        back = replace(place, stage=Stage.AFTER, stick=place.done[-1], done=place.done[:-1])
        return Turn(state.moved(back))
    stage = home(state) if place.tools.complete else Stage.CONDUIT
    if place.stage in (stage, Stage.DONE, Stage.SETUP_AGAIN):
        return Turn(state.settled(), (knowledge.note("nothing_to_cancel"),))
    fresh = replace(place, stage=stage, at=0, bend=JobBend(), waiting=(), trial=(), changing=False, site="")
    return Turn(state.moved(replace(fresh, stick=place.stick.unbegun())))


def start_over(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """From the beginning of what is in hand: the marks, the bend, the set-up."""
    place = state.now
    if place.stage in (Stage.WORK, Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK, Stage.AFTER):
        return remake.begun_again(state, knowledge)
    if place.stage in (Stage.SIZE, Stage.BENDER):
        return Turn(state.moved(replace(place, stage=Stage.CONDUIT)))
    if place.stage in (Stage.CALIBRATE, Stage.CALIBRATED):
        return Turn(state.moved(replace(place, stage=Stage.TEST_BEND, at=0, trial=())))
    if place.stage in (Stage.SITE, Stage.SITE_FOUND):
        return Turn(state.moved(replace(place, stage=Stage.SITE, at=0, trial=())))
    return _dropped(state, knowledge)


def finish_job(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The end of the job, and after that of the day."""
    if state.now.stage is Stage.DONE:
        return finish.goodbye(state, knowledge)
    if state.now.stage is Stage.FINISH:
        return finish.finish_take(state, Meaning(Kind.YESNO, True), knowledge)
    return to_stage(Stage.FINISH)(state, meaning, knowledge)


def goodbye(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The end of the day, from anywhere."""
    return finish.goodbye(state, knowledge)
