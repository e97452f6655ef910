"""Hard grammars as OpenFst files, the form in which a Vosk model directory carries its grammar.

File layout: OpenFst 1.7 `VectorFst<StdArc>` as its `FstHeader` and `VectorFst::WriteFst` define it; symbol
tables as `SymbolTable::Write` does. Weights are costs: negative natural logarithms.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from operator import itemgetter
from pathlib import Path

from bench.core.notes import BenchError
from bench.language.automaton import Automaton

_LAST = "#0"
"""Kaldi puts it behind the words of every list (utils/prepare_lang.sh)."""
_FST_MAGIC = 2_125_659_606
_SYMBOLS_MAGIC = 2_125_658_996
_EXPANDED_MUTABLE = 3
_HAS_INPUT_SYMBOLS, _HAS_OUTPUT_SYMBOLS = 1, 2
_NEVER = float("inf")


@dataclass(frozen=True, slots=True)
class Costs:
    """Costs of a path besides the acoustic ones: `word` for each word, `filler` for entering the filler loop.

    `hesitation` is added to `word` for a word that changes nothing ("uh"). Without it they are recognized in noise.
    """

    word: float = 0.0
    filler: float = 0.0
    hesitation: float = 0.0


Arc = tuple[int, float, int]
"""A word's number, its cost, the next state."""


def grammar_fst(grammar: Automaton, words: Mapping[str, int], costs: Costs, filler: str | None) -> bytes:
    """The grammar over a model's `words`, with a loop of `filler` words beside it for what is not for us.

    Words that the model does not know are left out, and with them whatever needs them. Returns the file.
    """
    rows: list[list[Arc]] = []
    for state, out in enumerate(grammar.arcs):
        said, hesitating = costs.word, costs.word + costs.hesitation
        known = [
            (words[word], hesitating if to == state else said, to)
            for word, to in out.items()
            if word in words
        ]
        rows.append(known)
    finals = dict.fromkeys(grammar.finals, 0.0)
    if filler is not None and filler in words:
        rest = len(rows)
        rows[0].append((words[filler], costs.filler, rest))
        rows.append([(words[filler], 0.0, rest)])
        finals[rest] = 0.0
    return vector_fst(rows, finals)


def vector_fst(rows: Sequence[Sequence[Arc]], finals: Mapping[int, float]) -> bytes:
    """An acceptor that starts in state 0; `rows` are the arcs of each state, here sorted as Vosk needs."""
    count = sum(map(len, rows))
    parts = [struct.pack("<i", _FST_MAGIC), _text("vector"), _text("standard")]
    parts.append(struct.pack("<iiQqqq", 2, 0, _EXPANDED_MUTABLE, 0, len(rows), count))
    for state, row in enumerate(rows):
        parts.append(struct.pack("<fq", finals.get(state, _NEVER), len(row)))
        arcs = [(label, label, cost, to) for label, cost, to in sorted(row, key=itemgetter(0))]
        parts.append(struct.pack("<" + "iifi" * len(arcs), *chain.from_iterable(arcs)))
    return b"".join(parts)


def read_word_list(path: Path) -> dict[str, int]:
    """A model's `words.txt`: word and number on each line. Raises BenchError when it is damaged or cut short."""
    words = {}
    try:
        for line in path.read_text(encoding="utf-8").splitlines():
            word, number = line.split()
            words[word] = int(number)
    except (OSError, ValueError) as error:
        raise _damaged(path) from error
    if _LAST not in words:
        raise _damaged(path)
    return words


def read_symbols(path: Path) -> dict[str, int]:
    """The word list inside a compiled grammar, for models that come without `words.txt`.

    Empty when the file holds none. Raises BenchError when it is damaged.
    """
    try:
        data = path.read_bytes()
        magic, at = _unpack("<i", data, 0)
        if magic != _FST_MAGIC:
            raise _damaged(path)
        for _ in range(2):
            _, at = _read_text(data, at)
        flags = struct.unpack_from("<ii", data, at)[1]
        at += struct.calcsize("<iiQqqq")
        if not flags & (_HAS_INPUT_SYMBOLS | _HAS_OUTPUT_SYMBOLS):
            return {}
        return _symbol_table(path, data, at)
    except (OSError, struct.error, UnicodeDecodeError) as error:
        raise _damaged(path) from error


def _symbol_table(path: Path, data: bytes, at: int) -> dict[str, int]:
    magic, at = _unpack("<i", data, at)
    if magic != _SYMBOLS_MAGIC:
        raise _damaged(path)
    _, at = _read_text(data, at)
    _, at = _unpack("<q", data, at)
    size, at = _unpack("<q", data, at)
    words = {}
    for _ in range(size):
        word, at = _read_text(data, at)
        words[word], at = _unpack("<q", data, at)
    return words


def _unpack(form: str, data: bytes, at: int) -> tuple[int, int]:
    return int(struct.unpack_from(form, data, at)[0]), at + struct.calcsize(form)


def _read_text(data: bytes, at: int) -> tuple[str, int]:
    length, at = _unpack("<i", data, at)
    return data[at : at + length].decode(), at + length


def _text(text: str) -> bytes:
    data = text.encode()
    return struct.pack("<i", len(data)) + data


def _damaged(path: Path) -> BenchError:
    return BenchError(
        f"{path} is damaged.", "Put a whole copy of the model in its place.", code="model_damaged"
    )
