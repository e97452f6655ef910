"""One question for one measure: the words, the screen and what can be answered. Used by every flow."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import Units
from bench.core.notes import Note
from bench.core.plan import Measure, Quantity
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt
from bench.dialogue.state import State
from bench.job.model import Number
from bench.language.meaning import Expectation, Kind, Meaning, Slot
from bench.language.write import written_value

_KINDS = {Quantity.LENGTH: Kind.LENGTH, Quantity.ANGLE: Kind.ANGLE, Quantity.COUNT: Kind.COUNT}


def slot_of(measure: Measure, asked: bool, known: bool) -> Slot:
    """A measure as it may be said among others in one breath."""
    return Slot(
        measure.key, kind_of(measure.quantity), measure.least, measure.most, asked, known, measure.optional
    )


def kind_of(quantity: Quantity) -> Kind:
    """The kind of answer that a measure or a check of this quantity takes."""
    return _KINDS[quantity]


def expectation(
    measure: Measure,
    units: Units,
    commands: tuple[str, ...] = ("change",),
    before: Measure | None = None,
) -> Expectation:
    """What can be answered to a measure's question; an optional one takes "skip".

    "No, thirty-two" corrects the answer to `before`, where there is one.
    """
    return Expectation(
        kind_of(measure.quantity),
        least=measure.least,
        most=measure.most,
        choices=("skip",) if measure.optional else (),
        commands=(*ALWAYS, *commands),
        units=units,
        corrected=kind_of(before.quantity) if before else None,
    )


def question(
    state: State,
    knowledge: Knowledge,
    measure: Measure,
    ask: str,
    title: str,
    step: tuple[int, int],
    before: Measure | None = None,
) -> Prompt:
    """The question for one measure; "no, thirty-two" corrects the answer to `before`."""
    label = knowledge.questions[measure.key].label
    skip = (knowledge.note("may_skip"),) if measure.optional else ()
    words = (Note(measure.key, ask), *skip)
    lines = tuple(note.template for note in words)
    view = View(verb=knowledge.verbs["measure"], number=label.upper(), title=title, lines=lines, step=step)
    slots = (slot_of(measure, True, False),)
    expect = replace(expectation(measure, state.units, before=before), asks=measure.key, slots=slots)
    return Prompt(words, view, expect, again=(Note(measure.key, f"{label.capitalize()}?"),))


def as_number(measure: Measure, value: object) -> Number:
    """A meaning's value as core takes this measure. Raises TypeError when it is not one."""
    if measure.quantity is Quantity.LENGTH and isinstance(value, Fraction):
        return value
    if measure.quantity is Quantity.ANGLE and isinstance(value, float | int):
        return float(value)
    if measure.quantity is Quantity.COUNT and isinstance(value, int):
        return value
    raise TypeError(f"{value!r} is not a {measure.quantity}")


def within(measure: Measure, value: Number) -> bool:
    """Whether a value is plausible for this measure."""
    return measure.least <= value <= measure.most


def corrected_value(measure: Measure, meaning: Meaning, knowledge: Knowledge) -> Number | Note:
    """The value that replaces the last answer, or why it cannot."""
    try:
        value = as_number(measure, meaning.value)
    except TypeError:
        return knowledge.note("again")
    if within(measure, value):
        return value
    return knowledge.note("out_of_range", heard=value, least=measure.least, most=measure.most)


def value_note(value: Number | None, knowledge: Knowledge) -> Note:
    """A value as read back at the head of the next question."""
    return knowledge.note("skipped") if value is None else knowledge.note("value", value=value)


def value_text(value: Number | None, units: Units) -> str:
    """A value as the huge number on the screen."""
    return "" if value is None else written_value(value, units)
