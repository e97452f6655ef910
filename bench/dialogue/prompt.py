"""What a stage asks, and what came of an answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bench.core.notes import Note
from bench.dialogue.effects import Effect, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.state import State
from bench.job.records import Record
from bench.language.meaning import Expectation, Meaning


@dataclass(frozen=True, slots=True)
class Prompt:
    """The words asked, the screen that goes with them, what can be answered. A pure function of the state.

    `once` is said after it, but not when it is repeated. `again` is said on a short re-ask; the whole of `ask` when
    it is empty. `stuck` is why the state has no question of its own that can be made, None where it has one.
    """

    ask: tuple[Note, ...]
    view: View
    expect: Expectation
    again: tuple[Note, ...] = ()
    once: tuple[Note, ...] = ()
    stuck: Exception | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """What an event led to: the new state, words said before the next prompt, and what to write down.

    `ask` is false when only `lead` is said (an answer to a side question); `short` asks with few words, `repeated`
    without what is said only once.
    """

    state: State
    lead: tuple[Note, ...] = ()
    records: tuple[Record, ...] = ()
    effects: tuple[Effect, ...] = ()
    ask: bool = True
    short: bool = False
    repeated: bool = False


Command = Callable[[State, Meaning, Knowledge], Turn]
"""What a command does: its meaning has the key as `value`, what is named with it as `argument`."""
