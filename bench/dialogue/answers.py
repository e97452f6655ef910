"""Questions of the person about the work in hand: one spoken sentence each. They move nothing."""

from __future__ import annotations

from bench.core.notes import BenchError, Note
from bench.core.plan import Mark, Plan
from bench.dialogue import in_hand, measures
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import whole_stick
from bench.dialogue.prompt import Turn
from bench.dialogue.stages import prompt_of, read_back
from bench.dialogue.state import Stage, State
from bench.dialogue.steps.bending import how_far
from bench.dialogue.steps.step import Doing, WorkStep
from bench.language.meaning import Meaning


def explain(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """What a word of the trade means."""
    return _answered(state, Note("explain", knowledge.glossary[str(meaning.argument)]))


def tape_end(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Which end the tape hooks on, for the bend in hand."""
    kind = state.now.bend.kind or (state.now.stick.bends[0].kind if state.now.stick.bends else "")
    return _answered(state, Note("tape_end", knowledge.tape_ends.get(kind, knowledge.tape_ends["any"])))


def hook(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Which way the hook faces for the bend that comes next."""
    found = _next_bend(state, knowledge)
    if found is None:
        return _answered(state, knowledge.note("told_later"))
    number, mark = found
    return _answered(state, knowledge.note("for_mark", name=number), knowledge.note(f"hook_{mark.hook}"))


def how_much(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """How far to bend the next one, and how far to pull where it springs back."""
    found = _next_bend(state, knowledge)
    if found is None:
        return _answered(state, knowledge.note("told_later"))
    number, mark = found
    return _answered(state, knowledge.note("for_mark", name=number), how_far(mark, knowledge))


def point(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Which point of the bender goes on the mark of the bend that comes next."""
    found = _next_bend(state, knowledge)
    if found is None:
        return _answered(state, knowledge.note("told_later"))
    number, mark = found
    return _answered(state, knowledge.note("point_on", reference=knowledge.word(mark.reference), mark=number))


def turn(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Whether and how the conduit is turned before the next bend."""
    _, steps = _step(state, knowledge)
    for step in steps[state.now.at :]:
        if step.doing is Doing.TURN:
            return _answered(state, knowledge.note("turn_first"), *step.say)
        if step.doing is Doing.BEND:
            over = (knowledge.note("turn_first"), step.say[0]) if step.turn else (knowledge.note("no_turn"),)
            return _answered(state, *over)
    return _answered(state, knowledge.note("no_turn" if steps else "told_later"))


def cut(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Where to cut, where the stick has such a place."""
    _, steps = _step(state, knowledge)
    step = next((one for one in steps if one.doing is Doing.CUT), None)
    return _answered(state, *(step.say if step else (knowledge.note("cut_later"),)))


def next_mark(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Where the mark after the one in hand goes."""
    step, steps = _step(state, knowledge)
    later = steps[state.now.at + 1 :] if step else ()
    following = next((one for one in later if one.doing is Doing.MARK), None)
    if following is not None:
        return _answered(state, *following.say)
    return _answered(state, knowledge.note("last_mark" if step else "no_marks_yet"))


def how_to_measure(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """How to lay the tape for what is asked now."""
    step, _ = _step(state, knowledge)
    if step is not None and step.check is not None:
        return _answered(state, step.check.note)
    if step is not None and step.doing is Doing.MARK:
        return _answered(state, *step.say, *(Note("where", f"{line}.") for line in step.action))
    kind, asked = state.now.bend.kind, _asked(state, knowledge)
    ways = knowledge.measuring
    how = ways.get(f"{kind}.{asked}") or ways.get(asked) or knowledge.tape_ends["any"]
    return _answered(state, Note("measuring", how))


def why_angle(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Where the angle of the bend in hand comes from."""
    plan, given = _plan(state, knowledge)
    if plan is None or not plan.marks:
        return _answered(state, knowledge.note("no_angle_yet"))
    asked_for = given.get("angle")
    if isinstance(asked_for, float):
        return _answered(state, knowledge.note("why_asked", angle=asked_for))
    chosen = plan.inputs.get("angle")
    if chosen is not None:
        return _answered(state, knowledge.note("why_chosen", angle=float(chosen)))
    return _answered(state, knowledge.note("why_measures", angle=max(mark.bend for mark in plan.marks)))


def whats_left(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """What is still to do on this stick."""
    step, steps = _step(state, knowledge)
    if step is not None:
        rest = steps[state.now.at :]
        marks = sum(len(one.marks) for one in rest if one.doing is Doing.MARK)
        bends = sum(one.doing is Doing.BEND for one in rest)
        if marks:
            return _answered(state, knowledge.note("left_marks", marks=marks, bends=bends))
        if bends:
            return _answered(state, knowledge.note("left_bends", bends=bends))
        return _answered(state, knowledge.note("left_ending", steps=len(rest)))
    if state.now.stage is Stage.ASK and not state.now.changing:
        asked = len(knowledge.flows[state.now.bend.kind].asked)
        return _answered(state, knowledge.note("left_questions", count=max(asked - state.now.at, 1)))
    over = state.now.stage in (Stage.AFTER, Stage.DONE)
    return _answered(state, knowledge.note("left_nothing" if over else "left_this"))


def _answered(state: State, *notes: Note) -> Turn:
    """The answer alone: what is asked stays on the screen."""
    return Turn(state, notes, ask=False)


def _step(state: State, knowledge: Knowledge) -> tuple[WorkStep | None, tuple[WorkStep, ...]]:
    """The step in hand with all of them; none outside the work."""
    if state.now.stage not in (Stage.WORK, Stage.MEASURED, Stage.HOW_MUCH, Stage.TWEAK):
        return None, ()
    steps = in_hand.steps_of(state, knowledge)
    return steps[state.now.at], steps


def _next_bend(state: State, knowledge: Knowledge) -> tuple[int, Mark] | None:
    """The mark of the bend in hand or of the first one to come, with its number."""
    step, steps = _step(state, knowledge)
    if step is None:
        return None
    index = step.mark
    if index is None:
        index = next((one.mark for one in steps[state.now.at :] if one.mark is not None), None)
    if index is None:
        return None
    return index + 1, whole_stick(state.now, state.units, knowledge).marks[index]


def _asked(state: State, knowledge: Knowledge) -> str:
    """The measure asked for now, blank where none is."""
    place = state.now
    if place.stage is Stage.ASK:
        return measures.measures_of(place.bend.kind, knowledge)[place.at].key
    if place.stage is Stage.CALIBRATE:
        return knowledge.calibration[place.at].key
    if place.stage is Stage.HOW_MUCH:
        return "off_by"
    return "spacing" if place.stage is Stage.RACK else prompt_of(state, knowledge).expect.asks


def _plan(state: State, knowledge: Knowledge) -> tuple[Plan | None, dict[str, object]]:
    """The plan of the bend in hand and what was given for it; none where there is no plan yet."""
    place = state.now
    try:
        if place.bend.kind and (place.tools.complete or place.stick.tools.complete):
            return read_back.plan_and_stick(state, knowledge)[0], dict(place.bend.measures)
        if place.stick.bends:
            stick = whole_stick(place, state.units, knowledge)
            found = _next_bend(state, knowledge)
            owner = stick.whose[found[0] - 1] if found else len(stick.bends) - 1
            return stick.bends[owner].plan, dict(place.stick.bends[owner].measures)
    except BenchError:
        return None, {}
    return None, {}
