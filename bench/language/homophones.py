"""Words that sound the same: which of them was said, only the sentence tells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, islice

_MOST = 3
"""Words read otherwise at a time."""
_FEW = 16
"""Readings tried: a long order has many a "to"."""


def respelled(words: tuple[str, ...], pairs: Sequence[tuple[str, str]]) -> Iterator[tuple[str, ...]]:
    """The words with some of them replaced by what sounds the same, one word at first, then two, at most three."""
    yield from islice(_all(words, pairs), _FEW)


def _all(words: tuple[str, ...], pairs: Sequence[tuple[str, str]]) -> Iterator[tuple[str, ...]]:
    alike = dict(pairs) | {other: one for one, other in pairs}
    places = [at for at, word in enumerate(words) if word in alike]
    for many in range(1, min(len(places), _MOST) + 1):
        for chosen in combinations(places, many):
            yield tuple(alike[word] if at in chosen else word for at, word in enumerate(words))
