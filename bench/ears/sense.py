"""What a reading means where it was heard: readings that mean the same do not speak against one another."""

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
    """`meaning` is equal for readings that mean the same; `asked` when it answers what was asked for."""

    meaning: Hashable
    asked: bool = True


Words: TypeAlias = tuple[str, ...]
SenseOf: TypeAlias = Callable[[Words], Sense]
"""What words mean at one moment."""
Senses: TypeAlias = Callable[[Expectation], SenseOf]
"""What they mean by what can be said."""


def literal(_: Expectation) -> SenseOf:
    """Every reading means itself: where grammars are not of the product's phrases."""
    return Sense


def phrases(lexicon: Lexicon) -> Senses:
    """What the phrases of Bench mean."""

    @lru_cache(maxsize=256)  # asked again and again while a pause lasts
    def sense(expectation: Expectation, words: Words) -> Sense:
        meaning = meant(words, expectation, lexicon)
        if meaning is None:
            return Sense(words, False)
        if meaning.kind is Kind.ORDER:  # said where a bend is named; where one number is asked for, rarely
            return Sense(meaning, expectation.kind not in NUMBERS)
        return Sense(meaning, expectation.kind in (Kind.COMMAND, meaning.kind))

    return lambda expectation: partial(sense, expectation)
