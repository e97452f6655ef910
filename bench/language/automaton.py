"""The grammar as a deterministic automaton over words, for a recognizer with a hard grammar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from bench.language.deterministic import START, deterministic, minimal
from bench.language.nodes import Node, Utterance
from bench.language.nondeterministic import Builder


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


def automaton(node: Node) -> Automaton:
    """A deterministic automaton, hardly larger than it must be, that accepts exactly what `node` can say."""
    root = node.part if isinstance(node, Utterance) else node
    hesitations = node.hesitations if isinstance(node, Utterance) else ()
    built = Builder(root)
    arcs, finals, unfinished = minimal(deterministic(built.states, built.start))
    looped = tuple({**out, **dict.fromkeys(hesitations, state)} for state, out in enumerate(arcs))
    return Automaton(looped, finals, unfinished)
