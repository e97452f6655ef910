"""The measures of a bend in the order of its flow: what may be said, what was answered. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from bench.core.bends import BENDS
from bench.core.plan import Measure, Quantity
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.questions import slot_of
from bench.dialogue.state import Place
from bench.job.model import JobBend, Number
from bench.job.records import Record, RecordKind
from bench.job.stored import number_to_json
from bench.language.meaning import Slot

SIDES = {"the_same": 0.0, "to_right": 90.0, "opposite": 180.0, "to_left": 270.0}
"""Rolls of a bend against the first one of its stick, which bends up, seen along the conduit from the tape end."""
TURN = "turn"


def measures_of(kind: str, knowledge: Knowledge) -> tuple[Measure, ...]:
    """The measures of a bend in the order of its flow: those asked, then those that may be changed."""
    bend = BENDS[kind]
    known = {measure.key: measure for measure in (*bend.measures, *bend.extras)}
    flow = knowledge.flows[kind]
    return tuple(known[key] for key in (*flow.asked, *flow.advised))


def sides_of(place: Place) -> tuple[str, ...]:
    """The first bend of a stick goes up, whichever way that is; only a further one has a side."""
    return tuple(SIDES) if place.stick.bends else ()


def slots_of(bend: JobBend, place: Place, knowledge: Knowledge) -> tuple[Slot, ...]:
    """The measures of a bend as they may be said among others, with those already answered."""
    asked, given = knowledge.flows[bend.kind].asked, dict(bend.answers)
    return tuple(
        slot_of(on_the_stick(measure, place), measure.key in asked, measure.key in given)
        for measure in measures_of(bend.kind, knowledge)
    )


def with_values(bend: JobBend, values: Mapping[str, Number], knowledge: Knowledge) -> JobBend:
    """The bend with these measures answered, in the order of its flow."""
    for measure in measures_of(bend.kind, knowledge):
        if measure.key in values:
            bend = bend.answered(measure.key, values[measure.key])
    order = [measure.key for measure in measures_of(bend.kind, knowledge)]
    return replace(bend, answers=tuple(sorted(bend.answers, key=lambda answer: order.index(answer[0]))))


def given_records(bend: JobBend, keys: Iterable[str], knowledge: Knowledge) -> tuple[Record, ...]:
    """The answers to these measures as records."""
    return tuple(
        given_record(measure, bend.measures[measure.key])
        for measure in measures_of(bend.kind, knowledge)
        if measure.key in keys
    )


def bend_detail(bend: JobBend) -> dict[str, object]:
    """A bend as kept in the job's record: exact lengths as text, angles and counts as numbers."""
    return {
        "kind": bend.kind,
        "measures": {key: number_to_json(value) for key, value in bend.measures.items()},
        "method": str(bend.method),
        "roll": bend.roll,
    }


def on_the_stick(measure: Measure, place: Place) -> Measure:
    """The measure with what is plausible on the stick in hand: no length on it is longer than it is."""
    if measure.quantity is not Quantity.LENGTH or measure.most <= place.stick.length:
        return measure
    return replace(measure, most=place.stick.length)


def given_record(measure: Measure, value: Number | None) -> Record:
    """An answer as a record; None where the measure was left out."""
    return Record(RecordKind.VALUE_GIVEN, {"measure": measure.key, "value": number_to_json(value)})
