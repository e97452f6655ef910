"""Which recognizer listens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.dialogue.events import Failed, Recovered
from bench.ears.ear_events import SecondListening
from bench.ears.grammar_store import GrammarStore
from bench.ears.joint import JointConfidence, Weights
from bench.ears.model_directory import damaged_files, find_model, model_directory
from bench.ears.recognizer import Recognizer
from bench.ears.second.client import PATIENCE, SecondRecognizer, Tell
from bench.ears.second.model import find_second, second_model
from bench.ears.sense import literal, phrases
from bench.ears.two_recognizers import TwoRecognizers
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.automaton import Automaton
from bench.language.grammar import grammar_branches, plain_automaton
from bench.language.meaning import Expectation

_OFFLINE = 60.0
"""Seconds that a recording may take to be heard."""

EARS = ("auto", "vosk")
Grammar = Callable[[Expectation], Automaton]


def recognizer(
    ear: str = "auto",
    model: Path | str | None = None,
    second: Path | None = None,
    tell: Tell | None = None,
    grammar: Grammar | None = None,
) -> Recognizer:
    """The recognizer named by `ear`: "vosk" hears alone, "auto" has the second recognizer beside it.

    The first recognizer knows the phrases in plain words, the second also with what people say around them.

    `model` is a Vosk model directory and `second` one of the second recognizer, else those that come with Bench.
    `grammar` tells what can be said now, else the phrases of Bench do.
    The second recognizer comes up by itself, and `tell` hears of its outages; without `tell` it is waited for.
    Raises BenchError saying what is missing and what to do; what ails the second recognizer, only without `tell`.
    """
    if ear not in EARS:
        raise BenchError(f"There is no ear called {ear!r}.", f"Choose one of {', '.join(EARS)}.")
    words = lexicon()
    senses = literal if grammar else phrases(words)
    store = None if grammar else GrammarStore()
    first = _vosk(model, grammar or (lambda expectation: plain_automaton(expectation, words)), store)
    if ear == "vosk":
        return first
    told: list[Failed | Recovered | SecondListening] = []
    folder = second or find_second()
    client = SecondRecognizer(
        folder,
        lambda expectation: (
            grammar(expectation).branches() if grammar else grammar_branches(expectation, words)
        ),
        tell or told.append,
        _OFFLINE if tell is None else PATIENCE,
    )
    both = TwoRecognizers(first, client, _confidence(folder), senses)
    if tell is None and not both.wait():
        both.close()
        failed = [event for event in told if isinstance(event, Failed)]
        message = failed[-1].message if failed else "The second recognizer does not start."
        remedy = "Run `bench model verify`, or take one recognizer: --ear vosk."
        raise BenchError(message, remedy, code="second_failed")
    return both


def _confidence(folder: Path | None) -> JointConfidence:
    try:
        weights = second_model(folder).confidence if folder else Weights()
    except BenchError:
        weights = Weights()  # the second recognizer tells what is wrong
    return JointConfidence(weights, frozenset(lexicon().hesitations))


def _vosk(model: Path | str | None, grammar: Grammar, store: GrammarStore | None) -> VoskRecognizer:
    path = model if model is not None else find_model()
    if path is None:
        remedy = "Install Bench again, or name a Vosk model directory with --model. The keys work without it."
        raise BenchError("The speech model that comes with Bench is not there.", remedy, code="model_missing")
    directory = model_directory(path)
    damaged = damaged_files(directory)
    if damaged:
        remedy = f"Put a whole copy of the model into {directory.path}. The keys work without it."
        raise BenchError(f"The speech model is damaged: {', '.join(damaged)}.", remedy, code="model_damaged")
    return VoskRecognizer(directory, grammar, store)
