"""The meaning of a reading in the current state. Readings with the same meaning are not rivals."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import TypeAlias

from bench.language.lexicon import Lexicon
from bench.language.meaning import NUMBERS, Expectation, Kind
from bench.language.understand import meant


@dataclass(frozen=True, slots=True)
class Sense:
    """`meaning` is equal for readings with the same meaning. `asked` is true of an answer to the current question.

    `whole` is false of words that fit the grammar but mean nothing as a whole, such as three heights in one order.
    """

    meaning: Hashable
    asked: bool = True
    whole: bool = True


Words: TypeAlias = tuple[str, ...]
SenseOf: TypeAlias = Callable[[Words], Sense]
"""The meaning of words in one state of the dialogue."""
Senses: TypeAlias = Callable[[Expectation], SenseOf]
"""The same, for any expectation."""


def literal(_: Expectation) -> SenseOf:
    """Each reading is its own meaning, for grammars other than the product's phrases."""
    return Sense


def phrases(lexicon: Lexicon) -> Senses:
    """The meanings of the product's phrases."""

    @lru_cache(maxsize=256)  # asked again and again while a pause lasts
    def sense(expectation: Expectation, words: Words) -> Sense:
        meaning = meant(words, expectation, lexicon)
        if meaning is None:
            return Sense(words, asked=False, whole=False)
        if meaning.kind is Kind.ORDER:  # said where a bend is named; where one number is asked for, rarely
            return Sense(meaning, expectation.kind not in NUMBERS)
        return Sense(meaning, expectation.kind in (Kind.COMMAND, meaning.kind))

    return lambda expectation: partial(sense, expectation)
