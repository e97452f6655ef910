"""Words that sound the same: which of them was said, only the sentence tells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

_MOST = 3
"""Words read otherwise at a time."""


def respelled(words: tuple[str, ...], pairs: Sequence[tuple[str, str]]) -> Iterator[tuple[str, ...]]:
    """The words with some of them replaced by what sounds the same, one word at first, then two, at most three."""
    alike = dict(pairs) | {other: one for one, other in pairs}
    places = [at for at, word in enumerate(words) if word in alike]
    for many in range(1, min(len(places), _MOST) + 1):
        for chosen in combinations(places, many):
            yield tuple(alike[word] if at in chosen else word for at, word in enumerate(words))
