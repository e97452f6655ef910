"""How far apart two phrases are to the ear: a weighted edit distance over phones.

Pronunciations come from the dictionary that PocketSphinx carries (CMUdict, ARPAbet). Phones are described by
the features of the chart of the International Phonetic Association (consonants: voicing, place, manner;
vowels: height, backness, rounding), from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import accumulate, product
from math import ceil, inf
from pathlib import Path

import pocketsphinx

_PLACES = {
    place: at
    for at, phones in enumerate(
        ("P B M W", "F V", "TH DH", "T D S Z N L", "R CH JH SH ZH", "Y", "K G NG", "HH")
    )
    for place in phones.split()
}
_MANNERS = {
    phone: manner
    for manner, phones in {
        "stop": "P B T D K G",
        "affricate": "CH JH",
        "fricative": "F V TH DH S Z SH ZH HH",
        "nasal": "M N NG",
        "approximant": "L R W Y",
    }.items()
    for phone in phones.split()
}
_VOICELESS = {"P", "T", "K", "CH", "F", "TH", "S", "SH", "HH"}
# Height 0 (close) to 3 (open), backness 0 (front) to 2 (back), where a vowel begins and where it ends.
_VOWELS = {
    "IY": (0, 0, 0, 0),
    "IH": (0.7, 0.4, 0.7, 0.4),
    "EH": (2, 0.3, 2, 0.3),
    "AE": (2.6, 0.2, 2.6, 0.2),
    "AA": (3, 1.8, 3, 1.8),
    "AO": (2.2, 2, 2.2, 2),
    "UH": (0.7, 1.7, 0.7, 1.7),
    "UW": (0, 2, 0, 2),
    "AH": (1.7, 1.3, 1.7, 1.3),
    "ER": (1.5, 1, 1.5, 1),
    "EY": (1.3, 0.2, 0.5, 0.2),
    "AY": (3, 1, 0.5, 0.3),
    "OW": (1.3, 2, 0.5, 1.9),
    "AW": (3, 1, 0.5, 1.8),
    "OY": (2, 2, 0.5, 0.3),
}
_WEAK = {"AH": 0.6, "IH": 0.7, "HH": 0.6, "T": 0.8, "D": 0.8}
"""Phones that are easily swallowed cost less to leave out."""
_LONGEST = 1000
"""Phones: more than any phrase has."""
_LEAST_GAP = min(_WEAK.values())


@cache
def dictionary() -> dict[str, tuple[tuple[str, ...], ...]]:
    """Every word of PocketSphinx's dictionary with its pronunciations."""
    found: dict[str, list[tuple[str, ...]]] = {}
    path = Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    for line in path.read_text(encoding="utf-8").splitlines():
        word, *phones = line.split()
        found.setdefault(word.split("(")[0], []).append(tuple(phones))
    return {word: tuple(several) for word, several in found.items()}


def distance(one: str, other: str, extra: Mapping[str, str]) -> float:
    """The cheapest way from any pronunciation of one phrase to any of the other; 1 is about one phone."""
    return close_pairs((one, other), extra, inf).get((one, other), 0.0)


def close_pairs(
    phrases: Iterable[str], extra: Mapping[str, str], limit: float
) -> dict[tuple[str, str], float]:
    """Every two different phrases less than `limit` apart, in their order, with their distance.

    A weighted edit distance (Wagner and Fischer 1974) from each pronunciation to all those before it at once, along
    the tree of their phones: a branch is left when every way on it costs `limit` or more.
    """
    tree = _Branch()
    found: dict[tuple[str, str], float] = {}
    for phrase in dict.fromkeys(phrases):
        ways = said(phrase, extra)
        for phones in ways:
            for other, gap in _near(tree, phones, limit):
                found[other, phrase] = min(gap, found.get((other, phrase), inf))
        for phones in ways:
            tree.add(phones, phrase)
    return found


@dataclass
class _Branch:
    """What goes on after the same phones, and the phrases that end there."""

    next: dict[str, _Branch] = field(default_factory=dict)
    ends: list[str] = field(default_factory=list)

    def add(self, phones: Sequence[str], phrase: str) -> None:
        branch = self
        for phone in phones:
            branch = branch.next.setdefault(phone, _Branch())
        branch.ends.append(phrase)


def _near(tree: _Branch, phones: Sequence[str], limit: float) -> Iterator[tuple[str, float]]:
    """The phrases of the tree that are less than `limit` from these phones."""
    gaps = [_gap(phone) for phone in phones]
    widest = _LONGEST if limit == inf else ceil(limit / _LEAST_GAP) - 1
    waiting = [(tree, 0, list(accumulate(gaps, initial=0.0)))]
    while waiting:
        branch, depth, above = waiting.pop()
        if branch.ends and above[-1] < limit:
            yield from ((phrase, above[-1]) for phrase in branch.ends)
        for phone, after in branch.next.items():
            row = _row(phone, depth + 1, above, phones, gaps, widest)
            if min(row) < limit:
                waiting.append((after, depth + 1, row))


def _row(
    phone: str, depth: int, above: list[float], phones: Sequence[str], gaps: Sequence[float], widest: int
) -> list[float]:
    """The next row of the table, as far from its diagonal as phones may be left out."""
    gap, costs = _gap(phone), _costs(phone)
    row = [inf] * len(above)
    if depth <= widest:
        row[0] = above[0] + gap
    for at in range(max(depth - widest, 1), min(depth + widest, len(phones)) + 1):
        row[at] = min(above[at] + gap, row[at - 1] + gaps[at - 1], above[at - 1] + costs[phones[at - 1]])
    return row


def said(phrase: str, extra: Mapping[str, str]) -> list[tuple[str, ...]]:
    """Every way to pronounce a phrase (the first three of each word)."""
    return _said(phrase, frozenset((word, extra[word]) for word in phrase.split() if word in extra))


@cache
def _said(phrase: str, extra: frozenset[tuple[str, str]]) -> list[tuple[str, ...]]:
    ways = [_ways(word, dict(extra))[:3] for word in phrase.split()]
    return [sum(one, ()) for one in product(*ways)][:60]


def _ways(word: str, extra: Mapping[str, str]) -> tuple[tuple[str, ...], ...]:
    return (tuple(extra[word].split()),) if word in extra else dictionary()[word]


def _gap(phone: str) -> float:
    return _WEAK.get(phone, 1.0)


@cache
def _costs(phone: str) -> dict[str, float]:
    return {other: _apart(phone, other) for other in (*_VOWELS, *_MANNERS)}


@cache
def _apart(one: str, other: str) -> float:
    """0 for the same phone, 1 for phones with nothing in common, more for a vowel against a consonant."""
    if one == other:
        return 0.0
    if (one in _VOWELS) != (other in _VOWELS):
        return 1.6
    if one in _VOWELS:
        steps = zip(_VOWELS[one], _VOWELS[other], strict=True)
        return min(1.0, 0.15 + sum(abs(a - b) for a, b in steps) / 6)
    voicing = (one in _VOICELESS) != (other in _VOICELESS)
    place = min(abs(_PLACES[one] - _PLACES[other]) / 3, 1.0)
    return min(1.0, 0.3 * voicing + 0.4 * place + 0.4 * (_MANNERS[one] != _MANNERS[other]))
