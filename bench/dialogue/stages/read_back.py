"""The whole set of a bend is read back; an explicit yes puts the bend on the stick."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.bends import BENDS
from bench.core.bends.rack import Rack
from bench.core.lengths import MILLIMETER, Units, tape_scale
from bench.core.notes import BenchError, Note
from bench.core.plan import Measure, Plan, Quantity
from bench.core.stick import Stick
from bench.dialogue.actions import given
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.measures import SIDES, bend_detail, measures_of, sides_of, slots_of
from bench.dialogue.plans import drawing, setup_of, stick_of, told
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, kind_of, value_note, value_text, within
from bench.dialogue.scenes import whole
from bench.dialogue.stages.ask import corrected, given_together
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import lines, measure_note, place_title
from bench.job.layout import plan_of, tools_as_they_are
from bench.job.model import JobBend, JobStick, Number
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning

DECIDING = ("change",)
_FAR = 3
"""A number that is more than so many times the last measure given is hardly meant to replace it. Common practice, no
source."""


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
        slots=slots_of(place.bend, place, knowledge),
        sides=sides_of(place),
    )
    told = tuple(note for note in plan.advice if note.code in knowledge.spoken_advice)
    words = (name, *measures, *chosen, *warnings, *told, knowledge.note("right"))
    return Prompt(words, view, expect, again=(knowledge.note("right"),))


def read_back_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes begins the marks; no asks what to change. Where the bend cannot be made, yes takes what would work."""
    place = state.now
    try:
        plan_and_stick(state, knowledge)
    except BenchError as error:
        way_out = way_out_of(error, place.bend, knowledge)
        if meaning.value and way_out is not None:
            other = replace(place, bend=place.bend.answered(*way_out))
            return Turn(state.moved(other), (value_note(way_out[1], knowledge),))
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


def _begun(state: State, knowledge: Knowledge) -> JobStick:
    """A stick with its first bend: it keeps the tools in hand now."""
    place = state.now
    tools = tools_as_they_are(place.tools, knowledge)
    listed = place.queued > 0 and state.queue[place.queued - 1].name == place.stick.name
    run = place.stick.run if listed else place.run_label
    return replace(place.stick, tools=tools, units=state.units, scale=tape_scale(state.units), run=run)


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
        number=knowledge.words["no_fit"],
        action=() if way_out is None else (_offered(*way_out, state, knowledge),),
        title=place_title(state, knowledge),
        lines=lines((error.message, error.remedy), state.units),
    )
    return Prompt((error.message, error.remedy, ask), view, Expectation(kind, commands=(*ALWAYS, "change")))


def _offered(key: str, value: Number, state: State, knowledge: Knowledge) -> str:
    """The measure that would work, as a question in block letters."""
    label, text = knowledge.questions[key].label, value_text(value, state.units)
    return knowledge.words["use_instead"].format(label=label, value=text)


def _side_notes(place: Place, knowledge: Knowledge) -> tuple[Note, ...]:
    """Which way a further bend of the stick goes."""
    if not place.stick.bends:
        return ()
    for side, roll in SIDES.items():
        if roll == place.bend.roll:
            return (knowledge.note(f"side_{side}"),)
    return (knowledge.note("side_turned", roll=place.bend.roll),)


def _last_given(bend: JobBend, knowledge: Knowledge) -> Measure | None:
    """The last measure answered with a value."""
    given = bend.measures
    answered = [measure for measure in measures_of(bend.kind, knowledge) if measure.key in given]
    return answered[-1] if answered else None


def _last_kind(bend: JobBend, knowledge: Knowledge) -> Kind | None:
    last = _last_given(bend, knowledge)
    return None if last is None else kind_of(last.quantity)


def _last_corrected(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """ "No, three and a half" at the read-back corrects the last value given; the set is read back once more."""
    last = _last_given(state.now.bend, knowledge)
    if last is None:
        return Turn(state, (knowledge.note("again"),))
    angle = _angle_meant(last, meaning, state, knowledge)
    if angle is not None:
        return given_together(state, {"angle": angle}, "", knowledge)
    return corrected(state, last, meaning, knowledge)


def _angle_meant(last: Measure, meaning: Meaning, state: State, knowledge: Knowledge) -> float | None:
    """ "Make it thirty" where the last value was a height of two and a half: an angle that this bend is often made at,
    and a length far from the one given, is its angle. It is read back like everything."""
    bend = state.now.bend
    keys = [measure.key for measure in measures_of(bend.kind, knowledge)]
    if "angle" not in keys or last.quantity is not Quantity.LENGTH:
        return None
    far = meaning.number > _FAR * Fraction(bend.measures[last.key]) or not within(last, meaning.number)
    degrees = meaning.number / (MILLIMETER if state.units is Units.METRIC else 1)
    made = BENDS[bend.kind]
    often = made.inner.angles if isinstance(made, Rack) else made.angles
    return float(degrees) if far and float(degrees) in often else None
