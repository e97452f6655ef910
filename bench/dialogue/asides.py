"""The questions inside a question: a reading offered, a number in parts, a card of the lesson."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import MILLIMETER, Units
from bench.core.notes import Note, Value
from bench.dialogue import lesson, orders
from bench.dialogue.always import ALWAYS
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt
from bench.dialogue.state import Aside, AsideKind, State
from bench.language.lexicon import offered
from bench.language.meaning import NUMBERS, Expectation, Kind, Meaning, Order
from bench.language.write import written

_LARGEST_PART = Fraction(15, 16)


def as_kind(value: object, kind: Kind) -> Value:
    """A number as a note writes it for its kind."""
    if not isinstance(value, Fraction | float | int):
        return str(value)
    if kind is Kind.LENGTH:
        return Fraction(value)
    return float(value) if kind is Kind.ANGLE else int(value)


def reading_note(meaning: Meaning, expect: Expectation, knowledge: Knowledge) -> Note:
    """A meaning in words, to be offered."""
    if isinstance(meaning.value, Order):
        return knowledge.note("offer", reading=orders.described(meaning.value, expect, knowledge))
    if meaning.kind in NUMBERS:
        return knowledge.note("offer", reading=as_kind(meaning.value, meaning.kind))
    if meaning.kind is Kind.YESNO:
        return knowledge.note("offer", reading="yes" if meaning.value else "no")
    if meaning.kind is Kind.COMMAND:
        return knowledge.note("offer", reading=offered(knowledge.lexicon.commands[str(meaning.value)][0]))
    phrases = knowledge.lexicon.sizes if meaning.kind is Kind.SIZE else knowledge.lexicon.choices
    return knowledge.note("offer", reading=offered(phrases[str(meaning.value)][0]))


def _offer_prompt(aside: Aside, prompt: Prompt, state: State, knowledge: Knowledge) -> Prompt:
    meaning = aside.readings[0]
    note = reading_note(meaning, prompt.expect, knowledge)
    number = written(knowledge.note("only", value=note.values["reading"]), state.units)
    view = replace(prompt.view, verb=knowledge.verbs["did_you_say"], number=number, lines=(), stick=None)
    return Prompt((note,), view, _or_its_own(prompt.expect))


def _or_its_own(expect: Expectation) -> Expectation:
    """Yes or no to the reading offered, or a plain answer to the stage's own question."""
    if expect.kind is Kind.YESNO:
        return Expectation(Kind.YESNO, commands=ALWAYS)
    number = expect.kind if expect.kind in NUMBERS else None
    return replace(
        expect,
        kind=Kind.YESNO,
        least=None,
        most=None,
        corrected=number,
        instead=Kind.SIZE if expect.kind is Kind.SIZE else number,
        slots=(),
        faults=(),
    )


def _whole_prompt(aside: Aside, prompt: Prompt, state: State, knowledge: Knowledge) -> Prompt:
    note = knowledge.note("whole_metric" if state.units is Units.METRIC else "whole")
    most = prompt.expect.most or Fraction(240)
    top = most / MILLIMETER if state.units is Units.METRIC else most
    expect = Expectation(Kind.COUNT, Fraction(0), Fraction(int(top)), commands=ALWAYS)
    return Prompt((note,), replace(prompt.view, lines=(written(note, state.units),)), expect)


def _part_prompt(aside: Aside, prompt: Prompt, state: State, knowledge: Knowledge) -> Prompt:
    note = knowledge.note("part", whole=aside.whole)
    number = written(knowledge.note("only", value=aside.whole), state.units)
    expect = Expectation(Kind.LENGTH, Fraction(0), _LARGEST_PART, choices=("none",), commands=ALWAYS)
    return Prompt((note,), replace(prompt.view, number=number, lines=(written(note, state.units),)), expect)


ASIDES = {
    AsideKind.OFFER: _offer_prompt,
    AsideKind.WHOLE: _whole_prompt,
    AsideKind.PART: _part_prompt,
    AsideKind.LESSON: lesson.prompt,
}
