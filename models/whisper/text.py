"""The transcript format of the second recognizer: " Thirty-one and a quarter."

Only words, no digits; a capital at the start and for letters; a hyphen in "thirty-one"; a period; no comma. The leading
space is part of the first word, as in Whisper's training texts. Fillers ("uh") are not written. Single words are
spelled like the grammar words in `bench/ears/second/spelling.py`.
"""

from __future__ import annotations

from collections.abc import Sequence

from bench.ears.second.spelling import STOP, written_ways

UNWRITTEN = frozenset(("uh", "um", "er", "erm", "hmm"))


def written(words: Sequence[str]) -> str:
    """The words as the model's text. No words give an empty text."""
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
