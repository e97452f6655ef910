"""Any sequence of number words, for measuring ears on any speech with numbers in it."""

from __future__ import annotations

from collections.abc import Sequence

from bench.language.automaton import Automaton
from bench.language.numbers import ONES, TEENS, TENS

_PLAIN = ("zero", "oh", *ONES, *TEENS, *TENS)
_GREAT = ("hundred", "thousand")
_TIMES = {"double": 2, "triple": 3}
WORDS = (*_PLAIN, *_GREAT, *_TIMES, "and", "point")


def number_words() -> Automaton:
    """One number word after another; "and" after hundreds and thousands, "point" and "double" before a number.

    Two pairs of states take turns, for an arc back to its own state is a hesitation's.
    """
    start, told, more, great, awaited = range(5)
    number = dict.fromkeys(_PLAIN, told)
    further = {**number, **dict.fromkeys(_GREAT, great), **dict.fromkeys((*_TIMES, "point"), awaited)}
    arcs = (
        {**number, **dict.fromkeys(_TIMES, awaited)},
        further | dict.fromkeys(_PLAIN, more),
        further,
        {**further, "and": awaited, **dict.fromkeys(_GREAT, told)},
        number,
    )
    return Automaton(arcs, frozenset((told, more, great)), frozenset((start, awaited)))


def plain_numerals(words: Sequence[str]) -> tuple[str, ...]:
    """The words without choices of wording: "oh" is zero, "double five" is five five, "and" is left out."""
    plain: list[str] = []
    times = 1
    for word in words:
        if word in _TIMES:
            times = _TIMES[word]
        elif word != "and":
            plain += ["zero" if word == "oh" else word] * times
            times = 1
    return tuple(plain)


def words_wrong(said: Sequence[str], heard: Sequence[str]) -> int:
    """Words left out, put in or mistaken, as few as can be (Levenshtein 1966)."""
    row = list(range(len(heard) + 1))
    for at, word in enumerate(said, 1):
        before, row[0] = row[0], at
        for other, found in enumerate(heard, 1):
            before, row[other] = row[other], min(row[other] + 1, row[other - 1] + 1, before + (word != found))
    return row[-1]
