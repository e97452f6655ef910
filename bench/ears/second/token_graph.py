"""The grammar of the moment as a graph of tokens, unfolded only where the search goes.

A grammar's sentences are far too many to list ("any length and every order in one breath"); its automaton is small,
and of the tokens of its words only those beside the sound's best readings are ever looked at.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from bench.ears.second.packed_arcs import PackedArcs, pack
from bench.ears.second.spelling import STOP, Spelling, written_ways
from bench.language.nondeterministic import NOTHING, silently


@dataclass(frozen=True, slots=True)
class _Place:
    """In the middle of a word: its tokens still to come, the state after it, and the word. `before` is "" at first."""

    state: int
    before: str
    left: tuple[int, ...] = ()


_MOST_UNFOLDED = 500
"""Nodes kept of one graph, about 3 MB. A search looks at some 100; every noise leads to others."""

Node: TypeAlias = frozenset[_Place]
"""Everywhere one can be after the same tokens. Empty: nothing but the end can follow."""


class TokenGraph:
    """The sentences of an automaton that begins in `start` and may end in `finals`."""

    def __init__(self, arcs: PackedArcs, start: int, finals: frozenset[int], spelling: Spelling) -> None:
        self._arcs = arcs
        self._finals = finals
        self._spelling = spelling
        self._unfolded: dict[Node, Mapping[int, Node]] = {}
        (self.stop,) = spelling.tokens(STOP)
        self.start: Node = frozenset((_Place(start, ""),))

    def following(self, node: Node) -> Mapping[int, Node]:
        """The tokens that may come next, and where each leads. The stop leads to the empty node."""
        if node not in self._unfolded:
            if len(self._unfolded) >= _MOST_UNFOLDED:
                self._unfolded.clear()
            self._unfolded[node] = self._unfold(node)
        return self._unfolded[node]

    def _unfold(self, node: Node) -> Mapping[int, Node]:
        found: dict[int, set[_Place]] = {}
        for place in node:
            if place.left:
                first, *rest = place.left
                found.setdefault(first, set()).add(_Place(place.state, place.before, tuple(rest)))
                continue
            for at in silently((place.state,), self._arcs.of):
                if at in self._finals and place.before:
                    found.setdefault(self.stop, set())
                for word, state in self._arcs.of(at):
                    for text in written_ways(place.before, word) if word != NOTHING else ():
                        first, *rest = self._spelling.tokens(text)
                        found.setdefault(first, set()).add(_Place(state, word, tuple(rest)))
        return {token: frozenset(places) for token, places in found.items()}


def graph_of(readings: Sequence[Sequence[str]], spelling: Spelling) -> TokenGraph:
    """A graph of these sentences alone."""
    ways: list[dict[str, int]] = [{}]
    finals = set()
    for words in readings:
        state = 0
        for word in words:
            if word not in ways[state]:
                ways[state][word] = len(ways)
                ways.append({})
            state = ways[state][word]
        finals.add(state)
    arcs = PackedArcs(*pack([tuple(out.items()) for out in ways]))
    return TokenGraph(arcs, 0, frozenset(finals), spelling)
