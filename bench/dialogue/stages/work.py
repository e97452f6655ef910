"""The work: marks, bends, checks, cut and fit, one step at a time, each waiting for "next"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from bench.core.cautions import Step
from bench.core.checks import Check, checks, faults, observe
from bench.core.corrections import Correction, Verdict, correct
from bench.core.lengths import round_to
from bench.core.notes import BenchError, Note
from bench.core.plan import Measure, Plan, Quantity
from bench.core.stick import Stick as WholeStick
from bench.dialogue.actions import adjusted
from bench.dialogue.always import ALWAYS, WORKING
from bench.dialogue.effects import Stick, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.measures import bend_detail
from bench.dialogue.plans import drawing, marks_to_make, setup_of, told, whole_stick
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, expectation, value_text
from bench.dialogue.scenes import bending, checked, finished, turning, whole
from bench.dialogue.stages.pick import further_named
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.steps import Doing, Pace, WorkStep, work_steps
from bench.dialogue.wording import lines, place_title
from bench.job.model import JobBend, JobStick, Number, Reading, Spoken
from bench.job.records import Record, RecordKind
from bench.job.stored import number_to_json
from bench.language.lexicon import offered
from bench.language.meaning import NUMBERS, Expectation, Kind, Meaning, Order
from bench.pictures.scene import Scene

OFF_BY = Measure("off_by", Quantity.LENGTH, Fraction(1, 32), Fraction(12))
"""How far off a bend can be found, inches."""

OFF_BY_DEGREES = Measure("off_by", Quantity.ANGLE, Fraction(1, 2), Fraction(30))
"""The same of an angle, degrees."""

DEGREES = ("over_bent", "under_bent")
"""Faults that are told in degrees."""

OF_THIS = {"over": 1, "long": 1, "gap": 1, "under": -1, "short": -1}
"""What is wrong with the measure that is asked for just then, and its sign. They are named only beside an amount."""

_FAR, _NEAR = 8, 2
"""Tolerances from what a check should be that make a reading another check's; common practice, no source."""

_KINDS = {Quantity.LENGTH: Kind.LENGTH, Quantity.ANGLE: Kind.ANGLE, Quantity.COUNT: Kind.COUNT}


def steps_of(state: State, knowledge: Knowledge) -> tuple[WorkStep, ...]:
    """The steps of the bends on the stick that are not yet made."""
    place = state.now
    stick = whole_stick(place, state.units, knowledge)
    plans = [
        (owner, stick.bends[owner].plan)
        for owner, bend in enumerate(place.stick.bends[: len(stick.bends)])
        if not bend.finished
    ]
    pace = Pace(place.apart, place.row)
    return work_steps(stick, marks_to_make(place, stick), plans, state.units, knowledge, pace)


def work_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The step in hand."""
    place, steps = state.now, steps_of(state, knowledge)
    step = steps[place.at]
    cautions = knowledge.cautions.at(step.caution) if step.caution and _first_time(place, steps) else ()
    shoe = setup_of(place, state.units, knowledge).bender.shoe_angles if step.angle is not None else ()
    view = View(
        verb=knowledge.verbs[step.doing],
        number=step.number,
        which=str(step.mark + 1) if step.doing is Doing.MARK and step.mark is not None else "",
        action=step.action,
        action_alone=step.alone,
        action_first=step.check is not None,
        title=place_title(state, knowledge),
        lines=lines(step.lines, state.units),
        step=(place.at + 1, len(steps)),
        cautions=tuple(each.written for each in cautions),
        stick=_drawn(state, step, steps, knowledge),
        angle=step.angle,
        shoe_angles=shoe,
        level=step.check.level if step.check else None,
        scenes=_scenes(state, step, steps, knowledge),
    )
    spoken = tuple(Note(each.key, each.said) for each in cautions[:1]) if _first_stick(place) else ()
    where = _which_end(state, knowledge) if place.at == 0 and _first_stick(place) else ()
    once = (*step.once, *where, *spoken)
    return Prompt(step.say, view, _expectation(step, state, knowledge), once=once)


def _which_end(state: State, knowledge: Knowledge) -> tuple[Note, ...]:
    """Which end of the conduit is the tape end, where the questions of the bend did not tell."""
    told = knowledge.flows[state.now.stick.bends[0].kind].tape_end
    return (Note("tape_end", told),) if told else ()


def work_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """An answer at a check: it fits, or what was measured, which is read back before it is used."""
    step = steps_of(state, knowledge)[state.now.at]
    check = step.check
    if step.doing is Doing.OFFER and not isinstance(meaning.value, str):
        return forward(state, knowledge) if meaning.value else past_checks(state, "skipped", knowledge)
    if meaning.value == "check_it" or (check is None and step.doing is not Doing.OFFER):
        return forward(state, knowledge)
    if meaning.value in ("all_fit", "no_check"):
        return past_checks(state, "check" if meaning.value == "all_fit" else "skipped", knowledge)
    if check is not None and _as_planned(meaning, check):
        known = _known(state.now, check.key, check.planned)
        return forward(replace(state, now=replace(state.now, observed=known)), knowledge)
    if meaning.value == "does_not_fit":
        return Turn(state, (knowledge.note("what_measured"),), ask=False)
    if isinstance(meaning.value, str) or check is None:
        return Turn(state.moved(replace(state.now, stage=Stage.HOW_MUCH, fault=str(meaning.value))))
    found = _found(meaning, check)
    key = _meant(found, check, state, knowledge)
    return Turn(state.moved(replace(state.now, stage=Stage.MEASURED, measured=(key, found))))


def _as_planned(meaning: Meaning, check: Check) -> bool:
    """Whether it fits; "zero" says so where nothing should be."""
    return meaning.value == "fits" or (meaning.kind in NUMBERS and not meaning.value and not check.planned)


def _meant(found: Number, asked: Check, state: State, knowledge: Knowledge) -> str:
    """The check that a reading is of: the one asked, unless it is far from what that should be and as good as what
    another check of the bend should be. The read-back names it."""
    if _off(found, asked) <= _FAR:
        return asked.key
    plan, setup = _plan_checked(state, knowledge), setup_of(state.now, state.units, knowledge)
    alike = (one for one in checks(plan, setup) if one.quantity is asked.quantity)
    near = (one.key for one in alike if _off(found, one) <= _NEAR)
    return next(near, asked.key)


def _off(found: Number, check: Check) -> float:
    """How far a reading is from what a check should be, in its tolerances."""
    return abs(float(found) - float(check.planned)) / float(check.tolerance)


def offered_checks(state: State, knowledge: Knowledge) -> bool:
    """Whether all checks are offered now."""
    return steps_of(state, knowledge)[state.now.at].doing is Doing.OFFER


def past_checks(state: State, doing: str, knowledge: Knowledge) -> Turn:
    """To the first step after the checks: none of them is wanted any more, or all that are left fit."""
    place, steps = state.now, steps_of(state, knowledge)
    if steps[place.at].doing not in (Doing.OFFER, Doing.CHECK):
        return Turn(state, (knowledge.note("not_now"),))
    at = next(
        index
        for index, step in enumerate(steps)
        if index > place.at and step.doing not in (Doing.OFFER, Doing.CHECK)
    )
    records = tuple(
        Record(RecordKind.STEP_DONE, {"step": index + 1, "doing": doing}) for index in range(place.at, at)
    )
    return Turn(state.moved(replace(place, at=at, observed=())), (), records)


def forward(state: State, knowledge: Knowledge) -> Turn:
    """The next step; after the last one the bends are finished."""
    place, steps = state.now, steps_of(state, knowledge)
    done = Record(RecordKind.STEP_DONE, {"step": place.at + 1, "doing": str(steps[place.at].doing)})
    stick = _with_step(place.stick, steps[place.at], True)
    if place.at + 1 < len(steps):
        same_bend = steps[place.at + 1].owner == steps[place.at].owner
        observed = place.observed if same_bend else ()
        return Turn(state.moved(replace(place, at=place.at + 1, stick=stick, observed=observed)), (), (done,))
    stick, records = _all_finished(stick)
    after = replace(place, stage=Stage.AFTER, at=0, stick=stick, observed=(), measured=None, uncut=False)
    look = knowledge.cautions.at(Step.FIT)[:1] if not place.apart and not place.done else ()
    return Turn(state.moved(after), tuple(Note(each.key, each.said) for each in look), (done, *records))


def _all_finished(stick: JobStick) -> tuple[JobStick, tuple[Record, ...]]:
    """The stick with all its bends made, and what is written down of those that were in hand."""
    fresh = [bend for bend in stick.bends if not bend.finished]
    stick = replace(stick, bends=tuple(replace(bend, finished=True) for bend in stick.bends))
    records = [Record(RecordKind.BEND_DONE, bend_detail(bend) | {"stick": stick.name}) for bend in fresh]
    return stick, tuple(records)


def further_bend(state: State, knowledge: Knowledge) -> Turn:
    """Another bend on this stick, before its marks are drawn or before it is cut. Bent ones are finished then."""
    place = replace(state.now, stage=Stage.PICK, bend=JobBend())
    if not bent_already(state, knowledge):
        return Turn(state.moved(replace(place, at=0)))
    stick, records = _all_finished(place.stick)
    fresh = replace(place, at=0, stick=stick, observed=(), measured=None, uncut=True)
    return Turn(state.moved(fresh), (), records)


def _with_step(stick: JobStick, step: WorkStep, done: bool) -> JobStick:
    """The stick with the marks of a step drawn or its bend made, or not yet."""
    numbers = tuple(index + 1 for index in step.marks)
    if step.doing is Doing.MARK:
        return replace(stick, marked=_changed(stick.marked, numbers, done))
    return replace(stick, bent=_changed(stick.bent, numbers, done)) if step.doing is Doing.BEND else stick


def _changed(before: tuple[int, ...], numbers: tuple[int, ...], there: bool) -> tuple[int, ...]:
    others = {each for each in before if each not in numbers}
    return tuple(sorted({*others, *numbers} if there else others))


def backward(state: State, knowledge: Knowledge) -> Turn:
    """The step before; before the first one the read-back of the last bend, or of the pipe of a rack."""
    place = state.now
    if place.at > 0:
        before = steps_of(state, knowledge)[place.at - 1]
        stick = _with_step(place.stick, before, False)
        return Turn(state.moved(replace(place, at=place.at - 1, stick=stick)))
    if all(bend.finished for bend in place.stick.bends):
        return Turn(state.settled(), (knowledge.note("at_start"),))
    if place.stick.pipe > 1:
        return Turn(state.moved(replace(state.now, stage=Stage.RACK_READ_BACK)))
    return Turn(state.moved(taken_up_again(state.now, Stage.READ_BACK)))


def taken_up_again(place: Place, stage: Stage) -> Place:
    """The last bend of the stick taken off it, back in hand, to be read back or changed."""
    bend, left = place.stick.bends[-1].asked, place.stick.bends[:-1]
    stick = replace(place.stick, bends=left).told(_without(place.stick.spoken, len(left)))
    return replace(place, stage=stage, at=0, bend=bend, stick=stick, observed=(), measured=None)


def _without(spoken: Spoken | None, owner: int) -> Spoken | None:
    """What was spoken less the marks of one bend; None when nothing is left."""
    marks = () if spoken is None else tuple(mark for mark in spoken.marks if mark.owner != owner)
    return replace(spoken, marks=marks, cut_at=None) if spoken is not None and marks else None


def how_much_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """How far off it is, when the person named the fault instead of a measure."""
    fault = offered(knowledge.lexicon.choices[state.now.fault][0])
    view = View(
        verb=knowledge.verbs["measure"],
        number=knowledge.words["off_by"],
        title=place_title(state, knowledge),
        lines=(fault,),
    )
    return Prompt((knowledge.note("how_much"),), view, expectation(_off_by(state), state.units, commands=()))


def _off_by(state: State) -> Measure:
    return OFF_BY_DEGREES if state.now.fault in DEGREES else OFF_BY


def how_much_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """That amount as a measure, read back before it is used; a fault this bend cannot have is said."""
    return found_off(state, state.now.fault, as_number(_off_by(state), meaning.value), knowledge)


def found_off(state: State, fault: str, amount: Number, knowledge: Knowledge) -> Turn:
    """A fault by an amount, as what would be measured."""
    place = state.now
    setup = setup_of(place, state.units, knowledge)
    plan = _plan_checked(state, knowledge)
    asked = steps_of(state, knowledge)[place.at].check
    try:
        if fault in OF_THIS and asked is not None:
            found: Mapping[str, Number] = {asked.key: asked.planned + OF_THIS[fault] * amount}
        else:
            found = observe(plan, setup, fault, amount)
    except BenchError as error:
        return Turn(state.moved(replace(place, stage=Stage.WORK, fault="")), (error.message,))
    key, value = next(iter(found.items()))
    scaled = value if isinstance(value, float) else round_to(value, setup.scale)
    check = next((check for check in checks(plan, setup) if check.key == key), None)
    if check is not None and not check.within(scaled):
        return Turn(state, (knowledge.note("off_too_far"),))
    return Turn(state.moved(replace(place, stage=Stage.MEASURED, measured=(key, scaled), fault="")))


def measured_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What was found at the check, read back for an explicit yes."""
    key, value = _measured(state.now)
    name = knowledge.words[f"check_{key}"]
    view = View(
        verb=knowledge.verbs["confirm"],
        number=value_text(value, state.units),
        title=place_title(state, knowledge),
        lines=(name,),
    )
    expect = Expectation(
        Kind.YESNO, commands=ALWAYS, corrected=_check_kind(state, knowledge), units=state.units
    )
    said = (
        knowledge.note("measured_down", check=name.capitalize(), value=-value)
        if value < 0
        else knowledge.note("measured", check=name.capitalize(), value=value)
    )
    return Prompt((said,), view, expect)


def measured_take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes looks for a correction; no asks for the measure again."""
    place = state.now
    if meaning.corrects:
        return _measured_again(state, meaning, knowledge)
    if not meaning.value:
        return Turn(state.moved(replace(place, stage=Stage.WORK, measured=None)))
    key, value = _measured(place)
    found = Record(RecordKind.MEASURED, {"check": key, "value": number_to_json(value)})
    tweaked = replace(place, stage=Stage.TWEAK, observed=_known(place, key, value))
    correction = _correction(replace(state, now=tweaked), knowledge)
    reading = Reading(key, value, str(correction.verdict))
    stick = _with_readings(state, (*_bend_checked(state, knowledge).readings, reading), knowledge)
    if correction.verdict is not Verdict.FITS:
        return Turn(state.moved(replace(tweaked, stick=stick)), (), (found,))
    at_work = replace(tweaked, stage=Stage.WORK, measured=None, stick=stick)
    check = steps_of(state, knowledge)[place.at].check
    if check is None or check.key != key:
        return Turn(state.moved(at_work), correction.notes, (found,))
    turn = forward(replace(state, now=at_work), knowledge)
    return replace(turn, lead=correction.notes, records=(found, *turn.records))


def tweak_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What to open or close, by how much; or that it is near enough; or to make it again."""
    correction = _correction(state, knowledge)
    view = View(
        verb=knowledge.verbs["tweak"],
        number=correction.headline(state.units),
        action=adjusted(correction, state.units, knowledge),
        action_alone=True,
        scenes=finished(whole_stick(state.now, state.units, knowledge), knowledge),
        title=place_title(state, knowledge),
        lines=lines(correction.notes, state.units),
    )
    expect = Expectation(Kind.COMMAND, commands=(*ALWAYS, *WORKING, "done", "remake"))
    then = "remake_or_on" if correction.verdict in (Verdict.REMAKE, Verdict.MOVE) else "tweak_done"
    return Prompt(correction.notes, view, expect, once=(knowledge.note(then),))


def _correction(state: State, knowledge: Knowledge) -> Correction:
    """What core makes of what was observed."""
    setup = setup_of(state.now, state.units, knowledge)
    return correct(_plan_checked(state, knowledge), setup, dict(state.now.observed))


def after_tweak(state: State, knowledge: Knowledge) -> Turn:
    """The correction is made: the same check again, and what else was measured is now as predicted."""
    *earlier, last = _bend_checked(state, knowledge).readings
    stick = _with_readings(state, (*earlier, replace(last, mended=True)), knowledge)
    predicted = _correction(state, knowledge).predicted
    observed = tuple(
        (key, _like(value, predicted[key])) for key, value in state.now.observed if key in predicted
    )
    place = replace(state.now, stage=Stage.WORK, measured=None, stick=stick, observed=observed)
    return Turn(state.moved(place))


def _known(place: Place, key: str, value: Number) -> tuple[tuple[str, Number], ...]:
    """What was measured on this bend so far, with one more reading or a newer one."""
    return tuple({**dict(place.observed), key: value}.items())


def _like(old: Number, value: float) -> Number:
    """A predicted reading as the kind of number that was read: a length to a sixty-fourth, or degrees."""
    return round_to(value, Fraction(1, 64)) if isinstance(old, Fraction) else value


def _with_readings(state: State, readings: tuple[Reading, ...], knowledge: Knowledge) -> JobStick:
    """The stick in hand with these readings of the bend being checked."""
    owner, stick = _owner_checked(state, knowledge), state.now.stick
    bends = tuple(
        replace(bend, readings=readings) if index == owner else bend for index, bend in enumerate(stick.bends)
    )
    return replace(stick, bends=bends)


def dropped(state: State, knowledge: Knowledge) -> Turn:
    """The bends in hand taken off the stick; `undo` brings them back. Bent pipe is of no more use."""
    if all(bend.finished for bend in state.now.stick.bends):
        return Turn(state.settled(), (knowledge.note("nothing_to_cancel"),))
    note = knowledge.note("dropped_bent" if bent_already(state, knowledge) else "dropped")
    place = state.now
    while place.stick.bends and not place.stick.bends[-1].finished:
        place = taken_up_again(place, Stage.AFTER)
    if not place.stick.bends:
        emptied = JobStick(place.stick.name, run=place.stick.run)
        place = replace(place, stage=Stage.PICK, stick=emptied, waiting=())
    record = Record(RecordKind.DROPPED, {"stick": place.stick.name})
    return Turn(state.moved(replace(place, bend=JobBend(), fault="")), (note,), (record,))


def begun_again(state: State, knowledge: Knowledge) -> Turn:
    """From the first mark: on this length while nothing is bent, else on a fresh one."""
    place = state.now
    if place.stage is Stage.WORK and not bent_already(state, knowledge):
        drawn = tuple(number for number in place.stick.marked if number in place.stick.bent)
        return Turn(state.moved(replace(place, at=0, stick=replace(place.stick, marked=drawn))))
    return made_again(state, knowledge)


def bent_already(state: State, knowledge: Knowledge) -> bool:
    """Whether a bend of the work in hand has been made."""
    return any(step.doing is Doing.BEND for step in steps_of(state, knowledge)[: state.now.at])


def made_again(state: State, knowledge: Knowledge) -> Turn:
    """Remake: the same stick from its first mark, on a fresh length."""
    stick = told(state.now.stick.fresh(), setup_of(state.now, state.units, knowledge))
    place = replace(state.now, stage=Stage.WORK, at=0, stick=stick, observed=(), measured=None)
    return Turn(
        state.moved(place),
        (knowledge.note("fresh_length"),),
        (Record(RecordKind.REMADE, {"stick": stick.name}),),
    )


def _measured_again(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """ "No, three and a quarter": that value instead, read back in its turn."""
    check = steps_of(state, knowledge)[state.now.at].check
    key, _ = _measured(state.now)
    if check is None:
        return Turn(state)
    value = _found(meaning, check)
    if not check.within(value):
        return Turn(state, (knowledge.note("again"),))
    return Turn(state.moved(replace(state.now, measured=(key, value))))


def _check_kind(state: State, knowledge: Knowledge) -> Kind | None:
    check = steps_of(state, knowledge)[state.now.at].check
    return _KINDS[check.quantity] if check else None


def _owner_checked(state: State, knowledge: Knowledge) -> int:
    owner = steps_of(state, knowledge)[state.now.at].owner
    if owner is None:
        raise ValueError("no check is in hand")
    return owner


def _plan_checked(state: State, knowledge: Knowledge) -> Plan:
    """The plan of the bend that is checked, on this stick: a neighbor in a rack has measures of its own."""
    return whole_stick(state.now, state.units, knowledge).bends[_owner_checked(state, knowledge)].plan


def _bend_checked(state: State, knowledge: Knowledge) -> JobBend:
    return state.now.stick.bends[_owner_checked(state, knowledge)]


def _expectation(step: WorkStep, state: State, knowledge: Knowledge) -> Expectation:
    further = ("add_bend",) if step.doing in (Doing.MARK, Doing.CUT) else ()
    commands = (*ALWAYS, *WORKING, *further)
    if step.doing is Doing.OFFER:
        wrong = faults(_plan_checked(state, knowledge)) if step.owner is not None else ()
        return Expectation(
            Kind.YESNO,
            choices=("check_it", "no_check", *wrong),
            commands=(*commands, "skip_checks", "skip_check"),
            units=state.units,
            faults=wrong,
        )
    if step.check is None:
        expect = Expectation(Kind.COMMAND, commands=(*commands, "done"), units=state.units)
        return further_named(expect, state.now, knowledge) if step.doing is Doing.CUT else expect
    plan = _plan_checked(state, knowledge)
    return Expectation(
        _KINDS[step.check.quantity],
        least=step.check.least,
        most=step.check.most,
        choices=("fits", "does_not_fit", "all_fit", *faults(plan)),
        commands=(*commands, "skip_check", "skip_checks"),
        units=state.units,
        faults=(*_of_this(step.check), *faults(plan)),
    )


def _of_this(check: Check) -> tuple[str, ...]:
    """What can be wrong with the measure asked for by an amount; where nothing should be it is a gap."""
    if not check.planned:
        return ("gap",)
    return ("over", "under") if check.quantity is Quantity.ANGLE else ("over", "under", "long", "short")


def _drawn(state: State, step: WorkStep, steps: tuple[WorkStep, ...], knowledge: Knowledge) -> Stick:
    stick = whole_stick(state.now, state.units, knowledge)
    made = _made(state, stick, steps)
    return drawing(stick, made, step.mark, step.doing in (Doing.SEAT, Doing.BEND))


def _made(state: State, stick: WholeStick, steps: tuple[WorkStep, ...]) -> tuple[int, ...]:
    """Indexes of the marks bent by now."""
    fresh = set(marks_to_make(state.now, stick))
    bent = [index for index in range(len(stick.marks)) if index not in fresh]
    bent += [
        each.mark for each in steps[: state.now.at] if each.doing is Doing.BEND and each.mark is not None
    ]
    return tuple(sorted(bent))


def _scenes(
    state: State, step: WorkStep, steps: tuple[WorkStep, ...], knowledge: Knowledge
) -> tuple[Scene, ...]:
    """The step drawn."""
    stick = whole_stick(state.now, state.units, knowledge)
    made = _made(state, stick, steps)
    if step.check is not None and step.owner is not None:
        return checked(stick, step.owner, step.check, state.units, knowledge)
    if step.doing is Doing.TURN and step.turn:
        return turning(stick, step.mark, made, step.turn, knowledge)
    if step.mark is not None and step.turn:
        put, *rest = bending(stick, step.mark, made, False, knowledge)
        return (put, turning(stick, step.mark, made, step.turn, knowledge)[0], *rest)
    if step.mark is not None and step.doing in (Doing.SEAT, Doing.BEND):
        return bending(stick, step.mark, made, not step.action, knowledge)
    return whole(stick, made, step.mark, knowledge)


def _first_time(place: Place, steps: tuple[WorkStep, ...]) -> bool:
    """Cautions are shown once for each stick, at the first step that they are for."""
    return not any(step.caution is steps[place.at].caution for step in steps[: place.at])


def _first_stick(place: Place) -> bool:
    """Cautions are spoken on the first stick of a job, and only shown after that."""
    return not place.done and not any(bend.finished for bend in place.stick.bends)


def _found(meaning: Meaning, check: Check) -> Number:
    value = meaning.value
    if isinstance(value, bool | str | Order):
        raise TypeError(f"{value!r} is not a measure")
    return float(value) if check.quantity is Quantity.ANGLE else value


def _measured(place: Place) -> tuple[str, Number]:
    if place.measured is None:
        raise ValueError("nothing was measured")
    return place.measured
