"""Not understood: a short re-ask, the nearest readings as yes or no, the number in parts. No dead end."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bench.core.lengths import MILLIMETER, Units
from bench.core.notes import BenchError, Note
from bench.dialogue import orders
from bench.dialogue.always import ALWAYS
from bench.dialogue.asides import ASIDES, as_kind
from bench.dialogue.commands import run_command
from bench.dialogue.effects import Earcon, Tone, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.sayable import nearest
from bench.dialogue.stages import STAGES, prompt_of
from bench.dialogue.state import Aside, AsideKind, State
from bench.dialogue.wording import lines
from bench.language.meaning import NUMBERS, Expectation, Kind, Meaning, Order, Trouble, Understanding

WAYS_OUT = ("new_stick", "finish", "goodbye")
"""What leads away from a place that cannot be shown."""


def current_prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What is asked now; where that cannot be worked out, a safe question that says so.

    A stored bend that this version no longer accepts, or a damaged state, must not end the session:
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
    """After help "more" can be said."""
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
    return ASIDES[state.aside.kind](state.aside, prompt, state, knowledge)


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
    if understanding.trouble is Trouble.OUT_OF_RANGE and tries < 3:
        return Turn(tried, (_out_of_range(readings, state, knowledge),), short=True)
    if understanding.trouble is Trouble.UNSURE or (tries == 2 and readings):
        return Turn(replace(tried, aside=Aside(AsideKind.OFFER, readings)))
    if tries < 3:
        return _asked_again(tried, knowledge)
    return _in_parts(tried, knowledge)


def _asked_again(state: State, knowledge: Knowledge) -> Turn:
    """The nearest phrase, then the question in few words where it has such. A phrase that the question itself names is
    not told."""
    prompt = prompt_of(state, knowledge)
    phrase = nearest(state.heard, prompt.expect, knowledge)
    asked = " ".join(note.template.lower() for note in prompt.again)
    told = () if not phrase or phrase.lower() in asked else (knowledge.note("or_say", phrase=phrase),)
    return Turn(state, (knowledge.note("again"), *told), ask=bool(asked), short=bool(asked))


def _to_stage(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Hand an answer to the stage. One outside the range never gets there."""
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
    """The reading offered was wrong: the next one, or the number in parts. After the last possibility comes the
    question, not the first one again."""
    rest = aside.readings[1:]
    if rest:
        return Turn(replace(state, aside=replace(aside, readings=rest)))
    possible = _possibilities(prompt_of(state, knowledge).expect, knowledge)
    if aside.readings == possible[-1:]:
        return Turn(state.settled())
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
        bends = {one.bend for one in expect.bends}.intersection(expect.choices)
        asked = [key for key in expect.choices if not bends or key in bends]
        return tuple(Meaning(expect.kind, key) for key in asked)
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
    heard = as_kind(readings[0].value, expect.kind)
    least, most = as_kind(expect.least, expect.kind), as_kind(expect.most, expect.kind)
    return knowledge.note("out_of_range", heard=heard, least=least, most=most)
