"""What can be said in typical states, as the dialogue itself asks: the grammars that a person meets.

The dialogue is walked by typed answers until it asks for what is wanted, so that the states follow it when it changes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache

from bench.data.bundle import knowledge
from bench.dialogue.events import Said, Started
from bench.dialogue.machine import expectation, initial, step
from bench.dialogue.state import State
from bench.language.meaning import Expectation, Kind, typed
from bench.language.understand import understand

_ANSWERS = (
    *("emt", "three quarter", "typical", "three point saddle"),
    *("thirty one and a quarter", "two and a half", "skip", "yes", "next", "next"),
)
"""Of a person who makes a saddle; one that does not answer the question at hand is left out."""


def _asked(wanted: Callable[[Expectation], bool]) -> Expectation:
    """The first state on the way to a saddle that is wanted."""
    known = knowledge()
    state, _ = step(initial(), Started(), known)
    for answer in _ANSWERS:
        asked = expectation(state, known)
        if wanted(asked):
            return asked
        state = _after(state, answer)
    asked = expectation(state, known)
    if not wanted(asked):
        raise LookupError("the dialogue never asked for this: its answers must follow it")
    return asked


def _after(state: State, answer: str) -> State:
    known, heard = knowledge(), typed(answer)
    if understand(heard, expectation(state, known), known.lexicon).meaning is None:
        return state
    return step(state, Said(heard), known)[0]


@cache
def bend() -> Expectation:
    """Where the bend is asked for, or ordered in one breath."""
    return _asked(lambda asked: bool(asked.bends) and not asked.least)


@cache
def length() -> Expectation:
    """Where the first measure of a saddle is asked for: the distance to its center."""
    return _asked(lambda asked: asked.kind is Kind.LENGTH)


@cache
def any_length() -> Expectation:
    """The same, for lengths under an inch as well: test sets hold some."""
    return replace(length(), least=Fraction(0))


@cache
def yes_or_no() -> Expectation:
    """Where all measures are read back."""
    return _asked(lambda asked: asked.kind is Kind.YESNO)


@cache
def command() -> Expectation:
    """Where the marks are made."""
    return _asked(lambda asked: asked.kind is Kind.COMMAND)


@cache
def count() -> Expectation:
    """Where a number that was not understood is asked for in parts: the whole inches."""
    known = knowledge()
    state = _measuring()
    for _ in range(6):
        asked = expectation(state, known)
        if asked.kind is Kind.COUNT:
            return asked
        state, _ = step(state, Said(typed("")), known)
    raise LookupError("the dialogue never asked for whole inches")


def _measuring() -> State:
    known = knowledge()
    state, _ = step(initial(), Started(), known)
    for answer in _ANSWERS:
        if expectation(state, known).kind is Kind.LENGTH:
            break
        state = _after(state, answer)
    return state


@cache
def paused() -> Expectation:
    """Where only the wake phrase is acted on."""
    return expectation(_after(_measuring(), "stop listening"), knowledge())
