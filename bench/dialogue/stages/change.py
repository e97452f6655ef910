"""What to change of a bend that is read back: a measure, the method, the way it goes."""

from __future__ import annotations

from dataclasses import replace

from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.measures import SIDES, TURN, measures_of
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.state import Stage, State
from bench.dialogue.wording import lines, place_title
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning


def which_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Which of the measures is to be changed."""
    turn = (TURN,) if state.now.stick.bends else ()
    keys = (*(m.key for m in measures_of(state.now.bend.kind, knowledge)), *turn, "method")
    labels = tuple(knowledge.questions[key].label for key in keys)
    view = View(
        verb=knowledge.verbs["choose"], number="CHANGE?", title=place_title(state, knowledge), lines=labels
    )
    expect = Expectation(Kind.CHOICE, choices=keys, commands=ALWAYS)
    return Prompt((knowledge.note("which_change"),), view, expect)


def which_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The measure named is asked again; the method changes over at once."""
    place = state.now
    if meaning.value == "method":
        bend = replace(place.bend, method=place.bend.method.other)
        moved = state.moved(replace(place, stage=Stage.READ_BACK, bend=bend))
        return Turn(moved, (knowledge.note(f"method_{bend.method}"),))
    if meaning.value == TURN:
        return Turn(state.moved(replace(place, stage=Stage.SIDE)))
    keys = [measure.key for measure in measures_of(place.bend.kind, knowledge)]
    at = keys.index(str(meaning.value))
    return Turn(state.moved(replace(place, stage=Stage.ASK, at=at, changing=True)))


def side_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Which way the bend goes, the first one of the stick going up."""
    ask = knowledge.note("which_side")
    view = View(
        verb=knowledge.verbs["choose"],
        number="TURN?",
        title=place_title(state, knowledge),
        lines=lines((ask,), state.units),
    )
    expect = Expectation(Kind.CHOICE, choices=tuple(SIDES), commands=ALWAYS, sides=tuple(SIDES))
    return Prompt((ask,), view, expect)


def side_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The way it goes: heard again at the read-back."""
    roll = SIDES[str(meaning.value)]
    bend = replace(state.now.bend, roll=roll)
    record = Record(RecordKind.VALUE_GIVEN, {"measure": TURN, "value": roll})
    return Turn(state.moved(replace(state.now, stage=Stage.READ_BACK, bend=bend)), (), (record,))
