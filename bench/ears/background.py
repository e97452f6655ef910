"""The background model: a free loop of phones, scored beside every hypothesis.

A phrase of the grammar has almost the likelihood of the best sequence of phones, other talk a far lower one. The
difference of the two log likelihoods, per second of sound, tells whether it was one of the phrases at all.
"""

from __future__ import annotations

import json

from bench.audio.samples import RATE
from bench.ears.fst import vector_fst
from bench.ears.model_directory import ModelSettings
from bench.ears.vosk_library import Engine, Model
from bench.ears.vosk_model import VoskModel

_FAST = ("--beam=6", "--lattice-beam=0.1")
"""Only the score of the best path is needed, so narrow beams do."""


class Background:
    """Scores the sound that a recognizer hears. Does nothing for a model without phones in its settings."""

    def __init__(self, vosk: VoskModel, settings: ModelSettings) -> None:
        self._vosk = vosk
        self._loaded: Model | None = None
        self._engine: Engine | None = None
        background, words = settings.background, vosk.words
        self._costs = {words[sound]: background.sound_cost for sound in background.sounds if sound in words}
        if self._costs and settings.decoding.filler in words:
            self._costs[words[settings.decoding.filler]] = background.filler_cost

    def load(self) -> None:
        """Load it unless it is loaded. Raises BenchError when the model is damaged."""
        if self._costs and self._loaded is None:
            loop = [(word, cost, 0) for word, cost in self._costs.items()]
            self._loaded = self._vosk.load(self._vosk.build(vector_fst([loop], {0: 0.0}), _FAST))

    def accept(self, sound: bytes) -> None:
        """More sound."""
        if self._loaded is None:
            return
        if self._engine is None:
            self._engine = Engine(self._loaded, RATE, 1)
        self._engine.accept(sound)

    def score(self) -> float | None:
        """The log likelihood of the best phones, ending the utterance; None for a model without phones."""
        engine, self._engine = self._engine, None
        found = json.loads(engine.final()).get("alternatives") if engine is not None else None
        return float(found[0]["confidence"]) if found else None

    def forget(self) -> None:
        """Drop an utterance that was begun."""
        self._engine = None

    def close(self) -> None:
        """Unload."""
        self._engine = self._loaded = None
