"""Forward, back, change, undo."""

from __future__ import annotations

from dataclasses import replace

from bench.dialogue import learning, undone
from bench.dialogue.in_hand import bent_already
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Turn
from bench.dialogue.stages import STAGES, progress, prompt_of, rack, site, tweak
from bench.dialogue.state import Stage, State
from bench.job.records import Record, RecordKind
from bench.language.meaning import Kind, Meaning


def repeat(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The question or instruction once more, without what is said only once."""
    return Turn(state.settled(), repeated=True)


def go_on(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Go on where nothing is asked, or skip an optional measure. It answers no other question."""
    stage = state.now.stage
    if stage is Stage.WORK:
        return progress.forward(state, knowledge)
    if stage is Stage.TWEAK:
        return tweak.after_tweak(state, knowledge)
    if stage is Stage.TEST_BEND:
        return Turn(state.moved(replace(state.now, stage=Stage.CALIBRATE, at=0, trial=())))
    if stage is Stage.SITE_FOUND and prompt_of(state, knowledge).expect.kind is Kind.COMMAND:
        return site.left(state)
    skip = Meaning(Kind.CHOICE, "skip")
    take = STAGES[stage].take
    if take is not None and "skip" in prompt_of(state, knowledge).expect.choices:
        return take(state.settled(), skip, knowledge)
    return Turn(state.settled(), (knowledge.note("answer_first"),))


def go_back(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """One step or question back; values given stay until they are answered again."""
    place = state.now
    if place.stage is Stage.WORK:
        return progress.backward(state, knowledge)
    if place.stage in _ASKING and place.at > 0 and not place.changing:
        return Turn(state.moved(replace(place, at=place.at - 1)))
    if place.stage in (Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK):
        return Turn(state.moved(replace(place, stage=Stage.WORK, measured=None)))
    if place.stage is Stage.READ_BACK and place.bend.answers:
        last = len(knowledge.flows[place.bend.kind].asked) - 1
        return Turn(state.moved(replace(place, stage=Stage.ASK, at=last, changing=True)))
    if place.stage is Stage.RACK_READ_BACK:
        return rack.rack_read_back_take(state, Meaning(Kind.YESNO, False), knowledge)
    before = _before(state)
    if before is None:
        return Turn(state.settled(), (knowledge.note("at_start"),))
    return Turn(state.moved(replace(place, stage=before, changing=False)))


def _before(state: State) -> Stage | None:
    """The stage before this one, None at the start. A value being changed goes back to which one."""
    place = state.now
    if place.changing:
        return Stage.WHICH
    if place.stage in (Stage.RUN, Stage.FINISH):
        return place.came_from or home(state)
    if place.stage in (Stage.PICK, Stage.BOXES) and place.stick.bends:
        return home(state)
    if place.stage is Stage.LEARNED:
        return home(state)
    if place.stage is Stage.SITE:
        return Stage.BOXES if place.site.startswith("boxes") else home(state)
    if place.stage is Stage.CONDUIT and place.tools.complete:
        return Stage.PICK
    return _BEFORE.get(place.stage)


_ASKING = (Stage.ASK, Stage.CALIBRATE, Stage.SITE)
"""Where `at` counts questions."""
_BEFORE = {
    Stage.SIZE: Stage.CONDUIT,
    Stage.BENDER: Stage.SIZE,
    Stage.TEST_BEND: Stage.BENDER,
    Stage.CALIBRATE: Stage.TEST_BEND,
    Stage.CALIBRATED: Stage.CALIBRATE,
    Stage.ASK: Stage.PICK,
    Stage.BOXES: Stage.PICK,
    Stage.SITE_FOUND: Stage.SITE,
    Stage.WHICH: Stage.READ_BACK,
    Stage.SIDE: Stage.WHICH,
    Stage.RACK: Stage.AFTER,
}


def change(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Fix the last value; at the read-back and in the work ask which one."""
    place = state.now
    if place.stage in _ASKING and place.at > 0 and not place.changing:
        return Turn(state.moved(replace(place, at=place.at - 1)))
    if place.stage is Stage.SITE_FOUND:
        return Turn(state.moved(replace(place, stage=Stage.SITE, at=0)))
    if place.stage is Stage.CALIBRATED:
        return Turn(state.moved(replace(place, stage=Stage.CALIBRATE, at=0, trial=())))
    if place.stage is Stage.READ_BACK:
        return Turn(state.moved(replace(place, stage=Stage.WHICH)))
    if place.stage in (Stage.WORK, Stage.TWEAK, Stage.AFTER) and place.stick.bends:
        if place.stick.shift or place.stick.bends[-1].finished or bent_already(state, knowledge):
            return Turn(state, (knowledge.note("remake_to_change"),))
        return Turn(state.moved(progress.taken_up_again(place, Stage.WHICH)))
    return Turn(state, (knowledge.note("nothing_to_change"),))


def undo(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Take the last change back; a second undo with nothing left says so."""
    if not state.past:
        return Turn(state.settled(), (knowledge.note("nothing_to_undo"),))
    before = replace(state.settled(), now=state.past[-1], past=state.past[:-1])
    record = Record(RecordKind.UNDONE, {"stage": str(before.now.stage)})
    after, effects = learning.undone(state, before)
    return Turn(after, (undone.told(state, knowledge),), (record,), effects)


def home(state: State) -> Stage:
    """Where one is between bends: at unfinished work, after a bend, or picking one."""
    bends = state.now.stick.bends
    if state.now.uncut or any(not bend.finished for bend in bends):
        return Stage.WORK
    return Stage.AFTER if bends else Stage.PICK


def skip_check(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Without this check; where all are offered, without any."""
    if progress.offered_checks(state, knowledge):
        return progress.past_checks(state, "skipped", knowledge)
    return progress.forward(state, knowledge)


def skip_checks(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Without any of the checks that are left."""
    return progress.past_checks(state, "skipped", knowledge)
