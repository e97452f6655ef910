"""Not understood: a short re-ask, the nearest readings as yes or no, the number in parts. No dead end."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import MILLIMETER, Units
from bench.core.notes import BenchError, Note, Value
from bench.dialogue import lesson, orders
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import Earcon, Tone, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.sayable import nearest
from bench.dialogue.stages import STAGES, prompt_of
from bench.dialogue.state import Aside, AsideKind, State
from bench.dialogue.wording import lines
from bench.language.lexicon import offered
from bench.language.meaning import NUMBERS, Expectation, Kind, Meaning, Order, Trouble, Understanding
from bench.language.write import written

WAYS_OUT = ("new_stick", "finish", "goodbye")
"""What leads away from a place that cannot be shown."""

_LARGEST_PART = Fraction(15, 16)


def current_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What is asked now; where that cannot be worked out, a safe question that says so.

    A kept bend that this version no longer takes, or a state that damage has changed, must not end the session:
    the person can still undo, begin a new stick or leave. `stuck` of such a prompt is what was raised.
    """
    try:
        prompt = _prompt(state, knowledge)
        return replace(prompt, expect=_with_more(prompt.expect)) if state.helped else prompt
    except BenchError as error:
        return _stuck(error, error.message, knowledge)
    except Exception as error:
        return _stuck(error, Note("fault", "{error}", {"error": type(error).__name__}), knowledge)


def _with_more(expect: Expectation) -> Expectation:
    """After help there may be more of it."""
    return replace(expect, commands=(*expect.commands, "more"))


def _stuck(error: Exception, why: Note, knowledge: Knowledge) -> Prompt:
    ask = (knowledge.note("stuck"), why, knowledge.note("stuck_way_out"))
    view = View(verb=knowledge.verbs["stuck"], number=knowledge.words["stuck"], lines=lines(ask, Units.INCH))
    expect = Expectation(Kind.COMMAND, commands=(*ALWAYS, *WAYS_OUT))
    return Prompt(ask[:1] + ask[2:], view, expect, stuck=error)


def _prompt(state: State, knowledge: Knowledge) -> Prompt:
    """The stage's question, or the question inside it."""
    prompt = prompt_of(state, knowledge)
    if state.aside is None:
        return prompt
    return _ASKED[state.aside.kind](state.aside, prompt, state, knowledge)


def answer(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Give an answer to the question inside the question, or to the stage."""
    aside = state.aside
    if aside is None or aside.kind is AsideKind.LESSON:
        return _to_stage(state, meaning, knowledge)
    if aside.kind is AsideKind.OFFER:
        if meaning.kind is not Kind.YESNO:
            return _to_stage(state, replace(meaning, corrects=False), knowledge)
        return (
            _to_stage(state, aside.readings[0], knowledge)
            if meaning.value
            else _next_reading(state, aside, knowledge)
        )
    if aside.kind is AsideKind.WHOLE:
        return _whole(state, meaning.number, knowledge)
    part = Fraction(0) if meaning.value == "none" else meaning.number
    return _to_stage(state, Meaning(Kind.LENGTH, aside.whole + part), knowledge)


def not_understood(state: State, understanding: Understanding, knowledge: Knowledge) -> Turn:
    """What to say when nothing was understood; each time in a row a little more help."""
    if understanding.trouble is Trouble.NOTHING:
        return Turn(state, effects=(Earcon(Tone.NOT_UNDERSTOOD),), ask=False)
    tries = state.attempts + 1
    tried = replace(state, attempts=tries)
    readings = understanding.alternatives[:2]
    if state.aside is not None:
        return Turn(tried, (knowledge.note("again"),), short=True)
    hint = knowledge.note(
        "or_say", phrase=nearest(state.heard, prompt_of(state, knowledge).expect, knowledge)
    )
    if understanding.trouble is Trouble.OUT_OF_RANGE and tries < 3:
        return Turn(tried, (_out_of_range(readings, state, knowledge),), short=True)
    if understanding.trouble is Trouble.UNSURE or (tries == 2 and readings):
        return Turn(replace(tried, aside=Aside(AsideKind.OFFER, readings)))
    if tries < 3:
        named = bool(prompt_of(state, knowledge).again)
        return Turn(tried, (knowledge.note("again"), hint), ask=named, short=named)
    return _in_parts(tried, knowledge)


def _to_stage(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Hand an answer to the stage. One outside the range never gets there."""
    from bench.dialogue.commands import run_command

    settled = state.settled()
    if meaning.kind is Kind.COMMAND:
        return run_command(settled, meaning, knowledge)
    take = STAGES[state.now.stage].take
    if take is None and meaning.kind is not Kind.ORDER:
        return Turn(settled)
    expect = prompt_of(state, knowledge).expect
    if isinstance(meaning.value, Order):
        wrong = orders.unfit(meaning.value, expect, knowledge)
        return Turn(settled, (wrong,)) if wrong else orders.taken(settled, meaning.value, expect, knowledge)
    if not _plausible(meaning, expect):
        return Turn(settled, (_out_of_range((meaning,), state, knowledge),), short=True)
    return Turn(settled) if take is None else take(settled, meaning, knowledge)


def _plausible(meaning: Meaning, expect: Expectation) -> bool:
    """Whether a number is in range. One that corrects an earlier answer is judged by that answer's range."""
    if meaning.corrects or meaning.kind is not expect.kind or meaning.kind not in NUMBERS:
        return True
    value = meaning.number
    return (expect.least is None or value >= expect.least) and (expect.most is None or value <= expect.most)


def _next_reading(state: State, aside: Aside, knowledge: Knowledge) -> Turn:
    """The reading offered was wrong: the next one, or the number in parts."""
    rest = aside.readings[1:]
    if rest:
        return Turn(replace(state, aside=replace(aside, readings=rest)))
    return _in_parts(replace(state, aside=None), knowledge)


def _in_parts(state: State, knowledge: Knowledge) -> Turn:
    """A length in whole units and a fraction; anything else one possibility at a time, as yes or no."""
    expect = prompt_of(state, knowledge).expect
    if expect.kind is Kind.LENGTH:
        return Turn(replace(state, aside=Aside(AsideKind.WHOLE), attempts=0))
    readings = _possibilities(expect, knowledge)
    if not readings:
        return Turn(replace(state, attempts=0), (knowledge.note("again"),))
    return Turn(replace(state, aside=Aside(AsideKind.OFFER, readings), attempts=0))


def _possibilities(expect: Expectation, knowledge: Knowledge) -> tuple[Meaning, ...]:
    """Everything that could be meant, when it is few enough to go through."""
    if expect.kind in (Kind.CHOICE, Kind.SIZE):
        return tuple(Meaning(expect.kind, key) for key in expect.choices)
    least, most = expect.least or Fraction(0), expect.most or Fraction(90)
    if expect.kind is Kind.ANGLE:
        return tuple(
            Meaning(Kind.ANGLE, angle) for angle in knowledge.usual_angles if least <= Fraction(angle) <= most
        )
    if expect.kind is Kind.COUNT:
        return tuple(
            Meaning(Kind.COUNT, number) for number in range(int(least), int(min(most, least + 12)) + 1)
        )
    return ()


def _whole(state: State, whole: Fraction, knowledge: Knowledge) -> Turn:
    """Whole inches are known and the fraction is asked; millimeters have none."""
    if state.units is Units.METRIC:
        return _to_stage(state, Meaning(Kind.LENGTH, whole * MILLIMETER), knowledge)
    return Turn(replace(state, aside=Aside(AsideKind.PART, whole=whole), attempts=0))


def _out_of_range(readings: tuple[Meaning, ...], state: State, knowledge: Knowledge) -> Note:
    expect = prompt_of(state, knowledge).expect
    if readings and isinstance(readings[0].value, Order):
        return orders.unfit(readings[0].value, expect, knowledge) or knowledge.note("again")
    if not readings or expect.least is None or expect.most is None or readings[0].kind is not expect.kind:
        return knowledge.note("again")
    heard = _typed(readings[0].value, expect.kind)
    least, most = _typed(expect.least, expect.kind), _typed(expect.most, expect.kind)
    return knowledge.note("out_of_range", heard=heard, least=least, most=most)


def _typed(value: object, kind: Kind) -> Value:
    """A number as a note writes it for its kind."""
    if not isinstance(value, Fraction | float | int):
        return str(value)
    if kind is Kind.LENGTH:
        return Fraction(value)
    return float(value) if kind is Kind.ANGLE else int(value)


def reading_note(meaning: Meaning, expect: Expectation, knowledge: Knowledge) -> Note:
    """A meaning in words, to be offered."""
    if isinstance(meaning.value, Order):
        return knowledge.note("offer", reading=orders.described(meaning.value, expect, knowledge))
    if meaning.kind in NUMBERS:
        return knowledge.note("offer", reading=_typed(meaning.value, meaning.kind))
    if meaning.kind is Kind.YESNO:
        return knowledge.note("offer", reading="yes" if meaning.value else "no")
    if meaning.kind is Kind.COMMAND:
        return knowledge.note("offer", reading=offered(knowledge.lexicon.commands[str(meaning.value)][0]))
    phrases = knowledge.lexicon.sizes if meaning.kind is Kind.SIZE else knowledge.lexicon.choices
    return knowledge.note("offer", reading=offered(phrases[str(meaning.value)][0]))


def _offer_prompt(aside: Aside, prompt: Prompt, state: State, knowledge: Knowledge) -> Prompt:
    meaning = aside.readings[0]
    note = reading_note(meaning, prompt.expect, knowledge)
    number = written(knowledge.note("only", value=note.values["reading"]), state.units)
    view = replace(prompt.view, verb=knowledge.verbs["did_you_say"], number=number, lines=(), stick=None)
    return Prompt((note,), view, _or_its_own(prompt.expect))


def _or_its_own(expect: Expectation) -> Expectation:
    """Yes or no to the reading offered, or what the stage's own question can be answered, plainly said."""
    if expect.kind is Kind.YESNO:
        return Expectation(Kind.YESNO, commands=ALWAYS)
    number = expect.kind if expect.kind in NUMBERS else None
    return replace(
        expect,
        kind=Kind.YESNO,
        least=None,
        most=None,
        corrected=number,
        instead=Kind.SIZE if expect.kind is Kind.SIZE else number,
        slots=(),
        faults=(),
    )


def _whole_prompt(aside: Aside, prompt: Prompt, state: State, knowledge: Knowledge) -> Prompt:
    note = knowledge.note("whole_metric" if state.units is Units.METRIC else "whole")
    most = prompt.expect.most or Fraction(240)
    top = most / MILLIMETER if state.units is Units.METRIC else most
    expect = Expectation(Kind.COUNT, Fraction(0), Fraction(int(top)), commands=ALWAYS)
    return Prompt((note,), replace(prompt.view, lines=(written(note, state.units),)), expect)


def _part_prompt(aside: Aside, prompt: Prompt, state: State, knowledge: Knowledge) -> Prompt:
    note = knowledge.note("part", whole=aside.whole)
    number = written(knowledge.note("only", value=aside.whole), state.units)
    expect = Expectation(Kind.LENGTH, Fraction(0), _LARGEST_PART, choices=("none",), commands=ALWAYS)
    return Prompt((note,), replace(prompt.view, number=number, lines=(written(note, state.units),)), expect)


_ASKED = {
    AsideKind.OFFER: _offer_prompt,
    AsideKind.WHOLE: _whole_prompt,
    AsideKind.PART: _part_prompt,
    AsideKind.LESSON: lesson.prompt,
}
