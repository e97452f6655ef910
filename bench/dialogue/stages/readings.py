"""What was found at a check: a measure, or a fault by an amount, read back before it is used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from bench.core.checks import Check, checks, faults, observe
from bench.core.corrections import Verdict
from bench.core.lengths import round_to
from bench.core.notes import BenchError
from bench.core.plan import Measure, Quantity
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import View
from bench.dialogue.in_hand import bend_checked, plan_checked, step_now
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import setup_of
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.questions import as_number, expectation, kind_of, value_text
from bench.dialogue.stages.progress import forward
from bench.dialogue.stages.tweak import correction_now, stick_with_readings
from bench.dialogue.state import Place, Stage, State
from bench.dialogue.wording import place_title
from bench.job.model import Number, Reading
from bench.job.records import Record, RecordKind
from bench.job.stored import number_to_json
from bench.language.lexicon import offered
from bench.language.meaning import Expectation, Kind, Meaning, Order

OFF_BY = Measure("off_by", Quantity.LENGTH, Fraction(1, 32), Fraction(12))
"""How far off a bend can be found, inches."""
OFF_BY_DEGREES = Measure("off_by", Quantity.ANGLE, Fraction(1, 2), Fraction(30))
"""The same of an angle, degrees."""
DEGREES = ("over_bent", "under_bent")
"""Faults that are told in degrees."""
OF_THIS = {"over": 1, "long": 1, "gap": 1, "under": -1, "short": -1}
"""What is wrong with the measure that is asked for just then, and its sign. They are named only beside an amount."""
TOO_HIGH, HIGH = "too_high", "high"
"""What is `HIGH` beside an amount is too high by it, or as high as that."""
_HEIGHT = "rise"
"""The check of a height."""
_FAR = 8
_NEAR = 2
"""A reading more than `_FAR` tolerances from its own check, and at most `_NEAR` from another of the bend, is taken as
the other's. Common practice, no source."""


def check_meant(found: Number, asked: Check, state: State, knowledge: Knowledge) -> str:
    """The check that a reading is of: the one asked, unless it is far from what that should be and as good as what
    another check of the bend should be. The read-back names it."""
    if _off(found, asked) <= _FAR:
        return asked.key
    plan, setup = plan_checked(state, knowledge), setup_of(state.now, state.units, knowledge)
    alike = (one for one in checks(plan, setup) if one.quantity is asked.quantity)
    near = (one.key for one in alike if _off(found, one) <= _NEAR)
    return next(near, asked.key)


def _off(found: Number, check: Check) -> float:
    """How far a reading is from what a check should be, in its tolerances."""
    return abs(float(found) - float(check.planned)) / float(check.tolerance)


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
    plan = plan_checked(state, knowledge)
    asked = step_now(state, knowledge).check
    told = asked if fault == HIGH and asked is not None and _is_height(amount, asked) else None
    fault = TOO_HIGH if fault == HIGH else fault
    if fault in DEGREES and fault not in faults(plan):
        return angle_shows(state, knowledge)
    try:
        if told is not None:
            found: Mapping[str, Number] = {told.key: amount}
        elif fault in OF_THIS and asked is not None:
            found = {asked.key: asked.planned + OF_THIS[fault] * amount}
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


def angle_shows(state: State, knowledge: Knowledge) -> Turn:
    """An angle said to be off where several bends make the shape: what to measure tells which one, and how much."""
    told = (knowledge.note("angle_shows"),)
    if step_now(state, knowledge).check is not None:
        return Turn(state, told)
    turn = forward(state, knowledge)
    return replace(turn, lead=(*told, *turn.lead))


def _is_height(amount: Number, check: Check) -> bool:
    """Whether "high" after this amount tells the height that was measured: it is nearer to what that should be than
    to nothing."""
    return check.key == _HEIGHT and amount > check.planned / 2


def with_amount(wrong: tuple[str, ...]) -> tuple[str, ...]:
    """What can be said with an amount, where this can be wrong."""
    return (*wrong, HIGH) if TOO_HIGH in wrong else wrong


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
    tweaked = replace(place, stage=Stage.TWEAK, observed=with_reading(place, key, value))
    correction = correction_now(replace(state, now=tweaked), knowledge)
    reading = Reading(key, value, str(correction.verdict))
    stick = stick_with_readings(state, (*bend_checked(state, knowledge).readings, reading), knowledge)
    if correction.verdict is not Verdict.FITS:
        return Turn(state.moved(replace(tweaked, stick=stick)), (), (found,))
    at_work = replace(tweaked, stage=Stage.WORK, measured=None, stick=stick)
    check = step_now(state, knowledge).check
    if check is None or check.key != key:
        return Turn(state.moved(at_work), correction.notes, (found,))
    turn = forward(replace(state, now=at_work), knowledge)
    return replace(turn, lead=correction.notes, records=(found, *turn.records))


def with_reading(place: Place, key: str, value: Number) -> tuple[tuple[str, Number], ...]:
    """What was measured on this bend so far, with one more reading or a newer one."""
    return tuple({**dict(place.observed), key: value}.items())


def _measured_again(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """ "No, three and a quarter": that value instead, read back in its turn."""
    check = step_now(state, knowledge).check
    key, _ = _measured(state.now)
    if check is None:
        return Turn(state)
    value = found_value(meaning, check)
    if not check.within(value):
        return Turn(state, (knowledge.note("again"),))
    return Turn(state.moved(replace(state.now, measured=(key, value))))


def _check_kind(state: State, knowledge: Knowledge) -> Kind | None:
    check = step_now(state, knowledge).check
    return kind_of(check.quantity) if check else None


def found_value(meaning: Meaning, check: Check) -> Number:
    """The measure heard, as the check takes it. Raises TypeError when it is not one."""
    value = meaning.value
    if isinstance(value, bool | str | Order):
        raise TypeError(f"{value!r} is not a measure")
    return float(value) if check.quantity is Quantity.ANGLE else value


def _measured(place: Place) -> tuple[str, Number]:
    if place.measured is None:
        raise ValueError("nothing was measured")
    return place.measured
