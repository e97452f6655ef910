"""An automaton's arcs as numbers in a row: a twentieth of the memory of lists, and sent as they are."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import TypeAlias

Arcs: TypeAlias = Sequence[Sequence[tuple[str, int]]]
"""For each state of an automaton the words that may follow, and where each may lead: `NOTHING` leads on unsaid."""
_FOUR_BYTES = "i"


class PackedArcs:
    """The arcs of `states` states. `data` has, four bytes each: the number of arcs of every state, the word of every
    arc as its place in `words`, and the state that it leads to."""

    def __init__(self, words: Sequence[str], states: int, data: bytes) -> None:
        numbers = array(_FOUR_BYTES, data)
        self.words = tuple(words)
        self._begins = array(_FOUR_BYTES, accumulate(numbers[:states], initial=0))
        arcs = self._begins[-1]
        self._said = numbers[states : states + arcs]
        self._leads = numbers[states + arcs :]

    def of(self, state: int) -> Iterator[tuple[str, int]]:
        """The words that may follow a state, and where each may lead."""
        for at in range(self._begins[state], self._begins[state + 1]):
            yield self.words[self._said[at]], self._leads[at]


def pack(arcs: Arcs) -> tuple[list[str], int, bytes]:
    """What `PackedArcs` is made of."""
    numbers: dict[str, int] = {}
    counts, said, leads = array(_FOUR_BYTES), array(_FOUR_BYTES), array(_FOUR_BYTES)
    for out in arcs:
        counts.append(len(out))
        for word, state in out:
            said.append(numbers.setdefault(word, len(numbers)))
            leads.append(state)
    return list(numbers), len(arcs), (counts + said + leads).tobytes()
