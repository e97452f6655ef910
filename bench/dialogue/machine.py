"""One step of the conversation: state and event in, new state and effects out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bench.core.cautions import Step
from bench.core.lengths import Units
from bench.core.notes import Note
from bench.dialogue import lesson, naming
from bench.dialogue.commands import run_command
from bench.dialogue.effects import Effect
from bench.dialogue.events import (
    Event,
    Failed,
    JobsFound,
    Key,
    Pressed,
    Recovered,
    Said,
    SheetWritten,
    Silence,
    Started,
)
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.learning import follow
from bench.dialogue.prompt import Turn
from bench.dialogue.reask import answer, current_prompt, not_understood
from bench.dialogue.rendering import PAUSED, effects_of, words_of
from bench.dialogue.stages.sticks import next_job
from bench.dialogue.state import Place, Stage, State
from bench.job.model import JobStick, Profile
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Heard, Kind, Meaning, Trouble, Understanding
from bench.language.understand import understand


def initial(
    queue: Sequence[JobStick] = (),
    profiles: Sequence[Profile] = (),
    job_number: int = 1,
    taught: bool = True,
) -> State:
    """A new conversation on a new job, with sticks from a list and the person's benders where there are any.

    A person who was not `taught` is told the lesson first.
    """
    return State(Place(job_number=job_number), queue=tuple(queue), profiles=tuple(profiles), taught=taught)


def step(state: State, event: Event, knowledge: Knowledge) -> tuple[State, tuple[Effect, ...]]:
    """What an event leads to. Never raises for anything a person, a device or time can do."""
    turn = respond(state, event, knowledge)
    return turn.state, tuple(effects_of(turn, knowledge))


def respond(state: State, event: Event, knowledge: Knowledge) -> Turn:
    """What an event leads to, before anything is put into words."""
    if isinstance(event, Said | Pressed):
        state = replace(state, notice="")
    turn: Turn = _HANDLERS[type(event)](state, event, knowledge)  # type: ignore[operator]
    if turn.state.past == state.past or current_prompt(state, knowledge).stuck:
        return turn
    return follow(turn, knowledge)


def reply(turn: Turn, knowledge: Knowledge) -> tuple[Note, ...]:
    """What is said after an event, as notes: what led there, then what is asked now."""
    return words_of(turn, current_prompt(turn.state, knowledge))


def expectation(state: State, knowledge: Knowledge) -> Expectation:
    """What can be said in this state."""
    return PAUSED if state.paused else current_prompt(state, knowledge).expect


def _started(state: State, event: Started, knowledge: Knowledge) -> Turn:
    """Started: resume an unfinished job, else confirm the last set-up, else ask for one."""
    place = state.now
    begun = place.stage not in (Stage.CONDUIT, Stage.SETUP_AGAIN, Stage.DONE, Stage.RESUME)
    if event.unfinished and place.stage is Stage.RESUME:
        return Turn(state, (_welcome(state, knowledge),))
    if event.unfinished and begun:
        asked = replace(place, stage=Stage.RESUME, came_from=place.stage)
        return Turn(replace(state.settled(), now=asked), (_welcome(state, knowledge),))
    stage = Stage.SETUP_AGAIN if place.tools.complete else Stage.CONDUIT
    first = knowledge.cautions.at(Step.START)[0]
    lead = (
        _welcome(state, knowledge),
        Note(first.key, first.said),
        Note("deference", knowledge.cautions.deference_said),
    )
    fresh = replace(state.settled(), now=replace(next_job(place), stage=stage))
    fresh, told = lesson.first_start(fresh)
    return Turn(fresh, lead, (Record(RecordKind.JOB_STARTED, {"run": place.run}), *told))


def _welcome(state: State, knowledge: Knowledge) -> Note:
    """A session that was left paused is still paused, and says so."""
    return knowledge.note("welcome_paused" if state.paused else "welcome")


def _said(state: State, event: Said, knowledge: Knowledge) -> Turn:
    """Words were heard: an answer, a command, or neither and asked for again; logged either way."""
    expect = expectation(state, knowledge)
    understanding = understand(event.heard, expect, knowledge.lexicon, over=True)
    if event.heard.text and understanding.trouble is not Trouble.NOTHING:
        state = replace(state, heard=event.heard.text)
    meaning = understanding.meaning
    if meaning is None:
        turn = _not_taken(state, understanding, knowledge)
    elif meaning.kind is Kind.COMMAND:
        turn = _commanded(state, meaning, knowledge)
    else:
        turn = answer(state, meaning, knowledge)
    return replace(turn, records=(_log(event.heard, understanding, state), *turn.records))


def _not_taken(state: State, understanding: Understanding, knowledge: Knowledge) -> Turn:
    """Nothing was understood: ignored while paused, else asked again; a step that cannot be shown is told again."""
    if state.paused:
        return Turn(state, ask=False)
    if current_prompt(state, knowledge).stuck:
        return Turn(state.settled())
    return not_understood(state, understanding, knowledge)


def _commanded(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """A command. At a step that cannot be shown, one that fails for the same reason says so again.

    Anything else that is raised is a programming mistake.
    """
    try:
        return run_command(state, meaning, knowledge)
    except Exception as error:
        why = current_prompt(state, knowledge).stuck
        if why is None or (type(why), str(why)) != (type(error), str(error)):
            raise
        return Turn(state.settled())


def _pressed(state: State, event: Pressed, knowledge: Knowledge) -> Turn:
    """A key, pedal or tap: a command, or yes and no where that is asked. It works while paused too."""
    expect = current_prompt(state, knowledge).expect
    if lesson.taught(state) and event.key in lesson.KEYS:
        return _commanded(state, Meaning(Kind.COMMAND, lesson.KEYS[event.key]), knowledge)
    yes_or_no = {Key.YES: True, Key.NEXT: True, Key.NO: False}
    if expect.kind is Kind.YESNO and event.key in yes_or_no:
        return answer(state, Meaning(Kind.YESNO, yes_or_no[event.key]), knowledge)
    if event.key is Key.PAUSE:
        command = "start_listening" if state.paused else "stop_listening"
    elif event.key is Key.UNITS:
        command = "switch_metric" if state.units is Units.INCH else "switch_inches"
    else:
        command = _KEYS.get(event.key, "")
    if not command:
        return Turn(state, (knowledge.note("not_now"),), ask=False)
    return _commanded(state, Meaning(Kind.COMMAND, command), knowledge)


_KEYS = {
    Key.NEXT: "next",
    Key.BACK: "back",
    Key.REPEAT: "repeat",
    Key.HELP: "what_can_i_say",
    Key.QUIT: "goodbye",
}


def _silence(state: State, event: Silence, knowledge: Knowledge) -> Turn:
    """Time never confirms anything: the question is said once more, and then not again."""
    if state.reminded or state.paused:
        return Turn(state, ask=False)
    return Turn(replace(state, reminded=True), (knowledge.note("still_here"),), short=True)


def _failed(state: State, event: Failed, knowledge: Knowledge) -> Turn:
    """Something failed: say so, show how to fix it, go on with what works."""
    others = tuple(pair for pair in state.troubles if pair[0] != event.part)
    told = replace(state, troubles=(*others, (event.part, f"{event.message} {event.remedy}".strip())))
    return Turn(
        told,
        (Note("failed", _plain(event.message)),),
        (_part(RecordKind.FAILED, event.part, event.message),),
        short=True,
    )


def _recovered(state: State, event: Recovered, knowledge: Knowledge) -> Turn:
    """It works again."""
    told = replace(state, troubles=tuple(pair for pair in state.troubles if pair[0] != event.part))
    record = _part(RecordKind.RECOVERED, event.part, event.message)
    return Turn(told, (Note("recovered", _plain(event.message)),), (record,), ask=False)


def _sheet_written(state: State, event: SheetWritten, knowledge: Knowledge) -> Turn:
    """Say that the sheet is there, and show where until the person does something."""
    troubles = tuple(pair for pair in state.troubles if pair[0] != "sheet")
    told = replace(state, troubles=troubles, notice=event.path)
    record = Record(RecordKind.SHEET_WRITTEN, {"path": event.path})
    return Turn(told, (knowledge.note("sheet_written"),), (record,), ask=False)


def _jobs_found(state: State, event: JobsFound, knowledge: Knowledge) -> Turn:
    """What was looked up. It is dropped if the person has gone on to something else."""
    if "find_job" not in expectation(state, knowledge).commands:
        return Turn(state, ask=False)
    return naming.jobs_found(state, event, knowledge)


_HANDLERS = {
    Started: _started,
    Said: _said,
    Pressed: _pressed,
    Silence: _silence,
    Failed: _failed,
    Recovered: _recovered,
    SheetWritten: _sheet_written,
    JobsFound: _jobs_found,
}


def _log(heard: Heard, understanding: Understanding, state: State) -> Record:
    """What was heard, what it was taken to mean, with what confidence, and why nothing was understood."""
    meaning = understanding.meaning
    return Record(
        RecordKind.HEARD,
        {
            "words": heard.text,
            "confidence": round(understanding.confidence, 3),
            "stage": str(state.now.stage),
            "kind": str(meaning.kind) if meaning else None,
            "value": str(meaning.value) if meaning else None,
            "trouble": str(understanding.trouble) if understanding.trouble else None,
        },
    )


def _part(kind: RecordKind, part: str, message: str) -> Record:
    return Record(kind, {"part": part, "message": message})


def _plain(message: str) -> str:
    """A message as the template of a note: braces in it are not placeholders."""
    return message.replace("{", "(").replace("}", ")")
