"""From states in which a word may lead to several places to states in which it leads to one, none of them twice.

Subsets (Rabin and Scott 1959), then partition refinement (Moore 1956), with the arcs that many states share kept apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from bench.language.nondeterministic import NOTHING, State, silently

START = 0
"""The number of the first state."""


@dataclass(frozen=True, slots=True)
class Row:
    """A state of the deterministic automaton: arcs of its own, and the state whose other arcs it shares.

    After any measure of an order nearly everything may follow: what many states share is worked on once.
    """

    own: dict[str, int]
    shared: int | None
    final: bool
    unfinished: bool

    @property
    def leads(self) -> tuple[int, ...]:
        """The states it depends on, in the order of its words."""
        return (*self.own.values(), *(() if self.shared is None else (self.shared,)))


_Set = int
"""A set of states as the bits of a number: the unions of a large grammar are many."""
_Targets = Mapping[str, _Set]

Table = tuple[list[dict[str, int]], frozenset[int], frozenset[int]]
"""The arcs of every state, those that may end, those that are unfinished."""


def deterministic(states: Sequence[State], first: int) -> list[Row]:
    """Subset construction. The start comes first."""
    out = [_by_word(state) for state in states]
    reached = (silently((member,), lambda at: states[at].arcs) for member in range(len(states)))
    silent = [_union(1 << one for one in several) for several in reached]
    index: dict[_Set, int] = {}
    queue: list[_Set] = []

    def number(subset: _Set) -> int:
        if subset not in index:
            index[subset] = len(queue)
            queue.append(subset)
        return index[subset]

    number(1 << first)
    shared: dict[_Set, _Targets] = {0: {}}
    rows = []
    for subset in queue:
        members = _members(subset)
        others = _union(silent[member] for member in members) & ~subset
        if others not in shared:
            shared[others] = _targets(out, _members(others))
        own = _beside(_targets(out, members), shared[others])
        ways = [states[one] for one in _members(subset | others)]
        final = any(way.final for way in ways)
        unfinished = not final or any(way.unfinished for way in ways)
        arcs = {word: number(own[word]) for word in sorted(own)}
        rows.append(Row(arcs, number(others) if others else None, final, unfinished))
    return rows


def _targets(out: Sequence[_Targets], members: Sequence[int]) -> _Targets:
    """Where each word leads from any of the states."""
    if len(members) == 1:
        return out[members[0]]
    found: dict[str, _Set] = {}
    for member in members:
        for word, after in out[member].items():
            found[word] = found.get(word, 0) | after
    return found


def _beside(own: _Targets, shared: _Targets) -> _Targets:
    """What leads elsewhere than the shared arcs do, with those where both have the word."""
    if not shared:
        return own
    return {word: after | shared.get(word, 0) for word, after in own.items() if after & ~shared.get(word, 0)}


def _by_word(state: State) -> _Targets:
    """Where each word leads from a state."""
    found: dict[str, _Set] = {}
    for word, after in state.arcs:
        if word != NOTHING:
            found[word] = found.get(word, 0) | 1 << after
    return found


def _members(several: _Set) -> list[int]:
    found = []
    while several:
        lowest = several & -several
        found.append(lowest.bit_length() - 1)
        several ^= lowest
    return found


def _union(sets: Iterable[_Set]) -> _Set:
    whole = 0
    for one in sets:
        whole |= one
    return whole


def minimal(rows: Sequence[Row]) -> Table:
    """The states that something tells apart, the start first, with all their arcs."""
    leads = [row.leads for row in rows]
    block = _numbered([(row.final, row.unfinished, row.shared is None, *row.own) for row in rows])
    count = 0
    while count != (count := len(set(block))):
        block = _numbered([(block[at], *[block[to] for to in out]) for at, out in enumerate(leads)])
    first: dict[int, int] = {}
    for at, one in enumerate(block):
        first.setdefault(one, at)
    return _written_out(rows, [first[one] for one in block])


def _written_out(rows: Sequence[Row], stands_for: Sequence[int]) -> Table:
    """All arcs of the states that can be reached; `stands_for` is the state that stands for each."""
    numbers = {stands_for[START]: START}
    queue = [stands_for[START]]
    for at in queue:
        shared = rows[at].shared
        further = (
            rows[at].own.values() if shared is None else (*rows[at].own.values(), *rows[shared].own.values())
        )
        for to in further:
            if stands_for[to] not in numbers:
                numbers[stands_for[to]] = len(queue)
                queue.append(stands_for[to])

    @cache
    def arcs(at: int) -> dict[str, int]:
        own = {word: numbers[stands_for[to]] for word, to in rows[at].own.items()}
        shared = rows[at].shared
        return own if shared is None else {**arcs(shared), **own}

    return (
        [arcs(at) for at in queue],
        frozenset(numbers[at] for at in queue if rows[at].final),
        frozenset(numbers[at] for at in queue if rows[at].unfinished),
    )


def _numbered(keys: Sequence[object]) -> list[int]:
    """Equal keys get equal numbers, counted in order of appearance."""
    numbers: dict[object, int] = {}
    return [numbers.setdefault(key, len(numbers)) for key in keys]
