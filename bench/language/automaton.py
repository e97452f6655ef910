"""The grammar as a deterministic automaton over words, for a recognizer with a hard grammar.

Nondeterministic states built from the end backwards, then subsets (Rabin and Scott 1959), then partition
refinement (Moore 1956).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from bench.language.nodes import Act, Alt, Corrected, Loop, Node, Opt, Seq, Tail, Utterance, Wide, Word

START = 0
_NOTHING = ""
"""The word of an arc that is followed without one."""


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
    """The smallest deterministic automaton that accepts exactly what `node` can say."""
    root = node.part if isinstance(node, Utterance) else node
    hesitations = node.hesitations if isinstance(node, Utterance) else ()
    built = _Builder(root)
    arcs, finals, unfinished = _minimal(*_deterministic(built.states, built.start))
    looped = tuple({**out, **dict.fromkeys(hesitations, state)} for state, out in enumerate(arcs))
    return Automaton(looped, frozenset(finals), frozenset(unfinished))


_Arcs = frozenset[tuple[str, int]]


@dataclass(frozen=True, slots=True)
class _State:
    """What can follow: arcs (several may have the same word), whether it may end here, or is unfinished."""

    arcs: _Arcs
    final: bool = False
    unfinished: bool = False


class _Builder:
    """Builds states from the end of the utterance backwards: each node is entered with what follows it.

    The same node followed by the same state is built once, so trees used in many places cost little.
    """

    def __init__(self, root: Node) -> None:
        self.states: list[_State] = []
        self._numbers: dict[_State, int] = {}
        self._built: dict[tuple[int, int, bool], _State] = {}
        end = self._number(_State(frozenset(), final=True))
        self.start = self._number(self._before(root, end, False))

    def _before(self, node: Node, after: int, tail: bool) -> _State:
        """The state from which `node` and then `after` can be said."""
        key = (id(node), after, tail)
        if key not in self._built:
            self._built[key] = self._build(node, after, tail)
        return self._built[key]

    def _build(self, node: Node, after: int, tail: bool) -> _State:
        match node:
            case Word():
                return _State(frozenset(((node.text, after),)), unfinished=not tail)
            case Seq():
                for part in node.parts[:0:-1]:
                    after = self._number(self._before(part, after, tail))
                return self._before(node.parts[0], after, tail)
            case Alt():
                return _merged([self._before(option, after, tail) for option in node.options])
            case Opt():
                return _merged([self.states[after], self._before(node.part, after, tail)])
            case Tail():
                return self._before(node.part, after, True)
            case Act() | Wide():
                return self._before(node.part, after, tail)
            case Corrected():
                return self._corrected(node, after, tail)
            case Loop():
                return self._loop(node, after, tail)
        raise TypeError(node)

    def _corrected(self, node: Corrected, after: int, tail: bool) -> _State:
        """A loop: after the part may come the marker and then the part again."""
        again = len(self.states)
        self.states.append(_State(frozenset()))
        corrected = _merged([self.states[after], self._before(node.marker, again, True)])
        start = self._before(node.part, self._number(corrected), tail)
        self.states[again] = start
        return start

    def _loop(self, node: Loop, after: int, tail: bool) -> _State:
        """After the part, by an arc without a word, to where it may end or go on: that is never waited for."""
        going_on, again = len(self.states), len(self.states) + 1
        self.states += [_State(frozenset()), _State(frozenset())]
        start = self._before(node.part, self._number(_State(frozenset(((_NOTHING, going_on),)))), tail)
        self.states[again] = start
        between = self._before(node.between, again, True)
        self.states[going_on] = _merged([self.states[after], between, replace(start, unfinished=False)])
        return start

    def _number(self, state: _State) -> int:
        if state not in self._numbers:
            self._numbers[state] = len(self.states)
            self.states.append(state)
        return self._numbers[state]


def _merged(states: Sequence[_State]) -> _State:
    """Whatever can be said from any of the states."""
    return _State(
        frozenset().union(*(state.arcs for state in states)),
        any(state.final for state in states),
        any(state.unfinished for state in states),
    )


_Table = tuple[list[dict[str, int]], set[int], set[int]]


def _deterministic(states: Sequence[_State], first: int) -> _Table:
    """Subset construction. The start comes first."""
    start = _closed(states, (first,))
    index = {start: START}
    queue = [start]
    arcs: list[dict[str, int]] = []
    closed = [_closed(states, (member,)) for member in range(len(states))]
    out = [_by_word(state, closed) for state in states]
    for subset in queue:
        targets: dict[str, frozenset[int]] = {}
        for member in subset:
            for word, after in out[member].items():
                before = targets.get(word)
                targets[word] = after if before is None else before | after
        row = {}
        for word, key in targets.items():
            if key not in index:
                index[key] = len(queue)
                queue.append(key)
            row[word] = index[key]
        arcs.append(row)
    finals = {at for at, subset in enumerate(queue) if any(states[one].final for one in subset)}
    unfinished = {at for at, subset in enumerate(queue) if any(states[one].unfinished for one in subset)}
    unfinished |= set(range(len(queue))) - finals
    return arcs, finals, unfinished


def _by_word(state: _State, closed: Sequence[frozenset[int]]) -> dict[str, frozenset[int]]:
    """Where each word leads from a state."""
    found: dict[str, frozenset[int]] = {}
    for word, after in state.arcs:
        if word != _NOTHING:
            found[word] = found.get(word, frozenset()) | closed[after]
    return found


def _closed(states: Sequence[_State], members: Iterable[int]) -> frozenset[int]:
    """The states, and all that are reached from them without a word."""
    found = set(members)
    queue = list(found)
    while queue:
        for word, after in states[queue.pop()].arcs:
            if word == _NOTHING and after not in found:
                found.add(after)
                queue.append(after)
    return frozenset(found)


def _minimal(arcs: list[dict[str, int]], finals: set[int], unfinished: set[int]) -> _Table:
    """Merge states that nothing tells apart, the start staying first."""
    ordered = [sorted(out.items()) for out in arcs]
    words = _numbered([tuple(word for word, _ in out) for out in ordered])
    leads = [[to for _, to in out] for out in ordered]
    block = _numbered([(at in finals, at in unfinished, words[at]) for at in range(len(arcs))])
    count = 0
    while count != (count := len(set(block))):
        block = _numbered([(block[at], *[block[to] for to in out]) for at, out in enumerate(leads)])
    merged: dict[int, dict[str, int]] = {}
    for at, out in enumerate(arcs):
        merged.setdefault(block[at], {word: block[to] for word, to in out.items()})
    return list(merged.values()), {block[at] for at in finals}, {block[at] for at in unfinished}


def _numbered(keys: Sequence[object]) -> list[int]:
    """Equal keys get equal numbers, counted in order of appearance."""
    numbers: dict[object, int] = {}
    return [numbers.setdefault(key, len(numbers)) for key in keys]
