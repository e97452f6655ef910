"""What can be said at each moment of conversations with the product, at random: its grammars' own samples."""

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
"""Steps after which a conversation begins anew."""


def conversations(rng: Random) -> Iterator[tuple[str, ...]]:
    """Endless phrases. Each is said at its moment and moves the conversation on, mostly by answers."""
    known = knowledge()
    while True:
        state = initial()
        for _ in range(LONGEST):
            words = grammar(expectation(state, known), known.lexicon).pick(rng)[0]
            yield words
            state, effects = step(state, Said(typed(" ".join(words))), known)
            if any(isinstance(effect, Finish) for effect in effects):
                break
