"""The grammar's building blocks: what can be said, and what it comes to.

One tree serves parsing, sampling (`sentences.py`), and the recognizer's automaton. Every node yields values: a word
those it was given, a sequence those of its parts, an `Act` one value made of its part's values.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from heapq import nsmallest
from random import Random
from typing import Any

Values = tuple[Any, ...]
Steps = Iterator[tuple[int, Values]]


class Said(tuple[str, ...]):
    """The words being read. `found` keeps what was found at a place: the many ways to read a row of numbers meet there
    again and again."""

    found: dict[tuple[int, int], tuple[tuple[int, Values], ...]]

    def __new__(cls, words: Sequence[str]) -> Said:
        """Nothing is found yet."""
        made = super().__new__(cls, words)
        made.found = {}
        return made


class Node:
    """What every building block can do. `starts` are its first words; `empty` if it may be left out."""

    __slots__ = ("empty", "starts")
    starts: frozenset[str]
    empty: bool

    def build_path(self, words: Said, at: int) -> Steps:
        """Every way of reading words from `at`: where it ends, and the values."""
        raise NotImplementedError

    def kept_path(self, words: Said, at: int) -> Steps:
        """The same, each once, worked out once for every place of these words."""
        key = (id(self), at)
        if key not in words.found:
            words.found[key] = tuple(dict.fromkeys(self.build_path(words, at)))
        return iter(words.found[key])

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        """One thing that can be said, at random, with its values."""
        raise NotImplementedError

    def may_start(self, words: Sequence[str], at: int) -> bool:
        """Whether it is worth trying here."""
        return self.empty or (at < len(words) and words[at] in self.starts)


FEW = 14


def _least(steps: Iterable[tuple[int, Values]], cost: Callable[[Values], Any]) -> Steps:
    """Of the readings that end at the same place the few of least cost."""
    by_end: dict[int, list[Values]] = {}
    for end, values in steps:
        by_end.setdefault(end, []).append(values)
    for end, several in by_end.items():
        for values in nsmallest(FEW, several, key=cost):
            yield end, values


def _derive(node: Node, starts: frozenset[str], empty: bool) -> None:
    object.__setattr__(node, "starts", starts)
    object.__setattr__(node, "empty", empty)


@dataclass(frozen=True, eq=False, slots=True)
class Word(Node):
    """One word, with the values it stands for."""

    text: str
    values: Values = ()

    def __post_init__(self) -> None:
        _derive(self, frozenset((self.text,)), False)

    def build_path(self, words: Said, at: int) -> Steps:
        if at < len(words) and words[at] == self.text:
            yield at + 1, self.values

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        return (self.text,), self.values


@dataclass(frozen=True, eq=False, slots=True)
class Seq(Node):
    """One thing after the other."""

    parts: tuple[Node, ...]

    def __post_init__(self) -> None:
        starts: frozenset[str] = frozenset()
        for part in self.parts:
            starts |= part.starts
            if not part.empty:
                break
        _derive(self, starts, all(part.empty for part in self.parts))

    def build_path(self, words: Said, at: int) -> Steps:
        return self._rest(words, at, 0, ())

    def _rest(self, words: Said, at: int, index: int, values: Values) -> Steps:
        if index == len(self.parts):
            yield at, values
        elif (part := self.parts[index]).may_start(words, at):
            for end, more in part.build_path(words, at):
                yield from self._rest(words, end, index + 1, values + more)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        words: tuple[str, ...] = ()
        values: Values = ()
        for part in self.parts:
            more_words, more_values = part.pick(rng)
            words, values = words + more_words, values + more_values
        return words, values


@dataclass(frozen=True, eq=False, slots=True)
class Alt(Node):
    """One of several. Readings come in the order of the options."""

    options: tuple[Node, ...]
    by_word: dict[str, tuple[Node, ...]] = field(init=False)
    otherwise: tuple[Node, ...] = field(init=False)

    def __post_init__(self) -> None:
        starts = frozenset[str]().union(*(option.starts for option in self.options))
        empties = tuple(option for option in self.options if option.empty)
        _derive(self, starts, bool(empties))
        found = {word: tuple(o for o in self.options if o.empty or word in o.starts) for word in starts}
        object.__setattr__(self, "by_word", found)
        object.__setattr__(self, "otherwise", empties)

    def build_path(self, words: Said, at: int) -> Steps:
        options = self.by_word.get(words[at], self.otherwise) if at < len(words) else self.otherwise
        for option in options:
            yield from option.build_path(words, at)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        return rng.choice(self.options).pick(rng)


@dataclass(frozen=True, eq=False, slots=True)
class Opt(Node):
    """May be left out. `often` is how often a sample has it."""

    part: Node
    often: float = 0.5

    def __post_init__(self) -> None:
        _derive(self, self.part.starts, True)

    def build_path(self, words: Said, at: int) -> Steps:
        if self.part.may_start(words, at):
            yield from self.part.build_path(words, at)
        yield at, ()

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        return self.part.pick(rng) if rng.random() < self.often else ((), ())


@dataclass(frozen=True, eq=False, slots=True)
class Tail(Node):
    """What rounds off an answer complete without it: nobody needs to wait for it."""

    part: Node

    def __post_init__(self) -> None:
        _derive(self, self.part.starts, self.part.empty)

    def build_path(self, words: Said, at: int) -> Steps:
        return self.part.build_path(words, at)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        return self.part.pick(rng)


@dataclass(frozen=True, eq=False, slots=True)
class Corrected(Node):
    """The part, said once or corrected in the same breath: `part (marker part)*`. The last one counts."""

    part: Node
    marker: Node

    def __post_init__(self) -> None:
        _derive(self, self.part.starts, False)

    def build_path(self, words: Said, at: int) -> Steps:
        for end, values in self.part.build_path(words, at):
            yield end, values
            for start, _ in self.marker.build_path(words, end):
                yield from self.build_path(words, start)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        words, values = self.part.pick(rng)
        while rng.random() < 0.1:
            again, values = self.part.pick(rng)
            words += self.marker.pick(rng)[0] + again
        return words, values


@dataclass(frozen=True, eq=False, slots=True)
class Loop(Node):
    """The part, again and again, something between two of them perhaps: `part (between? part)*`.

    More of them is never waited for. `often` is how often a sample goes on. Where `cost` is given, only the `FEW`
    readings of least cost are kept for each place where they end: a long row can be read in thousands of ways.
    """

    part: Node
    between: Node
    often: float = 0.5
    cost: Callable[[Values], Any] | None = None

    def __post_init__(self) -> None:
        _derive(self, self.part.starts, False)

    def kept_path(self, words: Said, at: int) -> Steps:
        if self.cost is None:
            return Node.kept_path(self, words, at)
        key = (id(self), at)
        if key not in words.found:
            words.found[key] = tuple(_least(dict.fromkeys(self.build_path(words, at)), self.cost))
        return iter(words.found[key])

    def build_path(self, words: Said, at: int) -> Steps:
        for end, values in self.part.kept_path(words, at):
            yield end, values
            for start, marks in (*self.between.build_path(words, end), (end, ())):
                if self.part.may_start(words, start):
                    for last, more in self.kept_path(words, start):
                        yield last, values + marks + more

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        words, values = self.part.pick(rng)
        while rng.random() < self.often:
            marks = self.between.pick(rng) if rng.random() < 0.3 else ((), ())
            again = self.part.pick(rng)
            words, values = words + marks[0] + again[0], values + marks[1] + again[1]
        return words, values


@dataclass(frozen=True, eq=False, slots=True)
class Led(Node):
    """The part, something perhaps said before it that can be an answer alone: nobody waits there for the part."""

    lead: Node
    part: Node
    often: float = 0.5

    def __post_init__(self) -> None:
        _derive(self, self.lead.starts | self.part.starts, self.part.empty)

    def build_path(self, words: Said, at: int) -> Steps:
        starts = (
            [start for start, _ in self.lead.build_path(words, at)] if self.lead.may_start(words, at) else []
        )
        for start in (*starts, at):
            if self.part.may_start(words, start):
                yield from self.part.build_path(words, start)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        lead = self.lead.pick(rng)[0] if rng.random() < self.often else ()
        words, values = self.part.pick(rng)
        return lead + words, values


@dataclass(frozen=True, eq=False, slots=True)
class Wide(Node):
    """Accepts all of `part`; samples are of `likely`, which is within it."""

    part: Node
    likely: Node

    def __post_init__(self) -> None:
        _derive(self, self.part.starts, self.part.empty)

    def build_path(self, words: Said, at: int) -> Steps:
        return self.part.build_path(words, at)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        return self.likely.pick(rng)


@dataclass(frozen=True, eq=False, slots=True)
class Act(Node):
    """Makes one value of those of its part. `name` is for people who read the JSGF."""

    part: Node
    make: Callable[..., Any]
    name: str = ""

    def __post_init__(self) -> None:
        _derive(self, self.part.starts, self.part.empty)

    def build_path(self, words: Said, at: int) -> Steps:
        for end, values in self.part.kept_path(words, at):
            yield end, (self.make(*values),)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        words, values = self.part.pick(rng)
        return words, (self.make(*values),)


@dataclass(frozen=True, eq=False, slots=True)
class Utterance(Node):
    """The root: one whole utterance, in which hesitations may stand anywhere and mean nothing."""

    part: Node
    hesitations: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        _derive(self, self.part.starts, self.part.empty)

    def pick(self, rng: Random) -> tuple[tuple[str, ...], Values]:
        words, values = self.part.pick(rng)
        if self.hesitations and rng.random() < 0.1:
            at = rng.randrange(len(words) + 1)
            words = (*words[:at], rng.choice(self.hesitations), *words[at:])
        return words, values


def seq(*parts: Node | str) -> Node:
    """The parts one after the other; a string is its words."""
    nodes = [node for part in parts for node in _nodes(part)]
    return nodes[0] if len(nodes) == 1 else Seq(tuple(nodes))


def alt(*options: Node | str) -> Node:
    """One of the options."""
    return Alt(tuple(seq(option) for option in options))


def opt(*parts: Node | str) -> Opt:
    """The parts, or nothing."""
    return Opt(seq(*parts))


def tail(*parts: Node | str) -> Opt:
    """The parts, or nothing, after an answer that is complete without them."""
    return Opt(Tail(seq(*parts)))


def named(values: dict[str, Any]) -> Node:
    """One of several words, each with its value."""
    return Alt(tuple(Word(word, (value,)) for word, value in values.items()))


def _nodes(part: Node | str) -> list[Node]:
    return [Word(word) for word in part.split()] if isinstance(part, str) else [part]
