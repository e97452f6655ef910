"""Which recognizer listens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.ears.model_directory import damaged_files, find_model, model_directory
from bench.ears.recognizer import Recognizer
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.automaton import Automaton
from bench.language.grammar import grammar_automaton
from bench.language.meaning import Expectation

EARS = ("auto", "vosk")


def recognizer(ear: str = "auto", model: Path | str | None = None) -> Recognizer:
    """The recognizer named by `ear`; `model` is a Vosk model directory, else the one that comes with Bench.

    Raises BenchError saying what is missing and what to do.
    """
    if ear not in EARS:
        raise BenchError(f"There is no ear called {ear!r}.", f"Choose one of {', '.join(EARS)}.")
    return _vosk(model)


def _vosk(model: Path | str | None) -> VoskRecognizer:
    path = model if model is not None else find_model()
    if path is None:
        remedy = "Install Bench again, or name a Vosk model directory with --model. The keys work without it."
        raise BenchError("The speech model that comes with Bench is not there.", remedy, code="model_missing")
    directory = model_directory(path)
    damaged = damaged_files(directory)
    if damaged:
        remedy = "Put a whole copy of the model in its place. The keys work without it."
        raise BenchError(f"The model {path} is damaged: {', '.join(damaged)}.", remedy, code="model_damaged")
    return VoskRecognizer(directory, _grammar())


def _grammar() -> Callable[[Expectation], Automaton]:
    words = lexicon()
    return lambda expectation: grammar_automaton(expectation, words)
