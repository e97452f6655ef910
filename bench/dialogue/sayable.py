"""What can be said, the most useful first, a few phrases at a time."""

from __future__ import annotations

from dataclasses import replace
from difflib import get_close_matches

from bench.dialogue.always import ALWAYS, USEFUL
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Turn
from bench.dialogue.stages import prompt_of
from bench.dialogue.state import State
from bench.language.grammar import can_say
from bench.language.meaning import NUMBERS, Expectation, Meaning

_MOST_WORDS = 19
_ALIKE = 0.7
"""How alike a phrase must be to what was heard to be offered, as `difflib` measures it."""


def phrases(expect: Expectation, knowledge: Knowledge) -> tuple[str, ...]:
    """Everything that can be said: an answer, then what is said most here, then what can be said anywhere."""
    if expect.paused:
        return can_say(expect, knowledge.lexicon)
    here = [one for one in expect.commands if one not in ALWAYS and one not in USEFUL]
    useful = [one for one in USEFUL if one in expect.commands]
    rest = [one for one in expect.commands if one not in here and one not in useful]
    first = [one for one in useful if one not in ALWAYS]
    after = [one for one in useful if one in ALWAYS]
    return can_say(replace(expect, commands=(*first, *here, *after, *rest)), knowledge.lexicon)


def nearest(heard: str, expect: Expectation, knowledge: Knowledge) -> str:
    """The phrase nearest to what was heard; where none is near, the most useful one, blank where a number is asked."""
    known = phrases(expect, knowledge)
    useful = "" if expect.kind in NUMBERS else known[0]
    return next(iter(get_close_matches(heard, known, 1, _ALIKE)), useful)


def told(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The first phrases that help here."""
    return _told(replace(state, helped=0), knowledge)


def more(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The next ones; after the last the first again."""
    return _told(state, knowledge)


def _told(state: State, knowledge: Knowledge) -> Turn:
    expect = prompt_of(state, knowledge).expect
    known = phrases(expect, knowledge)
    left = known[state.helped :]
    told: list[str] = []
    words = len(knowledge.prompts["can_say"].split()) - 1 + len(knowledge.prompts["or_more"].split())
    for one in left:
        words += len(one.split())
        if told and words > _MOST_WORDS:
            break
        told.append(one)
    helped = state.helped + len(told)
    ending = (knowledge.note("or_more"),) if helped < len(known) else ()
    listed = knowledge.note("can_say", phrases=", ".join(told))
    return Turn(replace(state, helped=helped % len(known)), (listed, *ending), ask=False)
