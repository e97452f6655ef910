"""Vosk with a hard grammar for every expectation, and a background model that tells answers from other talk."""

from __future__ import annotations

import json
import shutil
from collections import OrderedDict
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError
from bench.data.memory import give_back
from bench.ears.background import Background
from bench.ears.confidence import Evidence, confidences, shares
from bench.ears.fst import Costs, grammar_fst
from bench.ears.grammar_store import GrammarStore
from bench.ears.model_directory import ModelDirectory
from bench.ears.recognizer import Recognizer
from bench.ears.vosk_library import Engine, Model
from bench.ears.vosk_model import VoskModel
from bench.language.automaton import Automaton
from bench.language.meaning import Expectation, Heard, Hypothesis

_DIRECTORIES = 24
_GIVES_BACK_EVERY = 16
"""Grammars loaded between two times that freed memory is returned, which takes some 10 ms."""


class VoskRecognizer(Recognizer):
    """Recognizes within the grammar of the current expectation. A `store` keeps grammars once they are compiled.

    `evidence` are the numbers behind the confidence of the last utterance.
    """

    def __init__(
        self,
        model: ModelDirectory,
        grammar: Callable[[Expectation], Automaton],
        store: GrammarStore | None = None,
    ) -> None:
        self._model = model
        self._grammar = grammar
        self._store = store
        self._vosk = VoskModel(model)
        self._directories: OrderedDict[Expectation, Path] = OrderedDict()
        self._loaded: Path | None = None
        self._background = Background(self._vosk, model.settings)
        with suppress(BenchError):  # told when it is needed
            self._background.load()
        self._current: Model | None = None
        self._engine: Engine | None = None
        self._samples = 0
        self._swaps = 0
        self.evidence: Evidence | None = None

    @property
    def name(self) -> str:
        """Engine and model."""
        return f"Vosk ({self._model.name})"

    def expect(self, expectation: Expectation) -> None:
        """Swap the grammar; built on first use. Raises BenchError when the model turns out to be damaged.

        Only one is kept in memory: it takes 18 MB, and loading it anew 40 ms.
        """
        self._forget()
        self._background.load()
        path = self._directory(expectation)
        if path != self._loaded:
            self._loaded = self._current = None
            self._swaps += 1
            if self._swaps % _GIVES_BACK_EVERY == 0:
                give_back()
            self._current = self._vosk.load(path)
            self._loaded = path

    def accept(self, block: Samples) -> None:
        """More sound."""
        if self._engine is None:
            if self._current is None:
                raise BenchError("The recognizer has no grammar.", "Bench tries again.", code="grammar")
            alternatives = self._model.settings.decoding.alternatives
            self._engine = Engine(self._current, RATE, alternatives)
        self._samples += len(block)
        sound = block.tobytes()
        self._engine.accept(sound)
        self._background.accept(sound)

    def partial(self) -> Heard:
        """The best path so far. Vosk decodes in steps of about 0.2 s and lags by that much."""
        if self._engine is None:
            return Heard(())
        words = json.loads(self._engine.partial())["partial"].split()
        if not words or self._model.settings.decoding.filler in words:
            return Heard((), self._seconds)
        return Heard((Hypothesis(tuple(words), 0.0),), self._seconds)

    def finish(self) -> Heard:
        """The readings, best first. None when the filler fits the sound better than the grammar."""
        if self._engine is None:
            return Heard((), self._seconds)
        result = json.loads(self._engine.final())
        heard = Heard(self._hypotheses(result), self._seconds)
        self._forget()
        return heard

    def close(self) -> None:
        """Unload everything and remove the directories."""
        self._forget()
        self._loaded = self._current = None
        self._background.close()
        self._vosk.close()

    @property
    def _seconds(self) -> float:
        return self._samples / RATE

    def _forget(self) -> None:
        self._engine = None
        self._background.forget()
        self._samples = 0

    def _hypotheses(self, result: dict[str, Any]) -> tuple[Hypothesis, ...]:
        found = [(one["text"].split(), float(one["confidence"])) for one in result.get("alternatives", ())]
        filler = self._model.settings.decoding.filler
        self.evidence = None
        if not found or not found[0][0] or filler in found[0][0]:
            return ()
        readings = [(tuple(words), score) for words, score in found if words and filler not in words]
        confidence = self._model.settings.confidence
        rival = self._background.score()
        fit = None if rival is None else (readings[0][1] - rival) / self._seconds
        self.evidence = Evidence(tuple(shares([score for _, score in readings], confidence.scale)), fit)
        sure = confidences(self.evidence, confidence.points, confidence.fit)
        return tuple(Hypothesis(words, one) for (words, _), one in zip(readings, sure, strict=True))

    def _directory(self, expectation: Expectation) -> Path:
        """The directory of the grammar, built on first use. A wide one takes 2 MB: the least recently used goes."""
        path = self._directories.pop(expectation, None)
        if path is None or not path.is_dir():
            path = self._build(expectation)
        self._directories[expectation] = path
        if len(self._directories) > _DIRECTORIES:
            shutil.rmtree(self._directories.popitem(last=False)[1], ignore_errors=True)
        return path

    def _build(self, expectation: Expectation) -> Path:
        if not self._model.grammars:
            return self._vosk.build(None)
        words, decoding = self._vosk.words, self._model.settings.decoding
        costs = Costs(decoding.word_cost, decoding.filler_cost, decoding.hesitation_cost)

        def made() -> bytes:
            return grammar_fst(self._grammar(expectation), words, costs, decoding.filler)

        if self._store is None:
            return self._vosk.build(made())
        weights = repr((words, costs, decoding.filler)).encode()
        return self._vosk.build(self._store.compiled(expectation, weights, made))
