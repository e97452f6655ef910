"""The grammar as an automaton over words for recognizers: deterministic, or branching and quickly made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import reduce

from bench.language.deterministic import START, deterministic, minimal
from bench.language.nodes import Node, Utterance
from bench.language.nondeterministic import Builder, silently


@dataclass(frozen=True)
class Automaton:
    """States are 0 (the start) upwards; `arcs[state]` maps a word to the next state.

    `finals` are the states in which the utterance may end; `unfinished` those in which it may not, or from
    which words may follow that belong to the answer and do not just round it off ("inches", "no, ...").
    """

    arcs: tuple[Mapping[str, int], ...]
    finals: frozenset[int]
    unfinished: frozenset[int]

    def state_after(self, words: Iterable[str]) -> int | None:
        """The state reached, or None when the words cannot be the beginning of anything."""
        state = START
        for word in words:
            if word not in self.arcs[state]:
                return None
            state = self.arcs[state][word]
        return state

    def accepts(self, words: Iterable[str]) -> bool:
        """Whether the words are a whole utterance."""
        return self.state_after(words) in self.finals

    def goes_on(self, words: Iterable[str]) -> bool:
        """Whether more words could still belong to the answer."""
        return self.state_after(words) in self.unfinished

    def branches(self) -> Branches:
        """The same, as an automaton that could branch."""
        arcs = tuple(tuple(out.items()) for out in self.arcs)
        return Branches(arcs, START, self.finals, self.unfinished)


def automaton(node: Node) -> Automaton:
    """A deterministic automaton, hardly larger than it must be, that accepts exactly what `node` can say."""
    root = node.part if isinstance(node, Utterance) else node
    hesitations = node.hesitations if isinstance(node, Utterance) else ()
    built = Builder(root)
    arcs, finals, unfinished = minimal(deterministic(built.states, built.start))
    looped = tuple({**out, **dict.fromkeys(hesitations, state)} for state, out in enumerate(arcs))
    return Automaton(looped, finals, unfinished)


@dataclass(frozen=True)
class Branches:
    """A nondeterministic automaton: `arcs[state]` has words with the states they may lead to, one word perhaps several.

    The word `NOTHING` leads on without being said. `hesitations` may be said anywhere. `finals` and `unfinished` are
    those of `Automaton`. It accepts the same words, is made in a fraction of the time and is several times smaller.
    """

    arcs: tuple[tuple[tuple[str, int], ...], ...]
    start: int
    finals: frozenset[int]
    unfinished: frozenset[int]
    hesitations: frozenset[str] = frozenset()

    def accepts(self, words: Iterable[str]) -> bool:
        """Whether the words are a whole utterance."""
        return bool(self._after(words) & self.finals)

    def goes_on(self, words: Iterable[str]) -> bool:
        """Whether more words could still belong to the answer."""
        states = self._after(words)
        return bool(states) and (not states & self.finals or bool(states & self.unfinished))

    def _after(self, words: Iterable[str]) -> frozenset[int]:
        """Every state that can be reached by the words."""
        said = (word for word in words if word not in self.hesitations)
        return reduce(self._next, said, self._silently((self.start,)))

    def _next(self, states: frozenset[int], word: str) -> frozenset[int]:
        return self._silently(to for state in states for by, to in self.arcs[state] if by == word)

    def _silently(self, states: Iterable[int]) -> frozenset[int]:
        return frozenset(silently(states, self.arcs.__getitem__))


_SHARED_FROM = 40
"""Arcs: a quarter of the automaton is left. A deterministic one would come out somewhat larger."""


def branches(root: Utterance) -> Branches:
    """The automaton of all that can be said, as it comes out of the tree."""
    built = Builder(root.part, _SHARED_FROM)
    return Branches(
        tuple(tuple(sorted(state.arcs)) for state in built.states),
        built.start,
        frozenset(number for number, state in enumerate(built.states) if state.final),
        frozenset(number for number, state in enumerate(built.states) if state.unfinished),
        frozenset(root.hesitations),
    )
