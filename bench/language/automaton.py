"""The grammar as a deterministic automaton over words, for a recogniser with a hard grammar.

Positions and their followers (Glushkov 1961), subsets, then partition refinement (Moore 1956).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from bench.language.nodes import Act, Alt, Corrected, Node, Opt, Seq, Utterance, Word

START = 0


@dataclass(frozen=True)
class Automaton:
    """States are 0 (the start) upwards; `arcs[state]` maps a word to the next state.

    `finals` are the states in which the utterance may end; `unfinished` those from which words may follow that
    belong to the answer itself, not just round it off ("inches", "a hair over", "no, ...").
    """

    arcs: tuple[Mapping[str, int], ...]
    finals: frozenset[int]
    unfinished: frozenset[int]

    def state_after(self, words: Iterable[str]) -> int | None:
        """The state reached, or None when the words cannot be the beginning of anything."""
        state: int | None = START
        for word in words:
            state = self.arcs[state].get(word)
            if state is None:
                return None
        return state

    def accepts(self, words: Iterable[str]) -> bool:
        """Whether the words are a whole utterance."""
        return self.state_after(words) in self.finals

    def goes_on(self, words: Iterable[str]) -> bool:
        """Whether more words could still belong to the answer."""
        return self.state_after(words) in self.unfinished

    @property
    def arc_count(self) -> int:
        """How large it is."""
        return sum(map(len, self.arcs))


def automaton(node: Node) -> Automaton:
    """The smallest deterministic automaton that accepts exactly what `node` can say."""
    root = node.part if isinstance(node, Utterance) else node
    hesitations = node.hesitations if isinstance(node, Utterance) else ()
    arcs, finals, unfinished = _minimal(*_deterministic(_Positions().of(root)))
    looped = tuple({**out, **dict.fromkeys(hesitations, state)} for state, out in enumerate(arcs))
    return Automaton(looped, frozenset(finals), frozenset(unfinished))


@dataclass(frozen=True)
class _Span:
    """The positions a node may begin and end at."""

    first: frozenset[int]
    last: frozenset[int]
    empty: bool


@dataclass
class _Classes:
    """Positions with the same followers are one: their outgoing words, whether final, whether unfinished."""

    start: int
    out: list[dict[str, set[int]]]
    final: list[bool]
    unfinished: list[bool]


@dataclass
class _Positions:
    """Every occurrence of a word in the tree, and what may follow it."""

    words: list[str] = field(default_factory=list)
    tails: list[bool] = field(default_factory=list)
    follow: list[set[int]] = field(default_factory=list)

    def of(self, root: Node) -> _Classes:
        span = self._span(root, False)
        keys = [(frozenset(after), at in span.last) for at, after in enumerate(self.follow)]
        start = (span.first, span.empty)
        order = {key: index for index, key in enumerate(dict.fromkeys([start, *keys]))}
        classes = _Classes(order[start], [], [], [])
        for after, final in order:
            out: dict[str, set[int]] = {}
            for at in after:
                out.setdefault(self.words[at], set()).add(order[keys[at]])
            classes.out.append(out)
            classes.final.append(final)
            classes.unfinished.append(any(not self.tails[at] for at in after))
        return classes

    def _span(self, node: Node, tail: bool) -> _Span:
        match node:
            case Word():
                return self._word(node.text, tail)
            case Seq():
                return self._in_order([self._span(part, tail) for part in node.parts])
            case Alt():
                return _either([self._span(option, tail) for option in node.options])
            case Opt():
                part = self._span(node.part, tail or node.tail)
                return _Span(part.first, part.last, True)
            case Act():
                return self._span(node.part, tail)
            case Corrected():
                return self._again(self._span(node.part, tail), self._span(node.marker, True))
        raise TypeError(node)

    def _word(self, text: str, tail: bool) -> _Span:
        self.words.append(text)
        self.tails.append(tail)
        self.follow.append(set())
        here = frozenset((len(self.words) - 1,))
        return _Span(here, here, False)

    def _in_order(self, spans: Sequence[_Span]) -> _Span:
        whole = spans[0]
        for span in spans[1:]:
            self._join(whole, span)
            first = whole.first | span.first if whole.empty else whole.first
            last = whole.last | span.last if span.empty else span.last
            whole = _Span(first, last, whole.empty and span.empty)
        return whole

    def _again(self, part: _Span, marker: _Span) -> _Span:
        self._join(part, marker)
        self._join(marker, part)
        return part

    def _join(self, left: _Span, right: _Span) -> None:
        for at in left.last:
            self.follow[at] |= right.first


def _either(spans: Sequence[_Span]) -> _Span:
    first = frozenset[int]().union(*(span.first for span in spans))
    last = frozenset[int]().union(*(span.last for span in spans))
    return _Span(first, last, any(span.empty for span in spans))


_Table = tuple[list[dict[str, int]], set[int], set[int]]


def _deterministic(classes: _Classes) -> _Table:
    """Subset construction. The start comes first."""
    start = frozenset((classes.start,))
    index = {start: START}
    queue = [start]
    arcs: list[dict[str, int]] = []
    for subset in queue:
        targets: dict[str, set[int]] = {}
        for member in subset:
            for word, after in classes.out[member].items():
                targets.setdefault(word, set()).update(after)
        row = {}
        for word, after in targets.items():
            key = frozenset(after)
            if key not in index:
                index[key] = len(queue)
                queue.append(key)
            row[word] = index[key]
        arcs.append(row)
    finals = {at for at, subset in enumerate(queue) if any(classes.final[one] for one in subset)}
    unfinished = {at for at, subset in enumerate(queue) if any(classes.unfinished[one] for one in subset)}
    return arcs, finals, unfinished


def _minimal(arcs: list[dict[str, int]], finals: set[int], unfinished: set[int]) -> _Table:
    """Merge states that nothing tells apart, the start staying first."""
    block = _numbered([(at in finals, at in unfinished) for at in range(len(arcs))])
    count = 0
    while count != (count := len(set(block))):
        keys = [
            (block[at], frozenset((word, block[to]) for word, to in out.items()))
            for at, out in enumerate(arcs)
        ]
        block = _numbered(keys)
    merged: dict[int, dict[str, int]] = {}
    for at, out in enumerate(arcs):
        merged.setdefault(block[at], {word: block[to] for word, to in out.items()})
    return list(merged.values()), {block[at] for at in finals}, {block[at] for at in unfinished}


def _numbered(keys: Sequence[object]) -> list[int]:
    """Equal keys get equal numbers, counted in order of appearance."""
    numbers: dict[object, int] = {}
    return [numbers.setdefault(key, len(numbers)) for key in keys]
