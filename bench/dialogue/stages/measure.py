"""Measuring: pick a bend, answer its questions, hear the whole set read back, say yes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from bench.core.bender import Setup
from bench.core.bends import BENDS
from bench.core.lengths import tape_scale
from bench.core.notes import BenchError, Note
from bench.core.plan import Measure, Plan, Quantity
from bench.core.stick import Stick
from bench.dialogue.actions import given
from bench.dialogue.always import ALWAYS, BETWEEN
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import drawing, setup_of, stick_of, whole_stick
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import (
    as_number,
    kind_of,
    mended,
    question,
    slot_of,
    value_note,
    value_text,
    within,
)
from bench.dialogue.scenes import whole
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import lines, measure_note, place_title
from bench.job.layout import as_spoken, laid_out, plan_of, spoken_now, tools_as_they_are
from bench.job.model import JobBend, JobStick, Number
from bench.job.records import Record, RecordKind
from bench.job.stored import number_to_json
from bench.language.meaning import Expectation, Kind, Meaning, NamedBend, Slot

DECIDING = ("change",)
SIDES = {"the_same": 0.0, "to_right": 90.0, "opposite": 180.0, "to_left": 270.0}
"""Rolls of a bend against the first one of its stick, which bends up, seen along the conduit from the tape end."""
TURN = "turn"
NINETY = 90.0


def measures_of(kind: str, knowledge: Knowledge) -> tuple[Measure, ...]:
    """The measures of a bend in the order of its flow: those asked, then those that may be changed."""
    bend = BENDS[kind]
    known = {measure.key: measure for measure in (*bend.measures, *bend.extras)}
    flow = knowledge.flows[kind]
    return tuple(known[key] for key in (*flow.asked, *flow.advised))


def pick_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """Which bend."""
    names = tuple(flow.name for flow in knowledge.flows.values())
    view = View(
        verb=knowledge.verbs["choose"], number="BEND?", title=place_title(state, knowledge), lines=names
    )
    tools, own = state.now.tools, state.profiles
    only_typical = all((one.conduit, one.size) != (tools.conduit, tools.size) for one in own)
    choices = (*knowledge.flows, *(("typical",) if only_typical else ()))
    expect = Expectation(Kind.CHOICE, choices=choices, commands=(*ALWAYS, *BETWEEN))
    return Prompt((knowledge.note("pick"),), view, orderable(expect, state, knowledge))


def pick_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """A kind of bend: its first question is asked next. That the bender is a typical one is known already."""
    kind = str(meaning.value)
    if kind == "typical":
        return Turn(state, (knowledge.note("typical_bender"),))
    answers, at = _not_asked(kind, state, knowledge)
    bend = JobBend(kind, answers)
    moved = state.moved(replace(state.now, stage=Stage.ASK, at=at, bend=bend, changing=False))
    lead = Note("bend", f"{knowledge.flows[kind].name.capitalize()}.")
    return Turn(moved, (lead,), (Record(RecordKind.BEND_BEGUN, {"kind": kind}),))


def orderable(expect: Expectation, state: State, knowledge: Knowledge) -> Expectation:
    """The expectation with what may be said in one breath between bends: set-up, a bend and its measures."""
    return replace(
        further_named(expect, state.now, knowledge),
        conduits=knowledge.kinds(),
        sizes=tuple(dict.fromkeys(size for kind in knowledge.kinds() for size in knowledge.sizes(kind))),
        benders=("typical", "mine"),
        units=state.units,
    )


def further_named(expect: Expectation, place: Place, knowledge: Knowledge) -> Expectation:
    """The expectation with a bend and its measures, on the stick in hand."""
    return replace(expect, bends=named_bends(place, knowledge), sides=_sides(place))


def _sides(place: Place) -> tuple[str, ...]:
    """The first bend of a stick goes up, whichever way that is; only a further one has a side."""
    return tuple(SIDES) if place.stick.bends else ()


def named_bends(place: Place, knowledge: Knowledge) -> tuple[NamedBend, ...]:
    """Every bend with the measures that may be said with its name."""
    return tuple(
        NamedBend(kind, _slots(JobBend(kind), place, knowledge), flow.adjective)
        for kind, flow in knowledge.flows.items()
    )


def _slots(bend: JobBend, place: Place, knowledge: Knowledge) -> tuple[Slot, ...]:
    asked, given = knowledge.flows[bend.kind].asked, dict(bend.answers)
    return tuple(
        slot_of(_on_the_stick(measure, place), measure.key in asked, measure.key in given)
        for measure in measures_of(bend.kind, knowledge)
    )


def begun(state: State, kind: str, values: Mapping[str, Number], side: str, knowledge: Knowledge) -> Turn:
    """A bend named together with measures of it: what is missing is asked, else all is read back."""
    answers, _ = _not_asked(kind, state, knowledge)
    bend = _with_values(JobBend(kind, answers, roll=SIDES.get(side, 0.0)), values, knowledge)
    moved = state.moved(_asked_next(replace(state.now, bend=bend, changing=False), knowledge))
    begin = Record(RecordKind.BEND_BEGUN, {"kind": kind})
    given = _all_given(bend, values, knowledge)
    if moved.now.stage is Stage.READ_BACK:
        return Turn(moved, (), (begin, *given))
    name = Note("bend", f"{knowledge.flows[kind].name.capitalize()}.")
    return Turn(moved, (name, *_told(values, knowledge)), (begin, *given))


def bend_of(kind: str, values: Mapping[str, Number], knowledge: Knowledge) -> JobBend:
    """A bend with these measures, to be gone on with once the set-up is complete."""
    return _with_values(JobBend(kind), values, knowledge)


def given_together(state: State, values: Mapping[str, Number], side: str, knowledge: Knowledge) -> Turn:
    """Several measures of the bend in hand and the side it goes to, at a question or at the read-back."""
    place = state.now
    bend = _with_values(place.bend, values, knowledge)
    if side:
        bend = replace(bend, roll=SIDES[side])
    if place.stage is Stage.READ_BACK or place.changing:
        after = replace(place, bend=bend, stage=Stage.READ_BACK, at=0, changing=False)
    else:
        after = _asked_next(replace(place, bend=bend), knowledge)
    told = () if after.stage is Stage.READ_BACK else _told(values, knowledge)
    return Turn(state.moved(after), told, _all_given(bend, values, knowledge))


def _with_values(bend: JobBend, values: Mapping[str, Number], knowledge: Knowledge) -> JobBend:
    """The bend with these measures answered, in the order of its flow."""
    for measure in measures_of(bend.kind, knowledge):
        if measure.key in values:
            bend = bend.answered(measure.key, values[measure.key])
    order = [measure.key for measure in measures_of(bend.kind, knowledge)]
    return replace(bend, answers=tuple(sorted(bend.answers, key=lambda answer: order.index(answer[0]))))


def _asked_next(place: Place, knowledge: Knowledge) -> Place:
    """At the first question without an answer; at the read-back when nothing that is needed is missing."""
    asked = measures_of(place.bend.kind, knowledge)[: len(knowledge.flows[place.bend.kind].asked)]
    given = dict(place.bend.answers)
    missing = [index for index, measure in enumerate(asked) if measure.key not in given]
    needed = any(not asked[index].optional for index in missing)
    if not needed:
        return replace(place, stage=Stage.READ_BACK, at=0)
    return replace(place, stage=Stage.ASK, at=missing[0])


def _told(values: Mapping[str, Number], knowledge: Knowledge) -> tuple[Note, ...]:
    return tuple(measure_note(key, value, knowledge) for key, value in values.items())


def _all_given(bend: JobBend, keys: Iterable[str], knowledge: Knowledge) -> tuple[Record, ...]:
    return tuple(
        _given(measure, bend.measures[measure.key])
        for measure in measures_of(bend.kind, knowledge)
        if measure.key in keys
    )


def _not_asked(
    kind: str, state: State, knowledge: Knowledge
) -> tuple[tuple[tuple[str, Number | None], ...], int]:
    """Measures answered by the ninety that is on the stick already, and which question is the first."""
    stick = state.now.stick
    if not stick.bends or not knowledge.flows[kind].with_ninety:
        return (), 0
    marks = whole_stick(state.now, state.units, knowledge).marks
    if not any(abs(mark.bend - NINETY) < 1 for mark in marks):
        return (), 0
    known = knowledge.flows[kind].with_ninety
    return tuple((key, None) for key in known), len(known)


def ask_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The question in hand."""
    place = state.now
    kind, flow = place.bend.kind, knowledge.flows[place.bend.kind]
    measure = _on_the_stick(measures_of(kind, knowledge)[place.at], place)
    ask = flow.ask.get(measure.key, knowledge.questions[measure.key].ask)
    step = (place.at + 1, max(len(flow.asked), place.at + 1))
    before = None if place.changing or place.at == 0 else measures_of(kind, knowledge)[place.at - 1]
    prompt = question(state, knowledge, measure, ask, place_title(state, knowledge), step, before)
    expect = replace(prompt.expect, asks=measure.key, slots=_slots_at(place, measure.key, knowledge))
    return replace(prompt, expect=expect)


def _slots_at(place: Place, asked: str, knowledge: Knowledge) -> tuple[Slot, ...]:
    """The measures that may be said at a question; the one asked is missing, whatever it was before."""
    return tuple(
        replace(slot, known=slot.known and slot.key != asked, asked=slot.asked or slot.key == asked)
        for slot in _slots(place.bend, place, knowledge)
    )


def ask_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """An answer: read back at the head of the next question. "No, thirty-two" mends the one before."""
    place = state.now
    measures = measures_of(place.bend.kind, knowledge)
    if meaning.corrects and place.at > 0 and not place.changing and meaning.value != "skip":
        return _corrected(state, measures[place.at - 1], meaning, knowledge)
    measure = measures[place.at]
    value = None if meaning.value == "skip" else as_number(measure, meaning.value)
    bend = place.bend.answered(measure.key, value)
    following = None if place.changing else _following(place.at, bend, knowledge)
    stage = Stage.READ_BACK if following is None else Stage.ASK
    after = replace(place, bend=bend, stage=stage, at=following or 0, changing=False)
    return Turn(state.moved(after), (value_note(value, knowledge),), (_given(measure, value),))


def _following(at: int, bend: JobBend, knowledge: Knowledge) -> int | None:
    """The next question, those answered already passed over."""
    given = dict(bend.answers)
    asked = knowledge.flows[bend.kind].asked
    return next((index for index in range(at + 1, len(asked)) if asked[index] not in given), None)


def read_back_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The whole set once more, with what core advises; it needs an explicit yes."""
    place = state.now
    title = place_title(state, knowledge)
    try:
        plan, stick = plan_and_stick(state, knowledge)
    except BenchError as error:
        return _cannot_prompt(error, state, knowledge)
    measures = tuple(measure_note(key, value, knowledge) for key, value in place.bend.measures.items())
    chosen = advised_notes(plan, place.bend, knowledge)
    warnings = (*plan.warnings, *(note for note in stick.warnings if note not in plan.warnings))
    warnings += knowledge.limits.bends.warn(stick.total_degrees)
    name = Note("bend", f"{knowledge.flows[place.bend.kind].name.capitalize()}.")
    measures = (*measures, *_side_notes(place, knowledge))
    view = View(
        verb=knowledge.verbs["confirm"],
        number=headline(place.bend, state, knowledge),
        action=given((*measures, *chosen), state.units),
        action_alone=True,
        title=title,
        lines=lines((*warnings, *plan.advice), state.units),
        stick=drawing(stick),
        scenes=whole(stick, (), None, knowledge),
    )
    expect = Expectation(
        Kind.YESNO,
        commands=(*ALWAYS, *DECIDING),
        corrected=_last_kind(place.bend, knowledge),
        units=state.units,
        slots=_slots(place.bend, place, knowledge),
        sides=_sides(place),
    )
    told = tuple(note for note in plan.advice if note.code in knowledge.spoken_advice)
    words = (name, *measures, *chosen, *warnings, *told, knowledge.note("right"))
    return Prompt(words, view, expect, again=(knowledge.note("right"),))


def read_back_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes begins the marks; no asks what to change. A bend that cannot be made takes the way out on yes."""
    place = state.now
    try:
        plan_and_stick(state, knowledge)
    except BenchError as error:
        way_out = way_out_of(error, place.bend, knowledge)
        if meaning.value and way_out is not None:
            mended = replace(place, bend=place.bend.answered(*way_out))
            return Turn(state.moved(mended), (value_note(way_out[1], knowledge),))
        return Turn(state.moved(replace(place, stage=Stage.WHICH)))
    if meaning.corrects:
        return _last_corrected(state, meaning, knowledge)
    if not meaning.value:
        return Turn(state.moved(replace(place, stage=Stage.WHICH)))
    return accepted(state, Stage.WORK, knowledge)


def accepted(state: State, stage: Stage, knowledge: Knowledge) -> Turn:
    """The bend in hand is confirmed: it joins the stick, to be marked now or after more bends are added.

    From here on the stick keeps the tools and the marks that the person was told.
    """
    place = state.now
    begun = place.stick if place.stick.bends else _begun(state, knowledge)
    joined = replace(begun, bends=(*begun.bends, place.bend))
    stick = told(joined, setup_of(replace(place, stick=joined), state.units, knowledge))
    record = Record(RecordKind.CONFIRMED, bend_detail(place.bend) | {"stick": stick.name})
    after = replace(place, stage=stage, at=0, stick=stick, bend=JobBend(), observed=())
    if place.waiting:
        after = replace(after, stage=Stage.READ_BACK, bend=place.waiting[0], waiting=place.waiting[1:])
    return Turn(state.moved(after), (), (record,))


def told(stick: JobStick, setup: Setup) -> JobStick:
    """The stick with its marks as they will be spoken, those spoken before unchanged."""
    return stick.told(spoken_now(as_spoken(laid_out(stick, setup), stick.spoken)))


def _begun(state: State, knowledge: Knowledge) -> JobStick:
    """A stick with its first bend: it keeps the tools in hand now."""
    place = state.now
    tools = tools_as_they_are(place.tools, knowledge)
    listed = place.queued > 0 and state.queue[place.queued - 1].name == place.stick.name
    run = place.stick.run if listed else place.run_label
    return replace(place.stick, tools=tools, units=state.units, scale=tape_scale(state.units), run=run)


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


def plan_and_stick(state: State, knowledge: Knowledge) -> tuple[Plan, Stick]:
    """The bend in hand worked out, and the stick with it on. Raises BenchError when either cannot be.

    Beside other bends a gentler angle was not tried, and is not offered.
    """
    place = state.now
    setup = setup_of(place, state.units, knowledge)
    stick = stick_of(place, setup, (place.bend,))
    plan = plan_of(place.bend, setup)
    if not place.stick.bends:
        return plan, stick
    alone = tuple(note for note in plan.advice if note.code != "gentler_fits")
    return replace(plan, advice=alone), stick


def way_out_of(error: BenchError, bend: JobBend, knowledge: Knowledge) -> tuple[str, Number] | None:
    """The measure and value that would work, when core names one."""
    keys = {measure.key: measure for measure in measures_of(bend.kind, knowledge)}
    for key, value in error.remedy.values.items():
        if key in keys and not isinstance(value, str) and within(keys[key], value):
            return key, as_number(keys[key], value)
    return None


def advised_notes(plan: Plan, bend: JobBend, knowledge: Knowledge) -> tuple[Note, ...]:
    """The angle core chose where the person named none."""
    chosen = plan.inputs.get("angle")
    if chosen is None or "angle" in bend.measures:
        return ()
    return (knowledge.note("gentlest", angle=float(chosen)),)


def bend_detail(bend: JobBend) -> dict[str, object]:
    """A bend as kept in the job's record: exact lengths as text, angles and counts as numbers."""
    return {
        "kind": bend.kind,
        "measures": {key: number_to_json(value) for key, value in bend.measures.items()},
        "method": str(bend.method),
        "roll": bend.roll,
    }


def headline(bend: JobBend, state: State, knowledge: Knowledge) -> str:
    """The last measure given, as the huge number."""
    values = list(bend.measures.values())
    return value_text(values[-1], state.units) if values else knowledge.verbs["confirm"]


def _cannot_prompt(error: BenchError, state: State, knowledge: Knowledge) -> Prompt:
    """Why the bend cannot be made, and the way out where there is one."""
    way_out = way_out_of(error, state.now.bend, knowledge)
    ask = knowledge.note("use_it") if way_out else knowledge.note("change_or_cancel")
    kind = Kind.YESNO if way_out else Kind.COMMAND
    view = View(
        verb=knowledge.verbs["cannot"],
        number="NO FIT",
        title=place_title(state, knowledge),
        lines=lines((error.message, error.remedy), state.units),
    )
    return Prompt((error.message, error.remedy, ask), view, Expectation(kind, commands=(*ALWAYS, "change")))


def _corrected(state: State, measure: Measure, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The answer before this question, mended; the question itself is asked again."""
    value = mended(_on_the_stick(measure, state.now), meaning, knowledge)
    if isinstance(value, Note):
        return Turn(state, (value,))
    moved = state.moved(replace(state.now, bend=state.now.bend.answered(measure.key, value)))
    return Turn(moved, (knowledge.note("corrected", value=value),), (_given(measure, value),))


def _side_notes(place: Place, knowledge: Knowledge) -> tuple[Note, ...]:
    """Which way a further bend of the stick goes."""
    if not place.stick.bends:
        return ()
    for side, roll in SIDES.items():
        if roll == place.bend.roll:
            return (knowledge.note(f"side_{side}"),)
    return (knowledge.note("side_turned", roll=place.bend.roll),)


def _on_the_stick(measure: Measure, place: Place) -> Measure:
    """The measure with what is plausible on the stick in hand: no length on it is longer than it is."""
    if measure.quantity is not Quantity.LENGTH or measure.most <= place.stick.length:
        return measure
    return replace(measure, most=place.stick.length)


def _last_given(bend: JobBend, knowledge: Knowledge) -> Measure | None:
    """The last measure answered with a value."""
    given = bend.measures
    answered = [measure for measure in measures_of(bend.kind, knowledge) if measure.key in given]
    return answered[-1] if answered else None


def _last_kind(bend: JobBend, knowledge: Knowledge) -> Kind | None:
    last = _last_given(bend, knowledge)
    return None if last is None else kind_of(last)


def _last_corrected(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """ "No, three and a half" at the read-back mends the last value given; the set is read back once more."""
    last = _last_given(state.now.bend, knowledge)
    return (
        Turn(state, (knowledge.note("again"),))
        if last is None
        else _corrected(state, last, meaning, knowledge)
    )


def _given(measure: Measure, value: Number | None) -> Record:
    return Record(RecordKind.VALUE_GIVEN, {"measure": measure.key, "value": number_to_json(value)})
