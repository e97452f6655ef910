"""How the second listener writes what is said: " Thirty-one and a quarter."

Words alone, no digits; a capital first and for letters; a hyphen in "thirty-one"; a full stop; no comma. The space
before the first word belongs to it, as in all text Whisper has seen. What is said while thinking ("uh") is not written.
"""

from __future__ import annotations

from collections.abc import Sequence

from bench.language.numbers import ONES, TENS

LETTERS = frozenset(("emt", "imc", "rmc"))
"""Words said letter by letter."""
UNWRITTEN = frozenset(("uh", "um", "er", "erm", "hmm"))


def written(words: Sequence[str]) -> str:
    """The words as the model's text; none give the empty text."""
    said = [word for word in words if word not in UNWRITTEN]
    if not said:
        return ""
    text = ""
    for before, word in zip(("", *said), said, strict=False):
        joint = "-" if before in TENS and word in ONES else " "
        text += joint + _cased(word)
    return text[:2].upper() + text[2:] + "."


def _cased(word: str) -> str:
    if word in LETTERS or (len(word) == 1 and word != "a"):
        return word.upper()
    if word == "i" or word.startswith("i'"):
        return word.capitalize()
    return word
