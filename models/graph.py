"""The decoding graph of a Vosk model with run-time grammars: words as phones, without a grammar.

Words form a loop with optional silence between them. Their label is on their first phone, so that composition with a
grammar expands only allowed words. The filler word is a single phone, which the network learned on out-of-vocabulary
words.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from models.kaldi import forward_id, loop_id
from models.units import FILLER, KALDI_NUMBER, KALDI_PHONES, NOISE, PHONES, SILENCE, boundary, placed

SOUNDS = {f"[{phone.lower()}]": [(phone,)] for phone in PHONES}
"""Words of a single phone, used for the background model that hypotheses are compared with."""

Arc = tuple[int, int, float, int]
"""Input label, output label, cost, next state."""


@dataclass(frozen=True)
class Costs:
    """Natural-log costs of the graph's choices."""

    silence: float = math.log(2)
    variant: float = 0.25
    """Extra cost per position of a pronunciation in the list."""


@dataclass
class Graph:
    """States with their arcs, and final costs."""

    arcs: list[list[Arc]] = field(default_factory=list)
    finals: dict[int, float] = field(default_factory=dict)

    def state(self) -> int:
        """Add a state and return it."""
        self.arcs.append([])
        return len(self.arcs) - 1

    def phone(self, begin: int, phone: str, label: int = 0, cost: float = 0.0, end: int | None = None) -> int:
        """Add a phone of one or more frames after `begin`. Returns the state after it."""
        number = KALDI_NUMBER[phone]
        inside = self.state()
        self.arcs[begin].append((forward_id(number), label, cost, inside))
        self.arcs[inside].append((loop_id(number), 0, 0.0, inside))
        if end is not None:
            self.arcs[inside].append((0, 0, 0.0, end))
        return inside


def word_numbers(words: Sequence[str]) -> dict[str, int]:
    """The numbering of words in `words.txt`."""
    listed = ["<eps>", *sorted(set(words)), FILLER, *SOUNDS, "#0", "<s>", "</s>"]
    return {word: number for number, word in enumerate(listed)}


def word_graph(
    prons: Mapping[str, Sequence[tuple[str, ...]]], numbers: Mapping[str, int], costs: Costs
) -> Graph:
    """The loop of all words."""
    graph = Graph()
    start, hub, end = graph.state(), graph.state(), graph.state()
    for begin in (start, end):
        graph.phone(begin, SILENCE, cost=costs.silence, end=hub)
        graph.arcs[begin].append((0, 0, math.log(2), hub))
    graph.finals[hub] = 0.0
    for word, several in sorted(prons.items()):
        for place, phones in enumerate(several):
            at, label, cost = hub, numbers[word], place * costs.variant
            for phone in placed(phones):
                at = graph.phone(at, phone, label, cost)
                label, cost = 0, 0.0
            graph.arcs[at].append((0, 0, 0.0, end))
    graph.phone(hub, NOISE, numbers[FILLER], end=end)
    return graph


def vector_fst(graph: Graph) -> bytes:
    """Serialize as OpenFst's `VectorFst<StdArc>`, with arcs sorted by output label for composition with a grammar."""
    count = sum(map(len, graph.arcs))
    parts = [struct.pack("<i", 2_125_659_606), _text("vector"), _text("standard")]
    parts.append(struct.pack("<iiQqqq", 2, 0, 3, 0, len(graph.arcs), count))
    for state, arcs in enumerate(graph.arcs):
        parts.append(struct.pack("<fq", graph.finals.get(state, math.inf), len(arcs)))
        parts += [struct.pack("<iifi", *arc) for arc in sorted(arcs, key=lambda arc: arc[1])]
    return b"".join(parts)


def read_vector_fst(data: bytes) -> Graph:
    """Read the output of `vector_fst`. The start state is 0."""
    at = 4
    for _ in range(2):
        at += 4 + struct.unpack_from("<i", data, at)[0]
    states = struct.unpack_from("<iiQqqq", data, at)[4]
    at += struct.calcsize("<iiQqqq")
    graph = Graph()
    for state in range(states):
        final, count = struct.unpack_from("<fq", data, at)
        at += 12
        graph.state()
        graph.arcs[state] = [struct.unpack_from("<iifi", data, at + 16 * one) for one in range(count)]
        at += 16 * count
        if final != math.inf:
            graph.finals[state] = final
    return graph


def _text(text: str) -> bytes:
    return struct.pack("<i", len(text)) + text.encode()


def write_graph(folder: Path, prons: Mapping[str, Sequence[tuple[str, ...]]], costs: Costs) -> None:
    """Write the model's `graph/`, with a `Gr.fst` that allows every word (Bench replaces it with its grammars)."""
    (folder / "phones").mkdir(parents=True, exist_ok=True)
    numbers = word_numbers(list(prons))
    _lines(folder / "words.txt", [f"{word} {number}" for word, number in numbers.items()])
    _lines(folder / "phones.txt", ["<eps> 0", *(f"{phone} {KALDI_NUMBER[phone]}" for phone in KALDI_PHONES)])
    _lines(
        folder / "phones" / "word_boundary.int", [f"{KALDI_NUMBER[p]} {boundary(p)}" for p in KALDI_PHONES]
    )
    # No disambiguation symbols are needed, but Kaldi does not accept an empty list.
    _lines(folder / "disambig_tid.int", [str(2 * len(KALDI_PHONES) + 1)])
    _lines(folder / "lexicon.txt", [" ".join((word, *way)) for word in sorted(prons) for way in prons[word]])
    (folder / "HCLr.fst").write_bytes(vector_fst(word_graph({**prons, **SOUNDS}, numbers, costs)))
    anything = Graph([[]], {0: 0.0})
    cost = math.log(len(prons))
    anything.arcs[0] = [(numbers[word], numbers[word], cost, 0) for word in prons]
    (folder / "Gr.fst").write_bytes(vector_fst(anything))


def read_lexicon(path: Path) -> dict[str, list[tuple[str, ...]]]:
    """The pronunciations of every word, as written by `write_graph`."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        word, *phones = line.split()
        found.setdefault(word, []).append(tuple(phones))
    return found


def _lines(path: Path, lines: Sequence[str]) -> None:
    path.write_text("".join(line + "\n" for line in lines), encoding="utf-8")
