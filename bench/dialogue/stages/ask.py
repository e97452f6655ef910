"""The questions of a bend, one by one or several answered together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bench.core.notes import Note
from bench.core.plan import Measure
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.measures import (
    SIDES,
    given_record,
    given_records,
    measures_of,
    on_the_stick,
    slots_of,
    with_values,
)
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, corrected_value, question, value_note
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import measure_note, place_title
from bench.job.model import JobBend, Number
from bench.language.meaning import Meaning, Slot


def given_together(state: State, values: Mapping[str, Number], side: str, knowledge: Knowledge) -> Turn:
    """Several measures of the bend in hand and the side it goes to, at a question or at the read-back."""
    place = state.now
    bend = with_values(place.bend, values, knowledge)
    if side:
        bend = replace(bend, roll=SIDES[side])
    if place.stage is Stage.READ_BACK or place.changing:
        after = replace(place, bend=bend, stage=Stage.READ_BACK, at=0, changing=False)
    else:
        after = asked_next(replace(place, bend=bend), knowledge)
    told = () if after.stage is Stage.READ_BACK else told_values(values, knowledge)
    return Turn(state.moved(after), told, given_records(bend, values, knowledge))


def asked_next(place: Place, knowledge: Knowledge) -> Place:
    """At the first question without an answer; at the read-back when nothing that is needed is missing."""
    asked = measures_of(place.bend.kind, knowledge)[: len(knowledge.flows[place.bend.kind].asked)]
    given = dict(place.bend.answers)
    missing = [index for index, measure in enumerate(asked) if measure.key not in given]
    needed = any(not asked[index].optional for index in missing)
    if not needed:
        return replace(place, stage=Stage.READ_BACK, at=0)
    return replace(place, stage=Stage.ASK, at=missing[0])


def told_values(values: Mapping[str, Number], knowledge: Knowledge) -> tuple[Note, ...]:
    """The values heard, each with the name of its measure."""
    return tuple(measure_note(key, value, knowledge) for key, value in values.items())


def ask_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The question in hand."""
    place = state.now
    kind, flow = place.bend.kind, knowledge.flows[place.bend.kind]
    measure = on_the_stick(measures_of(kind, knowledge)[place.at], place)
    ask = flow.ask.get(measure.key, knowledge.questions[measure.key].ask)
    step = (place.at + 1, max(len(flow.asked), place.at + 1))
    before = None if place.changing or place.at == 0 else measures_of(kind, knowledge)[place.at - 1]
    prompt = question(state, knowledge, measure, ask, place_title(state, knowledge), step, before)
    expect = replace(prompt.expect, asks=measure.key, slots=_slots_at(place, measure.key, knowledge))
    return replace(prompt, expect=expect)


def _slots_at(place: Place, asked: str, knowledge: Knowledge) -> tuple[Slot, ...]:
    """The measures that may be said at a question; the one asked is missing, whatever it was before."""
    return tuple(
        replace(slot, known=slot.known and slot.key != asked, asked=slot.asked or slot.key == asked)
        for slot in slots_of(place.bend, place, knowledge)
    )


def ask_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """An answer: read back at the head of the next question. "No, thirty-two" corrects the one before."""
    place = state.now
    measures = measures_of(place.bend.kind, knowledge)
    if meaning.corrects and place.at > 0 and not place.changing and meaning.value != "skip":
        return corrected(state, measures[place.at - 1], meaning, knowledge)
    measure = measures[place.at]
    value = None if meaning.value == "skip" else as_number(measure, meaning.value)
    bend = place.bend.answered(measure.key, value)
    following = None if place.changing else _following(place.at, bend, knowledge)
    stage = Stage.READ_BACK if following is None else Stage.ASK
    after = replace(place, bend=bend, stage=stage, at=following or 0, changing=False)
    return Turn(state.moved(after), (value_note(value, knowledge),), (given_record(measure, value),))


def _following(at: int, bend: JobBend, knowledge: Knowledge) -> int | None:
    """The next question, those answered already passed over."""
    given = dict(bend.answers)
    asked = knowledge.flows[bend.kind].asked
    return next((index for index in range(at + 1, len(asked)) if asked[index] not in given), None)


def corrected(state: State, measure: Measure, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The answer before this question, corrected; the question itself is asked again."""
    value = corrected_value(on_the_stick(measure, state.now), meaning, knowledge)
    if isinstance(value, Note):
        return Turn(state, (value,))
    moved = state.moved(replace(state.now, bend=state.now.bend.answered(measure.key, value)))
    return Turn(moved, (knowledge.note("corrected", value=value),), (given_record(measure, value),))
