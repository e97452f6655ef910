"""How far apart two phrases are to the ear: a weighted edit distance over phones.

Pronunciations come from the dictionary that PocketSphinx carries (CMUdict, ARPAbet). Phones are described by
the features of the chart of the International Phonetic Association (consonants: voicing, place, manner;
vowels: height, backness, rounding), from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import accumulate, product
from math import inf
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
    return min(_edits(ours, theirs) for ours in said(one, extra) for theirs in said(other, extra))


def _edits(ours: Sequence[str], theirs: Sequence[str]) -> float:
    """The weighted edit distance (Wagner and Fischer 1974), row by row."""
    row = list(accumulate(map(_gap, theirs), initial=0.0))
    for phone in ours:
        above, row, costs = row, [row[0] + _gap(phone)], _costs(phone)
        for at, other in enumerate(theirs):
            row.append(min(above[at + 1] + _gap(phone), row[at] + _gap(other), above[at] + costs[other]))
    return row[-1]


def close_pairs(
    phrases: Iterable[str], extra: Mapping[str, str], limit: float
) -> dict[tuple[str, str], float]:
    """Every two different phrases less than `limit` apart, in their order, with their distance.

    The tree of all pronunciations is compared with itself: what begins alike is compared once, and only as far as some
    way on costs less than `limit`.
    """
    order = {phrase: at for at, phrase in enumerate(dict.fromkeys(phrases))}
    tree = _Branch()
    for phrase in order:
        for phones in said(phrase, extra):
            tree.add(phones, phrase)
    found: dict[tuple[str, str], float] = {}
    waiting = [(tree, _and_on({tree: 0.0}, limit))]
    while waiting:
        branch, near = waiting.pop()
        for one in branch.ends:
            for other, gap in ((other, gap) for at, gap in near.items() for other in at.ends):
                if order[one] < order[other]:
                    found[one, other] = min(gap, found.get((one, other), inf))
        for phone, after in branch.next.items():
            if onward := _after(phone, near, limit):
                waiting.append((after, onward))
    return found


@dataclass(eq=False)
class _Branch:
    """What goes on after the same phones, and the phrases that end there."""

    next: dict[str, _Branch] = field(default_factory=dict)
    ends: list[str] = field(default_factory=list)

    def add(self, phones: Sequence[str], phrase: str) -> None:
        branch = self
        for phone in phones:
            branch = branch.next.setdefault(phone, _Branch())
        branch.ends.append(phrase)


_Near = dict[_Branch, float]
"""Branches and how far they are from one, those less than the limit."""


def _after(phone: str, near: _Near, limit: float) -> _Near:
    """What is near the next branch, which adds this phone: it is left out, or stands for another."""
    gap, costs = _gap(phone), _costs(phone)
    found: _Near = {}
    for branch, far in near.items():
        if far + gap < limit:
            found[branch] = min(far + gap, found.get(branch, inf))
        for other, after in branch.next.items():
            if (cost := far + costs[other]) < limit:
                found[after] = min(cost, found.get(after, inf))
    return _and_on(found, limit)


def _and_on(near: _Near, limit: float) -> _Near:
    """The same with what is reached by leaving out phones of theirs."""
    waiting = list(near)
    while waiting:
        branch = waiting.pop()
        for phone, after in branch.next.items():
            cost = near[branch] + _gap(phone)
            if cost < limit and cost < near.get(after, inf):
                near[after] = cost
                waiting.append(after)
    return near


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
