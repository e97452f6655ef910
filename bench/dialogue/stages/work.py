"""The work: marks, bends, checks, cut and fit, one step at a time, each waiting for "next"."""

from __future__ import annotations

from dataclasses import replace

from bench.core.checks import Check, faults
from bench.core.notes import Note
from bench.core.plan import Plan, Quantity
from bench.core.stick import Stick as WholeStick
from bench.dialogue.always import ALWAYS, WORKING
from bench.dialogue.effects import Stick, View
from bench.dialogue.in_hand import plan_checked, step_now, steps_of
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import drawing, marks_to_make, setup_of, whole_stick
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import kind_of
from bench.dialogue.scenes import bending, checked, turning, whole
from bench.dialogue.stages.pick import further_named
from bench.dialogue.stages.progress import forward, past_checks
from bench.dialogue.stages.readings import (
    DEGREES,
    angle_shows,
    check_meant,
    found_value,
    with_amount,
    with_reading,
)
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.steps.step import Doing, WorkStep
from bench.dialogue.wording import lines, place_title
from bench.language.meaning import NUMBERS, Expectation, Kind, Meaning, Slot
from bench.pictures.scene import Scene

_CHECKED = "checked"
"""The measure asked for at a check, as its labels are called."""


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
    step = step_now(state, knowledge)
    check = step.check
    if step.doing is Doing.OFFER and not isinstance(meaning.value, str):
        return forward(state, knowledge) if meaning.value else past_checks(state, "skipped", knowledge)
    if meaning.value == "check_it" or (check is None and step.doing is not Doing.OFFER):
        return forward(state, knowledge)
    if meaning.value in ("all_fit", "no_check"):
        return past_checks(state, "check" if meaning.value == "all_fit" else "skipped", knowledge)
    if check is not None and _as_planned(meaning, check):
        known = with_reading(state.now, check.key, check.planned)
        return forward(replace(state, now=replace(state.now, observed=known)), knowledge)
    if meaning.value == "does_not_fit":
        return Turn(state, (knowledge.note("what_measured"),), ask=False)
    if meaning.value in DEGREES and meaning.value not in faults(plan_checked(state, knowledge)):
        return angle_shows(state, knowledge)
    if isinstance(meaning.value, str) or check is None:
        return Turn(state.moved(replace(state.now, stage=Stage.HOW_MUCH, fault=str(meaning.value))))
    found = found_value(meaning, check)
    key = check_meant(found, check, state, knowledge)
    return Turn(state.moved(replace(state.now, stage=Stage.MEASURED, measured=(key, found))))


def _as_planned(meaning: Meaning, check: Check) -> bool:
    """Whether it fits; "zero" says so where nothing should be."""
    return meaning.value == "fits" or (meaning.kind in NUMBERS and not meaning.value and not check.planned)


def _expectation(step: WorkStep, state: State, knowledge: Knowledge) -> Expectation:
    further = ("add_bend",) if step.doing in (Doing.MARK, Doing.CUT) else ()
    commands = (*ALWAYS, *WORKING, *further)
    if step.doing is Doing.OFFER:
        wrong = _can_be_wrong(plan_checked(state, knowledge)) if step.owner is not None else ()
        return Expectation(
            Kind.YESNO,
            choices=("check_it", "no_check", *wrong),
            commands=(*commands, "skip_checks", "skip_check"),
            units=state.units,
            faults=with_amount(wrong),
        )
    if step.check is None:
        expect = Expectation(Kind.COMMAND, commands=(*commands, "done"), units=state.units)
        return further_named(expect, state.now, knowledge) if step.doing is Doing.CUT else expect
    wrong, check = _can_be_wrong(plan_checked(state, knowledge)), step.check
    kind = kind_of(check.quantity)
    return Expectation(
        kind,
        least=check.least,
        most=check.most,
        choices=("fits", "does_not_fit", "all_fit", *wrong),
        commands=(*commands, "skip_check", "skip_checks"),
        units=state.units,
        asks=_CHECKED,
        slots=(Slot(_CHECKED, kind, check.least, check.most),),
        faults=(*_of_this(check), *with_amount(wrong)),
    )


def _can_be_wrong(plan: Plan) -> tuple[str, ...]:
    """What the person can find wrong. A bend is over or under bent also where another measure has to show it."""
    return tuple(dict.fromkeys((*faults(plan), *DEGREES)))


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
