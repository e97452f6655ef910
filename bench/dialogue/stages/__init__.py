"""The stages of the conversation: what each asks, what it makes of an answer. The whole flow in one table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.stages import (
    after,
    ask,
    calibrate,
    change,
    finish,
    found,
    learned,
    pick,
    rack,
    read_back,
    readings,
    set_up,
    site,
    sticks,
    tweak,
    work,
)
from bench.dialogue.state import Stage, State
from bench.language.meaning import Meaning

Ask = Callable[[State, Knowledge], Prompt]
Take = Callable[[State, Meaning, Knowledge], Turn]


@dataclass(frozen=True, slots=True)
class StageFunctions:
    """One stage: its prompt and what it does with an answer; None where only commands are answered."""

    prompt: Ask
    take: Take | None


STAGES: dict[Stage, StageFunctions] = {
    Stage.RESUME: StageFunctions(set_up.resume_prompt, set_up.resume_take),
    Stage.SETUP_AGAIN: StageFunctions(set_up.again_prompt, set_up.again_take),
    Stage.CONDUIT: StageFunctions(set_up.conduit_prompt, set_up.conduit_take),
    Stage.SIZE: StageFunctions(set_up.size_prompt, set_up.size_take),
    Stage.BENDER: StageFunctions(set_up.bender_prompt, set_up.bender_take),
    Stage.TEST_BEND: StageFunctions(calibrate.test_bend_prompt, None),
    Stage.CALIBRATE: StageFunctions(calibrate.calibrate_prompt, calibrate.calibrate_take),
    Stage.CALIBRATED: StageFunctions(calibrate.calibrated_prompt, calibrate.calibrated_take),
    Stage.PICK: StageFunctions(pick.pick_prompt, pick.pick_take),
    Stage.BOXES: StageFunctions(site.boxes_prompt, site.boxes_take),
    Stage.SITE: StageFunctions(site.site_prompt, site.site_take),
    Stage.SITE_FOUND: StageFunctions(site.found_prompt, site.found_take),
    Stage.LEARNED: StageFunctions(learned.learned_prompt, learned.learned_take),
    Stage.ASK: StageFunctions(ask.ask_prompt, ask.ask_take),
    Stage.READ_BACK: StageFunctions(read_back.read_back_prompt, read_back.read_back_take),
    Stage.WHICH: StageFunctions(change.which_prompt, change.which_take),
    Stage.SIDE: StageFunctions(change.side_prompt, change.side_take),
    Stage.WORK: StageFunctions(work.work_prompt, work.work_take),
    Stage.HOW_MUCH: StageFunctions(readings.how_much_prompt, readings.how_much_take),
    Stage.MEASURED: StageFunctions(readings.measured_prompt, readings.measured_take),
    Stage.TWEAK: StageFunctions(tweak.tweak_prompt, None),
    Stage.AFTER: StageFunctions(after.after_prompt, None),
    Stage.RACK: StageFunctions(rack.rack_prompt, rack.rack_take),
    Stage.RACK_READ_BACK: StageFunctions(rack.rack_read_back_prompt, rack.rack_read_back_take),
    Stage.RUN: StageFunctions(sticks.run_prompt, sticks.run_take),
    Stage.FINISH: StageFunctions(finish.finish_prompt, finish.finish_take),
    Stage.FOUND: StageFunctions(found.prompt, found.take),
    Stage.DONE: StageFunctions(finish.done_prompt, None),
}


@dataclass(frozen=True, slots=True, eq=False)
class _Same:
    """A state with a hash of its step alone: a hash of all its sticks would take longer than most prompts."""

    state: State

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.state == other.state

    def __hash__(self) -> int:
        return hash((self.state.now.stage, self.state.now.at))


def prompt_of(state: State, knowledge: Knowledge) -> Prompt:
    """What is asked in this state. One step asks for it up to five times: before the event, and of what came of it."""
    return _prompt_of(_Same(state), knowledge)


@lru_cache(maxsize=8)
def _prompt_of(same: _Same, knowledge: Knowledge) -> Prompt:
    return STAGES[same.state.now.stage].prompt(same.state, knowledge)
