"""What each command does: always valid ones, and those valid where the stage says so. One table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import Units
from bench.core.notes import BenchError, Note
from bench.dialogue import answers, learning, lesson, naming, pace, rows, sayable, undone
from bench.dialogue.effects import Hush, Look, Restyle, Tune, Tuning, WriteSheet
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import whole_stick
from bench.dialogue.prompt import Turn
from bench.dialogue.stages import STAGES, after, learned, prompt_of, set_up, site, work
from bench.dialogue.state import Stage, State
from bench.job.layout import lay_out_job
from bench.job.model import JobBend, JobStick
from bench.job.records import Record, RecordKind
from bench.language.meaning import Kind, Meaning

Command = Callable[[State, Meaning, Knowledge], Turn]


def run_command(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Do what a command says. The caller has made sure that it is valid now."""
    if lesson.taught(state) and meaning.value in lesson.COMMANDS:
        return lesson.COMMANDS[str(meaning.value)](state, knowledge)
    return COMMANDS[str(meaning.value)](state, meaning, knowledge)


def _repeat(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return Turn(state.settled(), repeated=True)


def _next(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Go on where nothing is asked, or without what may be left out. No other question is answered by it."""
    stage = state.now.stage
    if stage is Stage.WORK:
        return work.forward(state, knowledge)
    if stage is Stage.TWEAK:
        return work.after_tweak(state, knowledge)
    if stage is Stage.TEST_BEND:
        return Turn(state.moved(replace(state.now, stage=Stage.CALIBRATE, at=0, trial=())))
    if stage is Stage.SITE_FOUND and prompt_of(state, knowledge).expect.kind is Kind.COMMAND:
        return site.left(state)
    skip = Meaning(Kind.CHOICE, "skip")
    take = STAGES[stage].take
    if take is not None and "skip" in prompt_of(state, knowledge).expect.choices:
        return take(state.settled(), skip, knowledge)
    return Turn(state.settled(), (knowledge.note("answer_first"),))


def _back(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """One step or question back; values given stay until they are answered again."""
    place = state.now
    if place.stage is Stage.WORK:
        return work.backward(state, knowledge)
    if place.stage in _ASKING and place.at > 0 and not place.changing:
        return Turn(state.moved(replace(place, at=place.at - 1)))
    if place.stage in (Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK):
        return Turn(state.moved(replace(place, stage=Stage.WORK, measured=None)))
    if place.stage is Stage.READ_BACK and place.bend.answers:
        last = len(knowledge.flows[place.bend.kind].asked) - 1
        return Turn(state.moved(replace(place, stage=Stage.ASK, at=last, changing=True)))
    if place.stage is Stage.RACK_READ_BACK:
        return after.rack_read_back_take(state, Meaning(Kind.YESNO, False), knowledge)
    before = _before(state)
    if before is None:
        return Turn(state.settled(), (knowledge.note("at_start"),))
    return Turn(state.moved(replace(place, stage=before, changing=False)))


def _before(state: State) -> Stage | None:
    """The stage before this one, None at the start. A value being changed goes back to which one."""
    place = state.now
    if place.changing:
        return Stage.WHICH
    if place.stage in (Stage.RUN, Stage.FINISH):
        return place.came_from or _home(state)
    if place.stage in (Stage.PICK, Stage.BOXES) and place.stick.bends:
        return _home(state)
    if place.stage is Stage.LEARNED:
        return _home(state)
    if place.stage is Stage.SITE:
        return Stage.BOXES if place.site.startswith("boxes") else _home(state)
    if place.stage is Stage.CONDUIT and place.tools.complete:
        return Stage.PICK
    return _BEFORE.get(place.stage)


_ASKING = (Stage.ASK, Stage.CALIBRATE, Stage.SITE)
"""Where `at` counts questions."""

_BEFORE = {
    Stage.SIZE: Stage.CONDUIT,
    Stage.BENDER: Stage.SIZE,
    Stage.TEST_BEND: Stage.BENDER,
    Stage.CALIBRATE: Stage.TEST_BEND,
    Stage.CALIBRATED: Stage.CALIBRATE,
    Stage.ASK: Stage.PICK,
    Stage.BOXES: Stage.PICK,
    Stage.SITE_FOUND: Stage.SITE,
    Stage.WHICH: Stage.READ_BACK,
    Stage.SIDE: Stage.WHICH,
    Stage.RACK: Stage.AFTER,
}


def _change(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Fix the last value; at the read-back and in the work ask which one."""
    place = state.now
    if place.stage in _ASKING and place.at > 0 and not place.changing:
        return Turn(state.moved(replace(place, at=place.at - 1)))
    if place.stage is Stage.SITE_FOUND:
        return Turn(state.moved(replace(place, stage=Stage.SITE, at=0)))
    if place.stage is Stage.CALIBRATED:
        return Turn(state.moved(replace(place, stage=Stage.CALIBRATE, at=0, trial=())))
    if place.stage is Stage.READ_BACK:
        return Turn(state.moved(replace(place, stage=Stage.WHICH)))
    if place.stage in (Stage.WORK, Stage.TWEAK, Stage.AFTER) and place.stick.bends:
        if place.stick.shift or place.stick.bends[-1].finished:
            return Turn(state, (knowledge.note("remake_to_change"),))
        return Turn(state.moved(work.taken_up_again(place, Stage.WHICH)))
    return Turn(state, (knowledge.note("nothing_to_change"),))


def _undo(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Take the last change back; a second undo with nothing left says so."""
    if not state.past:
        return Turn(state.settled(), (knowledge.note("nothing_to_undo"),))
    before = replace(state.settled(), now=state.past[-1], past=state.past[:-1])
    record = Record(RecordKind.UNDONE, {"stage": str(before.now.stage)})
    after, effects = learning.undone(state, before)
    return Turn(after, (undone.told(state, knowledge),), (record,), effects)


def _cancel(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Leave what is in hand: a change of one measure, a check, the bend. What is bent already stays."""
    place = state.now
    if place.stage in (Stage.WHICH, Stage.SIDE) or place.changing:
        return Turn(state.moved(replace(place, stage=Stage.READ_BACK, at=0, changing=False)))
    if place.stage in (Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK):
        return Turn(state.moved(replace(place, stage=Stage.WORK, measured=None, fault="")))
    return _dropped(state, knowledge)


def _dropped(state: State, knowledge: Knowledge) -> Turn:
    """The bend, the set-up or the question in hand is left, back to where one is between bends."""
    place = state.now
    if place.stage is Stage.WORK:
        return work.dropped(state, knowledge)
    if place.stage is Stage.RESUME:
        return set_up.resume_take(state, Meaning(Kind.YESNO, False), knowledge)
    if place.stage in (Stage.RUN, Stage.FINISH):
        return Turn(state.moved(replace(place, stage=place.came_from or _home(state), came_from=None)))
    if place.stage is Stage.RACK_READ_BACK:
        back = replace(place, stage=Stage.AFTER, stick=place.done[-1], done=place.done[:-1])
        return Turn(state.moved(back))
    stage = _home(state) if place.tools.complete else Stage.CONDUIT
    if place.stage in (stage, Stage.DONE, Stage.SETUP_AGAIN):
        return Turn(state.settled(), (knowledge.note("nothing_to_cancel"),))
    fresh = replace(place, stage=stage, at=0, bend=JobBend(), waiting=(), trial=(), changing=False, site="")
    return Turn(state.moved(replace(fresh, stick=place.stick.unbegun())))


def _start_over(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """From the beginning of what is in hand: the marks, the bend, the set-up."""
    place = state.now
    if place.stage in (Stage.WORK, Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK, Stage.AFTER):
        return work.begun_again(state, knowledge)
    if place.stage in (Stage.SIZE, Stage.BENDER):
        return Turn(state.moved(replace(place, stage=Stage.CONDUIT)))
    if place.stage in (Stage.CALIBRATE, Stage.CALIBRATED):
        return Turn(state.moved(replace(place, stage=Stage.TEST_BEND, at=0, trial=())))
    if place.stage in (Stage.SITE, Stage.SITE_FOUND):
        return Turn(state.moved(replace(place, stage=Stage.SITE, at=0, trial=())))
    return _dropped(state, knowledge)


def _finish(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The end of the job, and after that of the day."""
    if state.now.stage is Stage.DONE:
        return after.goodbye(state, knowledge)
    if state.now.stage is Stage.FINISH:
        return after.finish_take(state, Meaning(Kind.YESNO, True), knowledge)
    return _to(Stage.FINISH)(state, meaning, knowledge)


def _home(state: State) -> Stage:
    """Where one is between bends: at unfinished work, after a bend, or picking one."""
    bends = state.now.stick.bends
    if state.now.uncut or any(not bend.finished for bend in bends):
        return Stage.WORK
    return Stage.AFTER if bends else Stage.PICK


def _where(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    place = state.now
    if place.stage is Stage.WORK:
        total = len(work.steps_of(state, knowledge))
        note = knowledge.note("where_step", step=place.at + 1, total=total, stick=place.stick.name)
    elif place.bend.kind:
        note = knowledge.note(
            "where_bend", bend=knowledge.flows[place.bend.kind].name.capitalize(), stick=place.stick.name
        )
    else:
        note = knowledge.note("where_idle", stick=place.stick.name)
    return Turn(state.settled(), (note,))


def _mark_question(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    number = int(meaning.argument or 0)
    if not state.now.stick.bends:
        return Turn(state, (knowledge.note("no_marks_yet"),), ask=False)
    try:
        mark = whole_stick(state.now, state.units, knowledge).mark(number)
    except BenchError as error:
        return Turn(state, (error.message, error.remedy), ask=False)
    return Turn(state, (knowledge.note("mark_is", name=number, at=mark.at),), ask=False)


def _read_marks(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Every mark of the stick, a row for each bend; of a bend that is read back not before the yes."""
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


def _next_mark(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    step = work.steps_of(state, knowledge)[state.now.at] if state.now.stage is Stage.WORK else None
    if step is None or step.mark is None:
        return Turn(state, (knowledge.note("no_marks_yet"),), ask=False)
    number = step.mark + 1
    distance = whole_stick(state.now, state.units, knowledge).distance_to_next(number)
    if distance is None:
        return Turn(state, (knowledge.note("last_mark"),), ask=False)
    note = knowledge.note("to_next_mark", name=number, next=number + 1, distance=distance)
    return Turn(state, (note,), ask=False)


def _degrees(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    bent = state.now.stick.bends
    used = whole_stick(state.now, state.units, knowledge).total_degrees if bent else 0.0
    note = knowledge.note("degrees_left", used=used, left=knowledge.limits.bends.left(used))
    return Turn(state, (note,), ask=False)


def _materials(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
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


def _sheet(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    place = state.now
    if not place.done and not place.stick.bends:
        return Turn(state, (knowledge.note("no_sticks_yet"),), ask=False)
    return Turn(state, (knowledge.note("sheet"),), effects=(WriteSheet(),), ask=False)


def _pause(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return Turn(replace(state.settled(), paused=True), (knowledge.note("paused"),), ask=False)


def _listen(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return Turn(replace(state.settled(), paused=False), (knowledge.note("listening"),))


def _tune(what: Tuning, by: int, said: str) -> Command:
    def tune(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return Turn(state, (knowledge.note(said),), effects=(Tune(what, by),), ask=False)

    return tune


def _restyle(look: Look) -> Command:
    """The screen's colors or letters: its new look is the answer, with the step as it was."""

    def restyle(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        record = Record(RecordKind.SETTING, {"look": str(look)})
        return Turn(state, (knowledge.note(look),), (record,), effects=(Restyle(look),), ask=False)

    return restyle


def _hush(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return Turn(state, effects=(Hush(),), ask=False)


def _units(units: Units, said: str) -> Command:
    def switch(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        if state.now.stick.bends and units is not state.units:
            return Turn(state.settled(), (knowledge.note("new_stick_first"),))
        record = Record(RecordKind.SETTING, {"units": str(units)})
        return Turn(replace(state.settled(), units=units), (knowledge.note(said),), (record,))

    return switch


def _quiet(on: bool, said: str) -> Command:
    def switch(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return Turn(
            replace(state, quiet=on),
            (knowledge.note(said),),
            (Record(RecordKind.SETTING, {"quiet": on}),),
            ask=False,
        )

    return switch


def _pace(said: str, apart: bool | None = None, row: bool | None = None) -> Command:
    def change(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return pace.changed(state, said, knowledge, apart, row)

    return change


def _skip_check(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Without this check; where all are offered, without any."""
    if work.offered_checks(state, knowledge):
        return work.past_checks(state, "skipped", knowledge)
    return work.forward(state, knowledge)


def _skip_checks(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return work.past_checks(state, "skipped", knowledge)


def _to(stage: Stage) -> Command:
    def move(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return Turn(state.moved(replace(state.now, stage=stage, at=0, came_from=state.now.stage)))

    return move


def _learned(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return learned.asked(state, knowledge)


def _unlearn(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return learned.unlearned(state, knowledge)


def _site(kind: str) -> Command:
    def begin(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        return site.begun(state, kind)

    return begin


def _other_tools(stage: Stage) -> Command:
    """Other conduit or another bender: the stick in hand is put away first, its marks are for the old."""

    def move(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
        place = state.now
        moved = replace(place, stage=stage, at=0, came_from=place.stage)
        if not place.stick.bends:
            return Turn(state.moved(moved))
        fresh = replace(
            moved,
            bend=JobBend(),
            stick=JobStick(after.next_name(place)),
            done=(*place.done, place.stick),
            observed=(),
            measured=None,
            uncut=False,
        )
        record = Record(RecordKind.STICK_DONE, {"stick": place.stick.name, "run": place.run})
        return Turn(state.moved(fresh), (), (record,))

    return move


def _same_again(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The next pipe of a rack; of parallel bends the spacing is known already."""
    spacing = state.now.stick.bends[-1].measures.get("spacing")
    if isinstance(spacing, Fraction):
        return after.next_pipe(state, spacing, knowledge)
    return Turn(state.moved(replace(state.now, stage=Stage.RACK)))


def _add_bend(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Another bend on this stick: the one being read back must be makeable, and joins the stick unmarked."""
    if state.now.stage is Stage.WORK:
        return work.further_bend(state, knowledge)
    if state.now.stage is not Stage.READ_BACK:
        return Turn(state.moved(replace(state.now, stage=Stage.PICK, at=0, bend=JobBend())))
    return Turn(state, (knowledge.note("yes_first"),))


def _remake(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return work.made_again(state, knowledge)


def _new_stick(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return after.new_stick(state, knowledge)


def _goodbye(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    return after.goodbye(state, knowledge)


COMMANDS: dict[str, Command] = {
    "repeat": _repeat,
    "next": _next,
    "back": _back,
    "change": _change,
    "undo": _undo,
    "cancel": _cancel,
    "start_over": _start_over,
    "done": _next,
    "where_am_i": _where,
    "what_can_i_say": sayable.told,
    "more": sayable.more,
    "read_marks": _read_marks,
    "marks_together": _pace("marks_row", row=True),
    "marks_apart": _pace("marks_single", row=False),
    "steps_together": _pace("steps_joined", apart=False),
    "steps_apart": _pace("steps_single", apart=True),
    "skip_check": _skip_check,
    "skip_checks": _skip_checks,
    "mark_question": _mark_question,
    "explain": answers.explain,
    "tape_end_question": answers.tape_end,
    "hook_question": answers.hook,
    "point_question": answers.point,
    "turn_question": answers.turn,
    "cut_question": answers.cut,
    "how_to_measure": answers.how_to_measure,
    "why_angle": answers.why_angle,
    "how_much_bend": answers.how_much,
    "next_mark_place": answers.next_mark,
    "whats_left": answers.whats_left,
    "teach_me": lesson.teach,
    "skip_lesson": _repeat,
    "name_job": naming.name_job,
    "name_place": naming.name_place,
    "name_run": naming.name_run,
    "find_job": naming.find_job,
    "list_jobs": naming.list_jobs,
    "next_mark_distance": _next_mark,
    "degrees_left": _degrees,
    "materials": _materials,
    "sheet": _sheet,
    "stop_listening": _pause,
    "start_listening": _listen,
    "louder": _tune(Tuning.VOLUME, +1, "louder"),
    "quieter": _tune(Tuning.VOLUME, -1, "quieter"),
    "faster": _tune(Tuning.RATE, +1, "faster"),
    "slower": _tune(Tuning.RATE, -1, "slower"),
    "hush": _hush,
    "switch_metric": _units(Units.METRIC, "metric_on"),
    "switch_inches": _units(Units.INCH, "inches_on"),
    "dark_colors": _restyle(Look.DARK),
    "light_colors": _restyle(Look.LIGHT),
    "sunlight_colors": _restyle(Look.SUNLIGHT),
    "bigger": _restyle(Look.BIGGER),
    "smaller": _restyle(Look.SMALLER),
    "quiet_mode": _quiet(True, "quiet_on"),
    "voice_mode": _quiet(False, "quiet_off"),
    "box_to_box": _to(Stage.BOXES),
    "learned": _learned,
    "unlearn": _unlearn,
    "match_bend": _site("match"),
    "match_curve": _site("curve"),
    "holes": _site("holes"),
    "compound": _site("compound"),
    "concentric": _site("concentric"),
    "calibrate": _other_tools(Stage.TEST_BEND),
    "set_up": _other_tools(Stage.CONDUIT),
    "same_again": _same_again,
    "new_run": _to(Stage.RUN),
    "finish": _finish,
    "add_bend": _add_bend,
    "new_stick": _new_stick,
    "remake": _remake,
    "goodbye": _goodbye,
}
