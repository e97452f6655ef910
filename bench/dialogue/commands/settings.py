"""How Bench listens, speaks and looks; units; how much is one step."""

from __future__ import annotations

from dataclasses import replace

from bench.core.lengths import Units
from bench.dialogue import pace
from bench.dialogue.effects import Hush, Look, Restyle, Tune, Tuning
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Command, Turn
from bench.dialogue.state import State
from bench.job.records import Record, RecordKind
from bench.language.meaning import Meaning


def pause(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Take no more words until asked to listen."""
    return Turn(replace(state.settled(), paused=True), (knowledge.note("paused"),), ask=False)


def listen(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Take words again."""
    return Turn(replace(state.settled(), paused=False), (knowledge.note("listening"),))


def tune(what: Tuning, by: int, said: str) -> Command:
    """The voice one step louder, quieter, faster or slower."""

    def tune(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return Turn(state, (knowledge.note(said),), effects=(Tune(what, by),), ask=False)

    return tune


def restyle(look: Look) -> Command:
    """The screen's colors or letters. The new look is the answer; the step stays."""

    def restyle(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        record = Record(RecordKind.SETTING, {"look": str(look)})
        return Turn(state, (knowledge.note(look),), (record,), effects=(Restyle(look),), ask=False)

    return restyle


def hush(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Stop the voice."""
    return Turn(state, effects=(Hush(),), ask=False)


def switch_units(units: Units, said: str) -> Command:
    """Inches or metric, on a stick without bends."""

    def switch(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        if state.now.stick.bends and units is not state.units:
            return Turn(state.settled(), (knowledge.note("new_stick_first"),))
        record = Record(RecordKind.SETTING, {"units": str(units)})
        return Turn(replace(state.settled(), units=units), (knowledge.note(said),), (record,))

    return switch


def switch_quiet(on: bool, said: str) -> Command:
    """The voice off or on; the screen goes on as it was."""

    def switch(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return Turn(
            replace(state, quiet=on),
            (knowledge.note(said),),
            (Record(RecordKind.SETTING, {"quiet": on}),),
            ask=False,
        )

    return switch


def change_pace(said: str, apart: bool | None = None, row: bool | None = None) -> Command:
    """More or less of the work in one step."""

    def change(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return pace.changed(state, said, knowledge, apart, row)

    return change
