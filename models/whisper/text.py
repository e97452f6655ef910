"""How the second listener writes what is said: " Thirty-one and a quarter."

Words alone, no digits; a capital first and for letters; a hyphen in "thirty-one"; a full stop; no comma. The space
before the first word belongs to it, as in all text Whisper has seen. What is said while thinking ("uh") is not written.
Single words are written as `bench/ears/second/spelling.py` writes them along a grammar.
"""

from __future__ import annotations

from collections.abc import Sequence

from bench.ears.second.spelling import STOP, written_ways

UNWRITTEN = frozenset(("uh", "um", "er", "erm", "hmm"))


def written(words: Sequence[str]) -> str:
    """The words as the model's text; none give the empty text."""
    said = [word for word in words if word not in UNWRITTEN]
    if not said:
        return ""
    text = ""
    for before, word, after in zip(("", *said), said, (*said[1:], ""), strict=False):
        piece = written_ways(before, word)[0]
        spelled = word == "a" and (_letter(before) or _letter(after))
        text += piece.upper() if spelled else piece
    return text + STOP


def _letter(word: str) -> bool:
    return len(word) == 1 and word != "i"
