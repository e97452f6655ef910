"""The stages of the conversation: what each asks, what it makes of an answer. The whole flow in one table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.stages import after, calibrate, measure, setup, work
from bench.dialogue.state import Stage, State
from bench.language.meaning import Meaning

Ask = Callable[[State, Knowledge], Prompt]
Take = Callable[[State, Meaning, Knowledge], Turn]


@dataclass(frozen=True, slots=True)
class Part:
    """One stage: its prompt and what it does with an answer; None where only commands are answered."""

    prompt: Ask
    take: Take | None


STAGES: dict[Stage, Part] = {
    Stage.RESUME: Part(setup.resume_prompt, setup.resume_take),
    Stage.SETUP_AGAIN: Part(setup.again_prompt, setup.again_take),
    Stage.CONDUIT: Part(setup.conduit_prompt, setup.conduit_take),
    Stage.SIZE: Part(setup.size_prompt, setup.size_take),
    Stage.BENDER: Part(setup.bender_prompt, setup.bender_take),
    Stage.TEST_BEND: Part(calibrate.test_bend_prompt, None),
    Stage.CALIBRATE: Part(calibrate.calibrate_prompt, calibrate.calibrate_take),
    Stage.CALIBRATED: Part(calibrate.calibrated_prompt, calibrate.calibrated_take),
    Stage.PICK: Part(measure.pick_prompt, measure.pick_take),
    Stage.ASK: Part(measure.ask_prompt, measure.ask_take),
    Stage.READ_BACK: Part(measure.read_back_prompt, measure.read_back_take),
    Stage.WHICH: Part(measure.which_prompt, measure.which_take),
    Stage.SIDE: Part(measure.side_prompt, measure.side_take),
    Stage.WORK: Part(work.work_prompt, work.work_take),
    Stage.HOW_MUCH: Part(work.how_much_prompt, work.how_much_take),
    Stage.MEASURED: Part(work.measured_prompt, work.measured_take),
    Stage.TWEAK: Part(work.tweak_prompt, None),
    Stage.AFTER: Part(after.after_prompt, None),
    Stage.RACK: Part(after.rack_prompt, after.rack_take),
    Stage.RACK_READ_BACK: Part(after.rack_read_back_prompt, after.rack_read_back_take),
    Stage.RUN: Part(after.run_prompt, after.run_take),
    Stage.FINISH: Part(after.finish_prompt, after.finish_take),
    Stage.DONE: Part(after.done_prompt, None),
}


def prompt_of(state: State, k: Knowledge) -> Prompt:
    """What is asked in this state."""
    return STAGES[state.now.stage].prompt(state, k)
