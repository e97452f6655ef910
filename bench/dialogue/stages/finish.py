"""The end of a job and of the day."""

from __future__ import annotations

from dataclasses import replace

from bench.dialogue.always import ALWAYS, NAMES
from bench.dialogue.effects import Finish, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import place_title
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning


def finish_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The job ends only on an explicit yes."""
    view = View(
        verb=knowledge.verbs["confirm"], number=knowledge.words["finish"], title=place_title(state, knowledge)
    )
    return Prompt((knowledge.note("finish"),), view, Expectation(Kind.YESNO, commands=(*ALWAYS, "finish")))


def finish_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes ends the job and keeps it; no goes back to where it was."""
    place = state.now
    if not meaning.value:
        home = place.came_from or (Stage.AFTER if place.stick.bends else Stage.PICK)
        return Turn(state.moved(replace(place, stage=home, came_from=None)))
    ended = Place(
        stage=Stage.DONE,
        tools=place.tools,
        done=place.sticks,
        run=place.run,
        queued=place.queued,
        job_number=place.job_number,
        job_name=place.job_name,
        job_place=place.job_place,
        run_name=place.run_name,
        apart=place.apart,
        row=place.row,
    )
    return Turn(state.moved(ended), (), (Record(RecordKind.JOB_DONE, {"sticks": len(ended.done)}),))


def done_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The job is kept: another, or goodbye."""
    view = View(
        verb=knowledge.verbs["done"],
        number=knowledge.words["done"],
        title="",
        lines=(knowledge.prompts["done"],),
    )
    commands = (*ALWAYS, *NAMES, "new_stick", "sheet", "materials", "finish")
    return Prompt((knowledge.note("done"),), view, Expectation(Kind.COMMAND, commands=commands))


def goodbye(state: State, knowledge: Knowledge) -> Turn:
    """Close the assistant; everything is kept."""
    return Turn(state, (knowledge.note("goodbye"),), effects=(Finish(),), ask=False)
