"""Sentences of a grammar: every reading of given words, samples at random, and all its words."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import Any, NamedTuple

from bench.language.nodes import (
    Act,
    Alt,
    Corrected,
    Led,
    Loop,
    Node,
    Opt,
    Said,
    Seq,
    Tail,
    Utterance,
    Wide,
    Word,
)


class Sample(NamedTuple):
    """Words that can be said, and the value they were made from."""

    words: tuple[str, ...]
    value: Any


def readings(node: Utterance, words: Sequence[str]) -> list[Any]:
    """Every value the whole of `words` can have, each once, likeliest reading first."""
    plain = Said([word for word in words if word not in node.hesitations])
    found: list[Any] = []
    for end, values in node.part.build_path(plain, 0):
        if end == len(plain) and values[0] not in found:
            found.append(values[0])
    return found


def samples(node: Node, count: int, rng: Random) -> tuple[Sample, ...]:
    """`count` things that can be said, at random, each with its value."""
    return tuple(Sample(words, values[0]) for words, values in (node.pick(rng) for _ in range(count)))


def words_of(node: Node) -> frozenset[str]:
    """Every word that can occur."""
    match node:
        case Word():
            return frozenset((node.text,))
        case Seq():
            return frozenset().union(*map(words_of, node.parts))
        case Alt():
            return frozenset().union(*map(words_of, node.options))
        case Corrected():
            return words_of(node.part) | words_of(node.marker)
        case Loop():
            return words_of(node.part) | words_of(node.between)
        case Led():
            return words_of(node.lead) | words_of(node.part)
        case Utterance():
            return words_of(node.part) | frozenset(node.hesitations)
        case Opt() | Tail() | Act() | Wide():
            return words_of(node.part)
    raise TypeError(node)
