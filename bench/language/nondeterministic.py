"""A grammar's tree as states in which one word may lead to several places: built from the end backwards."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import inf

from bench.language.nodes import Act, Alt, Corrected, Led, Loop, Node, Opt, Seq, Tail, Wide, Word

NOTHING = ""
"""The word of an arc that is followed without one."""
_Arcs = frozenset[tuple[str, int]]


@dataclass(frozen=True, slots=True)
class State:
    """What can follow: arcs (several may have the same word), whether it may end here, or is unfinished."""

    arcs: _Arcs
    final: bool = False
    unfinished: bool = False


def silently(states: Iterable[int], arcs_of: Callable[[int], Iterable[tuple[str, int]]]) -> set[int]:
    """The states, and all that is reached from them without a word."""
    found = set(states)
    queue = list(found)
    while queue:
        for word, after in arcs_of(queue.pop()):
            if word == NOTHING and after not in found:
                found.add(after)
                queue.append(after)
    return found


class Builder:
    """Builds states from the end of the utterance backwards: each node is entered with what follows it.

    The same node followed by the same state is built once, so trees used in many places cost little. A state with
    `shared_from` arcs or more that is part of several others is led to from each without a word, not copied into it.
    """

    def __init__(self, root: Node, shared_from: float = inf) -> None:
        self._shared_from = shared_from
        self.states: list[State] = []
        self._numbers: dict[State, int] = {}
        self._built: dict[tuple[int, int, bool], State] = {}
        end = self._number(State(frozenset(), final=True))
        self.start = self._number(self._before(root, end, False))

    def _before(self, node: Node, after: int, tail: bool) -> State:
        """The state from which `node` and then `after` can be said."""
        key = (id(node), after, tail)
        if key not in self._built:
            self._built[key] = self._build(node, after, tail)
        return self._built[key]

    def _build(self, node: Node, after: int, tail: bool) -> State:
        match node:
            case Word():
                return State(frozenset(((node.text, after),)), unfinished=not tail)
            case Seq():
                for part in node.parts[:0:-1]:
                    after = self._number(self._before(part, after, tail))
                return self._before(node.parts[0], after, tail)
            case Alt():
                return self._merged([self._before(option, after, tail) for option in node.options])
            case Opt():
                return self._merged([self.states[after], self._before(node.part, after, tail)])
            case Tail():
                return self._before(node.part, after, True)
            case Act() | Wide():
                return self._before(node.part, after, tail)
        return self._said_around(node, after, tail)

    def _said_around(self, node: Node, after: int, tail: bool) -> State:
        """Parts that are said again, or with something before them."""
        match node:
            case Corrected():
                return self._corrected(node, after, tail)
            case Loop():
                return self._loop(node, after, tail)
            case Led():
                start = self._before(node.part, after, tail)
                led = self._before(node.lead, self._number(replace(start, unfinished=False)), True)
                return self._merged([start, led])
        raise TypeError(node)

    def _corrected(self, node: Corrected, after: int, tail: bool) -> State:
        """A loop: after the part may come the marker and then the part again."""
        again = len(self.states)
        self.states.append(State(frozenset()))
        corrected = self._merged([self.states[after], self._before(node.marker, again, True)])
        start = self._before(node.part, self._number(corrected), tail)
        self.states[again] = start
        return start

    def _loop(self, node: Loop, after: int, tail: bool) -> State:
        """After the part, by an arc without a word, to where it may end or go on: that is never waited for."""
        going_on, again = len(self.states), len(self.states) + 1
        self.states += [State(frozenset()), State(frozenset())]
        start = self._before(node.part, self._number(State(frozenset(((NOTHING, going_on),)))), tail)
        self.states[again] = start
        between = self._before(node.between, again, True)
        self.states[going_on] = self._merged([self.states[after], between, replace(start, unfinished=False)])
        return start

    def _merged(self, states: Sequence[State]) -> State:
        """Whatever can be said from any of the states."""
        arcs: set[tuple[str, int]] = set()
        for state in states:
            if len(state.arcs) < self._shared_from:
                arcs |= state.arcs
            else:
                arcs.add((NOTHING, self._number(State(state.arcs))))
        return State(
            frozenset(arcs),
            any(state.final for state in states),
            any(state.unfinished for state in states),
        )

    def _number(self, state: State) -> int:
        if state not in self._numbers:
            self._numbers[state] = len(self.states)
            self.states.append(state)
        return self._numbers[state]
