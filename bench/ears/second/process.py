"""The helper process of the second recognizer: loads the weights, takes grammars and sounds, gives readings.

In a process of its own its arithmetic delays nothing else, and a crash or a machine too slow for it takes nothing
along. Run by `bench.ears.second.client` with the model's directory as its argument.
"""

from __future__ import annotations

import os
import queue
import sys
import threading
import time
from collections.abc import Sequence
from pathlib import Path
from typing import IO

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # read when NumPy loads; two threads wait more than they work here

import numpy as np

from bench.audio.pipes import Message, own_output, receive, send
from bench.core.notes import BenchError
from bench.data.memory import give_back
from bench.ears.second.network import Network, Pair
from bench.ears.second.packed_arcs import PackedArcs, pack
from bench.ears.second.search import Reading, search
from bench.ears.second.spelling import Spelling, written_ways
from bench.ears.second.token_graph import TokenGraph, graph_of
from bench.language.nondeterministic import NOTHING
from bench.language.write import written

_NO_LEAD = float("inf")
_BEFORE = ("", "and", "twenty")
"""Words before another that matter for how it is written: none, any, and one that takes a hyphen."""


class Decoder:
    """The network, the grammars it was given by number, and the sound it heard last. Raises BenchError."""

    def __init__(self, folder: Path) -> None:
        self._network = Network(folder)
        self._spelling = Spelling(folder)
        self._graphs: dict[int, TokenGraph] = {}
        self._sound: list[Pair] = []

    def grammar(self, number: int, arcs: PackedArcs, start: int, finals: Sequence[int]) -> None:
        """Sentences that can be said: an automaton over words, with branches."""
        words = (word for word in arcs.words if word != NOTHING)
        spelled = [text for word in words for before in _BEFORE for text in written_ways(before, word)]
        self._network.list_tokens([token for text in spelled for token in self._spelling.tokens(text)])
        self._graphs[number] = TokenGraph(arcs, start, frozenset(finals), self._spelling)

    def hear(self, sound: np.ndarray[tuple[int], np.dtype[np.int16]], number: int) -> tuple[Reading, ...]:
        """The readings of a grammar that fit a sound."""
        self._sound = self._network.encode(sound)
        return search(self._network, self._sound, self._graphs[number], self._spelling)

    def judge(self, readings: list[list[str]]) -> tuple[Reading, ...]:
        """How well these very readings fit the sound heard last."""
        graph = graph_of(readings, self._spelling)
        return search(self._network, self._sound, graph, self._spelling, len(readings), _NO_LEAD)


def main() -> None:
    """Answer until the pipe closes."""
    pipe = own_output()
    try:
        decoder = Decoder(Path(sys.argv[1]))
        decoder.grammar(0, PackedArcs(*pack([[("ready", 1)], []])), 0, [1])
        decoder.hear(np.zeros(16_000, np.int16), 0)
    except BenchError as error:
        send(pipe, {"event": "failed", "message": written(error.message), "remedy": written(error.remedy)})
        return
    send(pipe, {"event": "ready"})
    _serve(decoder, pipe)


def _serve(decoder: Decoder, pipe: IO[bytes]) -> None:
    """Do what is asked, in order; of several sounds that wait only the last is heard."""
    waiting: queue.SimpleQueue[tuple[Message, bytes] | None] = queue.SimpleQueue()
    newest = [0]
    threading.Thread(target=_collect, args=(waiting, newest), daemon=True).start()
    while (request := waiting.get()) is not None:
        message, data = request
        if message["do"] == "grammar":
            arcs = PackedArcs(message["words"], message["states"], data)
            decoder.grammar(message["number"], arcs, message["start"], message["finals"])
            give_back()
        elif message["ticket"] >= newest[0]:
            send(pipe, _answer(decoder, message, data))


def _collect(waiting: queue.SimpleQueue[tuple[Message, bytes] | None], newest: list[int]) -> None:
    while (request := receive(sys.stdin.buffer)) is not None:
        newest[0] = max(newest[0], request[0].get("ticket", 0))
        waiting.put(request)
    waiting.put(None)


def _answer(decoder: Decoder, message: Message, data: bytes) -> Message:
    began = time.monotonic()
    if message["do"] == "hear":
        found = decoder.hear(np.frombuffer(data, np.int16), message["number"])
    else:
        found = decoder.judge(message["readings"])
    return {
        "event": "found",
        "ticket": message["ticket"],
        "readings": [(list(reading.words), round(reading.score, 4)) for reading in found],
        "seconds": time.monotonic() - began,
    }


if __name__ == "__main__":
    main()
