"""How the model writes: words to text, text to tokens (byte pair encoding, Sennrich et al. 2016), and back."""

from __future__ import annotations

import itertools
import json
import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from bench.core.notes import BenchError
from bench.language.numbers import ONES, TENS

LETTERS = frozenset(("emt", "imc", "pvc", "rmc"))
"""Words said letter by letter."""
STOP = "."
_PARTS = re.compile(r"'(?:s|t|re|ve|m|ll|d)| ?[A-Za-z]+|[^A-Za-z]")
"""What is never joined into one token, as GPT-2's tokenizer cuts text without digits."""
_SPACE = "Ġ"
"""A space, in the tokenizer's own spelling."""


def joint(before: str, word: str) -> str:
    """What stands between two words: a hyphen in "thirty-one"."""
    return "-" if before in TENS and word in ONES else " "


def written_ways(before: str, word: str) -> tuple[str, ...]:
    """The word as it is written after another ("" at first), with what stands between; letters in two ways."""
    between = joint(before, word) if before else " "
    if word in LETTERS:
        return between + word.upper(), between + " ".join(word.upper())
    return (between + _cased(word, not before),)


def _cased(word: str, first: bool) -> str:
    """A capital first, letters and "I" as capitals."""
    if len(word) == 1 and word != "a":
        return word.upper()
    return word.capitalize() if first or word == "i" or word.startswith("i'") else word


def words_of(text: str) -> tuple[str, ...]:
    """The words of a written text, lower case and without stops."""
    plain = " ".join(re.sub(r"[^a-z' ]", " ", text.lower()).split())
    for word in LETTERS:
        plain = re.sub(rf"\b{' '.join(word)}\b", word, plain)
    return tuple(plain.split())


class Spelling:
    """The tokens of a model, by its `tokenizer.json`. Raises BenchError when that is damaged."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / "tokenizer.json"
        vocabulary, self._merges = self._read()
        self._numbers = vocabulary
        self._letters = {number: token for token, number in vocabulary.items()}
        self._known: dict[str, tuple[int, ...]] = {}

    def tokens(self, text: str) -> tuple[int, ...]:
        """The tokens of a piece of text. Raises KeyError for signs the model does not know."""
        if text not in self._known:
            parts = [
                token for part in _PARTS.findall(text) for token in self._merged(part.replace(" ", _SPACE))
            ]
            self._known[text] = tuple(self._numbers[token] for token in parts)
        return self._known[text]

    def text(self, tokens: Sequence[int]) -> str:
        """What tokens spell; those that are no text are left out."""
        return "".join(self._letters.get(token, "") for token in tokens).replace(_SPACE, " ")

    def _merged(self, part: str) -> list[str]:
        """The part with neighbors joined, the pair that was learned first before all others."""
        pieces = list(part)
        while len(pieces) > 1:
            pairs = list(itertools.pairwise(pieces))
            first = min(pairs, key=lambda pair: self._merges.get(pair, len(self._merges)))
            if first not in self._merges:
                break
            pieces = list(_joined(pieces, first))
        return pieces

    def _read(self) -> tuple[dict[str, int], dict[tuple[str, str], int]]:
        try:
            model = json.loads(self._file.read_text(encoding="utf-8"))["model"]
            pairs = (pair.split(" ") if isinstance(pair, str) else pair for pair in model["merges"])
            return model["vocab"], {(one, other): rank for rank, (one, other) in enumerate(pairs)}
        except (OSError, ValueError, KeyError, TypeError) as error:
            remedy = "Put a whole copy of the model in its place."
            raise BenchError(f"{self._file} is damaged.", remedy, code="model_damaged") from error


def _joined(pieces: list[str], pair: tuple[str, str]) -> Iterable[str]:
    at = 0
    while at < len(pieces):
        if tuple(pieces[at : at + 2]) == pair:
            yield pieces[at] + pieces[at + 1]
            at += 2
        else:
            yield pieces[at]
            at += 1
