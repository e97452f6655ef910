"""What is told without moving: where one is, marks, degrees, material, the sheet."""

from __future__ import annotations

from bench.core.notes import BenchError, Note
from bench.dialogue import in_hand, rows
from bench.dialogue.effects import WriteSheet
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import whole_stick
from bench.dialogue.prompt import Turn
from bench.dialogue.state import Stage, State
from bench.job.layout import lay_out_job
from bench.language.meaning import Meaning


def where_am_i(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The step, or the bend asked about, and the stick."""
    place = state.now
    if place.stage is Stage.WORK:
        total = len(in_hand.steps_of(state, knowledge))
        note = knowledge.note("where_step", step=place.at + 1, total=total, stick=place.stick.name)
    elif place.bend.kind:
        note = knowledge.note(
            "where_bend", bend=knowledge.flows[place.bend.kind].name.capitalize(), stick=place.stick.name
        )
    else:
        note = knowledge.note("where_idle", stick=place.stick.name)
    return Turn(state.settled(), (note,))


def mark_question(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Where a mark is, by its number."""
    number = int(meaning.argument or 0)
    if not state.now.stick.bends:
        return Turn(state, (knowledge.note("no_marks_yet"),), ask=False)
    try:
        mark = whole_stick(state.now, state.units, knowledge).mark(number)
    except BenchError as error:
        return Turn(state, (error.message, error.remedy), ask=False)
    return Turn(state, (knowledge.note("mark_is", name=number, at=mark.at),), ask=False)


def read_marks(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Every mark of the stick, a row for each bend. Those of a bend being read back are told after its yes."""
    place = state.now
    if not place.stick.bends:
        return Turn(
            state,
            (knowledge.note("yes_first" if place.stage is Stage.READ_BACK else "no_marks_yet"),),
            ask=False,
        )
    stick = whole_stick(place, state.units, knowledge)
    every = tuple(range(len(stick.marks)))
    told = tuple(rows.said_together(stick, row, knowledge) for row in rows.groups(stick, every, True))
    return Turn(state, told, ask=False)


def next_mark_distance(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """How far it is from this mark to the next."""
    step = in_hand.step_now(state, knowledge) if state.now.stage is Stage.WORK else None
    if step is None or step.mark is None:
        return Turn(state, (knowledge.note("no_marks_yet"),), ask=False)
    number = step.mark + 1
    distance = whole_stick(state.now, state.units, knowledge).distance_to_next(number)
    if distance is None:
        return Turn(state, (knowledge.note("last_mark"),), ask=False)
    note = knowledge.note("to_next_mark", name=number, next=number + 1, distance=distance)
    return Turn(state, (note,), ask=False)


def degrees(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Degrees bent on this stick, and those left."""
    bent = state.now.stick.bends
    used = whole_stick(state.now, state.units, knowledge).total_degrees if bent else 0.0
    note = knowledge.note("degrees_left", used=used, left=knowledge.limits.bends.left(used))
    return Turn(state, (note,), ask=False)


def materials(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """What the sticks of the job so far need."""
    job = state.now.job
    if not job.sticks:
        return Turn(state, (knowledge.note("no_sticks_yet"),), ask=False)
    run = lay_out_job(job, knowledge).run
    notes = (*(item.note for item in run.materials), *run.cut_notes)
    return Turn(state, tuple(_listed(note, knowledge) for note in notes), ask=False)


def _listed(note: Note, knowledge: Knowledge) -> Note:
    """An item of a list as a sentence, its words as they are spoken."""
    values = {
        key: knowledge.word(value) if isinstance(value, str) else value for key, value in note.values.items()
    }
    return Note(note.code, f"{note.template}.", values)


def sheet(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Write the job sheet."""
    place = state.now
    if not place.done and not place.stick.bends:
        return Turn(state, (knowledge.note("no_sticks_yet"),), ask=False)
    return Turn(state, (knowledge.note("sheet"),), effects=(WriteSheet(),), ask=False)
