"""How the second listener writes what is said: " Thirty-one and a quarter."

Words alone, no digits; a capital first and for letters; a hyphen in "thirty-one"; a full stop; no comma. The space
before the first word belongs to it, as in all text Whisper has seen. What is said while thinking ("uh") is not written.
"""

from __future__ import annotations

from collections.abc import Sequence

from bench.language.numbers import ONES, TENS

LETTERS = frozenset(("emt", "imc", "pvc", "rmc"))
"""Words said letter by letter."""
UNWRITTEN = frozenset(("uh", "um", "er", "erm", "hmm"))


def written(words: Sequence[str]) -> str:
    """The words as the model's text; none give the empty text."""
    said = [word for word in words if word not in UNWRITTEN]
    if not said:
        return ""
    text = ""
    for before, word, after in zip(("", *said), said, (*said[1:], ""), strict=False):
        joint = "-" if before in TENS and word in ONES else " "
        spelled = len(word) == 1 and (word != "a" or _letter(before) or _letter(after))
        text += joint + (word.upper() if spelled else _cased(word))
    return text[:2].upper() + text[2:] + "."


def _letter(word: str) -> bool:
    return len(word) == 1 and word != "i"


def _cased(word: str) -> str:
    if word in LETTERS:
        return word.upper()
    return word.capitalize() if word == "i" or word.startswith("i'") else word
