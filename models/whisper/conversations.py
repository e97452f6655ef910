"""Random conversations with the product, sampled from its grammar at each step."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from bench.data.bundle import knowledge
from bench.dialogue.effects import Finish
from bench.dialogue.events import Said
from bench.dialogue.machine import expectation, initial, step
from bench.language.grammar import grammar
from bench.language.meaning import typed

LONGEST = 60
"""Steps after which a new conversation begins."""


def conversations(rng: Random) -> Iterator[tuple[str, ...]]:
    """An endless stream of phrases. Each is valid in the current state and advances the conversation."""
    known = knowledge()
    while True:
        state = initial()
        for _ in range(LONGEST):
            words = grammar(expectation(state, known), known.lexicon).pick(rng)[0]
            yield words
            state, effects = step(state, Said(typed(" ".join(words))), known)
            if any(isinstance(effect, Finish) for effect in effects):
                break
