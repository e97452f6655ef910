"""The same again: the next pipe of a rack, side by side with this one or outside it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.notes import BenchError, Note
from bench.core.plan import Measure, Quantity
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import setup_of, told
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import corrected_value, expectation, slot_of
from bench.dialogue.stages.sticks import next_name
from bench.dialogue.state import Stage, State
from bench.dialogue.wording import place_title
from bench.job.layout import laid_out
from bench.job.model import JobStick
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning

SPACING = Measure("spacing", Quantity.LENGTH, Fraction(1, 2), Fraction(24), optional=True)
"""How far outside this pipe the next one lies, center to center, inches; side by side its marks are the same."""


def rack_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The next pipe of a rack: side by side with this one, or how far outside it."""
    view = View(
        verb=knowledge.verbs["measure"],
        number="SPACING",
        title=place_title(state, knowledge),
        lines=(knowledge.prompts["rack"],),
    )
    expect = expectation(SPACING, state.units)
    choices, slots = ("side_by_side", *expect.choices), (slot_of(SPACING, True, False),)
    expect = replace(expect, choices=choices, asks=SPACING.key, slots=slots)
    return Prompt((knowledge.note("rack"),), view, expect)


def rack_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The same bends on a new stick, moved over for the spacing; read back before a mark is made."""
    if meaning.value in ("side_by_side", "skip"):
        return next_pipe(state, Fraction(0), knowledge)
    spacing = corrected_value(SPACING, meaning, knowledge)
    if isinstance(spacing, Note):
        return Turn(state, (spacing,))
    return next_pipe(state, Fraction(spacing), knowledge)


def next_pipe(state: State, spacing: Fraction, knowledge: Knowledge) -> Turn:
    """The next pipe of a rack, `spacing` inches outside the one in hand; or why its marks cannot move so."""
    place = state.now
    shift = place.stick.shift + spacing
    stick = replace(place.stick.fresh(), name=next_name(place), shift=shift, pipe=place.stick.pipe + 1)
    try:
        laid_out(stick, setup_of(replace(place, stick=stick), state.units, knowledge))
    except BenchError as error:
        return Turn(state, (error.message, error.remedy))
    again = replace(place, stage=Stage.RACK_READ_BACK, at=0, stick=stick, done=(*place.done, place.stick))
    return Turn(state.moved(again))


def rack_read_back_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The next pipe: how far its marks are moved, for an explicit yes."""
    shift = state.now.stick.shift
    moved = knowledge.note("rack_same") if not shift else knowledge.note("rack_shift", shift=shift)
    number = (
        knowledge.words["same"]
        if not shift
        else knowledge.write(knowledge.note("only", value=shift), state.units)
    )
    view = View(verb=knowledge.verbs["confirm"], number=number, title=place_title(state, knowledge))
    ask = (*_pipe_of(state.now.stick, knowledge), moved, knowledge.note("right"))
    return Prompt(ask, view, Expectation(Kind.YESNO, commands=ALWAYS))


def _pipe_of(stick: JobStick, knowledge: Knowledge) -> tuple[Note, ...]:
    """Which pipe of a rack of known number this one is."""
    measures = stick.bends[-1].measures
    spacing, total = measures.get("spacing"), measures.get("count")
    if not isinstance(spacing, Fraction) or not isinstance(total, int):
        return ()
    this = int(stick.shift / spacing) + 1
    return (knowledge.note("pipe_of", this=this, total=total),) if this <= total else ()


def rack_read_back_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes begins the marks of the next pipe; no asks for the spacing again."""
    place = state.now
    if meaning.value:
        stick = told(place.stick, setup_of(place, state.units, knowledge))
        detail: dict[str, object] = {
            "stick": stick.name,
            "shift": str(stick.shift),
            "bends": len(stick.bends),
        }
        return Turn(
            state.moved(replace(place, stage=Stage.WORK, at=0, stick=stick)),
            (),
            (Record(RecordKind.SAME_AGAIN, detail),),
        )
    return Turn(state.moved(replace(place, stage=Stage.RACK, stick=place.done[-1], done=place.done[:-1])))
