"""From step to step: forward, backward, past the checks, to a further bend."""

from __future__ import annotations

from dataclasses import replace

from bench.core.cautions import Step
from bench.core.notes import Note
from bench.dialogue.in_hand import bent_already, step_now, steps_of
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.measures import bend_detail
from bench.dialogue.prompt import Turn
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.steps.step import Doing, WorkStep
from bench.job.model import JobBend, JobStick, Spoken
from bench.job.records import Record, RecordKind


def offered_checks(state: State, knowledge: Knowledge) -> bool:
    """Whether all checks are offered now."""
    return step_now(state, knowledge).doing is Doing.OFFER


def past_checks(state: State, doing: str, knowledge: Knowledge) -> Turn:
    """To the first step after the checks: none of them is wanted any more, or all that are left fit."""
    place, steps = state.now, steps_of(state, knowledge)
    if steps[place.at].doing not in (Doing.OFFER, Doing.CHECK):
        return Turn(state, (knowledge.note("not_now"),))
    at = next(
        index
        for index, step in enumerate(steps)
        if index > place.at and step.doing not in (Doing.OFFER, Doing.CHECK)
    )
    records = tuple(
        Record(RecordKind.STEP_DONE, {"step": index + 1, "doing": doing}) for index in range(place.at, at)
    )
    return Turn(state.moved(replace(place, at=at, observed=())), (), records)


def forward(state: State, knowledge: Knowledge) -> Turn:
    """The next step; after the last one the bends are finished."""
    place, steps = state.now, steps_of(state, knowledge)
    done = Record(RecordKind.STEP_DONE, {"step": place.at + 1, "doing": str(steps[place.at].doing)})
    stick = _with_step(place.stick, steps[place.at], True)
    if place.at + 1 < len(steps):
        same_bend = steps[place.at + 1].owner == steps[place.at].owner
        observed = place.observed if same_bend else ()
        return Turn(state.moved(replace(place, at=place.at + 1, stick=stick, observed=observed)), (), (done,))
    stick, records = _all_finished(stick)
    after = replace(place, stage=Stage.AFTER, at=0, stick=stick, observed=(), measured=None, uncut=False)
    look = knowledge.cautions.at(Step.FIT)[:1] if not place.apart and not place.done else ()
    return Turn(state.moved(after), tuple(Note(each.key, each.said) for each in look), (done, *records))


def _all_finished(stick: JobStick) -> tuple[JobStick, tuple[Record, ...]]:
    """The stick with all its bends made, and what is written down of those that were in hand."""
    fresh = [bend for bend in stick.bends if not bend.finished]
    stick = replace(stick, bends=tuple(replace(bend, finished=True) for bend in stick.bends))
    records = [Record(RecordKind.BEND_DONE, bend_detail(bend) | {"stick": stick.name}) for bend in fresh]
    return stick, tuple(records)


def further_bend(state: State, knowledge: Knowledge) -> Turn:
    """Another bend on this stick, before its marks are drawn or before it is cut. Bent ones are finished then."""
    place = replace(state.now, stage=Stage.PICK, bend=JobBend())
    if not bent_already(state, knowledge):
        return Turn(state.moved(replace(place, at=0)))
    stick, records = _all_finished(place.stick)
    fresh = replace(place, at=0, stick=stick, observed=(), measured=None, uncut=True)
    return Turn(state.moved(fresh), (), records)


def _with_step(stick: JobStick, step: WorkStep, done: bool) -> JobStick:
    """The stick with the marks of a step drawn or its bend made, or not yet."""
    numbers = tuple(index + 1 for index in step.marks)
    if step.doing is Doing.MARK:
        return replace(stick, marked=_changed(stick.marked, numbers, done))
    return replace(stick, bent=_changed(stick.bent, numbers, done)) if step.doing is Doing.BEND else stick


def _changed(before: tuple[int, ...], numbers: tuple[int, ...], there: bool) -> tuple[int, ...]:
    others = {each for each in before if each not in numbers}
    return tuple(sorted({*others, *numbers} if there else others))


def backward(state: State, knowledge: Knowledge) -> Turn:
    """The step before; before the first one the read-back of the last bend, or of the pipe of a rack."""
    place = state.now
    if place.at > 0:
        before = steps_of(state, knowledge)[place.at - 1]
        stick = _with_step(place.stick, before, False)
        return Turn(state.moved(replace(place, at=place.at - 1, stick=stick)))
    if all(bend.finished for bend in place.stick.bends):
        return Turn(state.settled(), (knowledge.note("at_start"),))
    if place.stick.pipe > 1:
        return Turn(state.moved(replace(state.now, stage=Stage.RACK_READ_BACK)))
    return Turn(state.moved(taken_up_again(state.now, Stage.READ_BACK)))


def taken_up_again(place: Place, stage: Stage) -> Place:
    """The last bend of the stick taken off it, back in hand, to be read back or changed."""
    bend, left = place.stick.bends[-1].asked, place.stick.bends[:-1]
    stick = replace(place.stick, bends=left).told(_without(place.stick.spoken, len(left)))
    return replace(place, stage=stage, at=0, bend=bend, stick=stick, observed=(), measured=None)


def _without(spoken: Spoken | None, owner: int) -> Spoken | None:
    """What was spoken less the marks of one bend; None when nothing is left."""
    marks = () if spoken is None else tuple(mark for mark in spoken.marks if mark.owner != owner)
    return replace(spoken, marks=marks, cut_at=None) if spoken is not None and marks else None
