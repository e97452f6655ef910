"""Which recogniser listens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.ears.model_directory import damaged_files, find_model, model_directory
from bench.ears.pocketsphinx_ear import PocketSphinxRecognizer
from bench.ears.recognizer import Recognizer
from bench.ears.tuning import tuned
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.automaton import Automaton
from bench.language.grammar import grammar_automaton
from bench.language.meaning import Expectation

EARS = ("auto", "vosk", "pocketsphinx")


def recognizer(ear: str = "auto", model: Path | str | None = None) -> Recognizer:
    """As `untuned`, then tuned to the person when `bench model adapt` learned their voice with it."""
    chosen = untuned(ear, model)
    try:
        return tuned(chosen)
    except BenchError:
        chosen.close()
        raise


def untuned(ear: str = "auto", model: Path | str | None = None) -> Recognizer:
    """The recogniser named by `ear`; `model` is a Vosk model directory, else the one that comes with Bench.

    "auto" is Vosk when a whole model is there and loads, else PocketSphinx; a `model` that was asked for is
    never passed over. Raises BenchError saying what is missing and what to do.
    """
    if ear == "vosk" or (ear == "auto" and model is not None):
        return _vosk(model)
    if ear == "pocketsphinx":
        return _pocketsphinx()
    if ear != "auto":
        raise BenchError(f"There is no ear called {ear!r}.", f"Choose one of {', '.join(EARS)}.")
    try:
        return _vosk(None)
    except BenchError as vosk_trouble:
        try:
            return _pocketsphinx()
        except BenchError:
            raise vosk_trouble from None


def _vosk(model: Path | str | None) -> Recognizer:
    path = model if model is not None else find_model()
    if path is None:
        remedy = "Name a Vosk model directory with --model, or use --ear pocketsphinx."
        raise BenchError("The speech model that comes with Bench is not there.", remedy, code="model_missing")
    directory = model_directory(path)
    damaged = damaged_files(directory)
    if damaged:
        remedy = "Put a whole copy of the model in its place, or use --ear pocketsphinx."
        raise BenchError(f"The model {path} is damaged: {', '.join(damaged)}.", remedy, code="model_damaged")
    return VoskRecognizer(directory, _grammar())


def _pocketsphinx() -> Recognizer:
    return PocketSphinxRecognizer(_grammar(), lexicon().pronunciations)


def _grammar() -> Callable[[Expectation], Automaton]:
    words = lexicon()
    return lambda expectation: grammar_automaton(expectation, words)
