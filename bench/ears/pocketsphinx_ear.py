"""PocketSphinx with a grammar for every expectation: needs no model of ours, its wheel carries one.

A grammar forces everything into it. What is not in the grammar is told by the score instead: PocketSphinx
counts every frame against the best-fitting sound of all English (0 is a perfect fit), and what was forced in
fits badly.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError
from bench.ears.confidence import calibrated
from bench.language.automaton import Automaton
from bench.language.meaning import Expectation, Heard, Hypothesis

SEARCH = {
    "beam": 1e-35,
    "pbeam": 1e-35,
    "wbeam": 1e-15,
    "maxhmmpf": 2000,
    "bestpath": False,
    "silprob": 0.5,
    "wip": 0.2,
}
"""Narrower beams than PocketSphinx's own: on a grammar of numbers those take longer than the speech lasts.

`bestpath` would leave the grammar: it ends paths where the utterance may not end. Quiet must cost less than
a short word put in its place. Measured by tests/benchmarks/hearing.py.
"""
WORD = 0.001
"""Probability of going on with one more word."""
FIT = ((-6.5, 0.0), (-5.0, 0.12), (-4.0, 0.35), (-3.5, 0.45), (-2.8, 0.55), (-2.3, 0.8), (-1.7, 0.92))
"""Fit of the words to the sound, log likelihood a frame -> how often the reading is right.

Counted on a quarter of the clips of tests/benchmarks/hearing.py, clean and at 15 dB. In louder noise it is worse.
"""
_SCORE_UNIT = 1024
"""PocketSphinx counts acoustic scores in units of two to the tenth (SENSCR_SHIFT in its source)."""
_KEPT = 12
_SILENCE = "<[("


class PocketSphinxRecognizer:
    """Collects an utterance and decodes it whole when asked. `unknown` are words without a pronunciation."""

    streams = False

    def __init__(
        self, grammar: Callable[[Expectation], Automaton], pronunciations: Mapping[str, str] | None = None
    ) -> None:
        self._decoder = _decoder()
        self._grammar = grammar
        self._pronunciations = pronunciations or {}
        self._searches: OrderedDict[Expectation, str] = OrderedDict()
        self._numbered = 0
        self._blocks: list[Samples] = []
        self._decoded: tuple[int, Heard] | None = None
        self.unknown: set[str] = set()

    @property
    def name(self) -> str:
        """The engine."""
        return "PocketSphinx (its own English model)"

    def expect(self, expectation: Expectation) -> None:
        """Swap the grammar; built on first use."""
        self._forget()
        if expectation not in self._searches:
            self._searches[expectation] = self._build(self._grammar(expectation))
        self._searches.move_to_end(expectation)
        self._decoder.activate_search(self._searches[expectation])
        while len(self._searches) > _KEPT:
            self._decoder.remove_search(self._searches.popitem(last=False)[1])

    def accept(self, block: Samples) -> None:
        """More sound."""
        self._blocks.append(block)

    def partial(self) -> Heard:
        """The sound so far decoded whole: about a tenth of its length in time."""
        count = sum(map(len, self._blocks))
        if self._decoded is None or self._decoded[0] != count:
            self._decoded = (count, self._decode())
        return self._decoded[1]

    def finish(self) -> Heard:
        """The reading; none when it does not fit the sound."""
        heard = self.partial()
        self._forget()
        return heard

    def close(self) -> None:
        """Nothing is kept outside memory."""
        self._forget()

    def _forget(self) -> None:
        self._blocks = []
        self._decoded = None

    def _decode(self) -> Heard:
        if not self._blocks:
            return Heard(())
        sound = np.concatenate(self._blocks)
        self._decoder.start_utt()
        self._decoder.process_raw(sound.tobytes(), full_utt=True)
        self._decoder.end_utt()
        seconds = len(sound) / RATE
        if self._decoder.hyp() is None:
            return Heard((), seconds)
        parts = [part for part in self._decoder.seg() if part.word[0] not in _SILENCE]
        frames = sum(part.end_frame - part.start_frame + 1 for part in parts)
        if not frames:
            return Heard((), seconds)
        fit = _SCORE_UNIT * sum(math.log(max(part.ascore, 1e-300)) for part in parts) / frames
        confidence = calibrated(fit, FIT)
        if confidence <= 0:
            return Heard((), seconds)
        words = tuple(part.word.split("(")[0] for part in parts)
        return Heard((Hypothesis(words, confidence),), seconds)

    def _build(self, grammar: Automaton) -> str:
        """A finite-state search. An arc into a final state is doubled by one into the only end."""
        end = len(grammar.arcs)
        arcs = []
        for state, out in enumerate(grammar.arcs):
            for word, to in out.items():
                # Words that change nothing ("uh") cost it more errors and time than they are worth.
                if to == state or not self._known(word):
                    continue
                arcs.append((state, to, WORD, word))
                if to in grammar.finals:
                    arcs.append((state, end, WORD, word))
        name = f"grammar{self._numbered}"
        self._numbered += 1
        self._decoder.add_fsg(name, self._decoder.create_fsg(name, 0, end, arcs))
        return name

    def _known(self, word: str) -> bool:
        if self._decoder.lookup_word(word) is not None:
            return True
        if word in self._pronunciations:
            # True makes the running search read the dictionary again; the new search is not running yet.
            self._decoder.add_word(word, self._pronunciations[word], False)
            return True
        self.unknown.add(word)
        return False


def _decoder() -> Any:
    try:
        import pocketsphinx
    except (ImportError, OSError) as error:
        remedy = "Install it with `pip install pocketsphinx`."
        raise BenchError(
            "The recogniser PocketSphinx is not installed.", remedy, code="pocketsphinx_missing"
        ) from error
    try:
        return pocketsphinx.Decoder(samprate=RATE, lm=None, loglevel="FATAL", **SEARCH)
    except RuntimeError as error:
        message = "The English model inside PocketSphinx cannot be loaded."
        raise BenchError(message, "Install pocketsphinx again.", code="pocketsphinx_missing") from error
