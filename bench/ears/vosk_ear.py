"""Vosk with a hard grammar for every expectation.

Vosk reads a grammar only as part of a model directory. So each expectation gets a directory of its own: links
to the model's files, a `Gr.fst` made from the language's automaton, and a `model.conf` in which Vosk's own
end-of-speech rules are switched off, because the ears decide when an utterance is over. Loading takes 10 ms.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import Any

from bench.core.notes import BenchError
from bench.ears.confidence import calibrated, shares
from bench.ears.fst import Costs, grammar_fst, read_symbols, read_word_list
from bench.ears.model_directory import ModelDirectory
from bench.ears.recognizer import RATE, Samples
from bench.language.automaton import Automaton
from bench.language.meaning import Expectation, Heard, Hypothesis

_KEPT = 4
"""Grammars kept loaded, a few megabytes each."""
_OURS = (
    *(f"--endpoint.rule{rule}.min-trailing-silence=1000" for rule in (1, 2, 3, 4)),
    "--endpoint.rule5.min-utterance-length=1000",
    "--phone-determinize=false",
    "--max-mem=3000000",
)
"""No end of speech of Vosk's own. No lattice of phones, which grows without bound in the filler, and a bound
on that of words: in loud noise, where everything sounds a little like everything, it outlasted the speech."""
_REMEDY = "Run `bench model verify`; put a whole copy of the model in its place, or use --ear pocketsphinx."


class VoskRecognizer:
    """Hears within the grammar of the current expectation. `unknown` are grammar words the model lacks."""

    streams = True

    def __init__(self, model: ModelDirectory, grammar: Callable[[Expectation], Automaton]) -> None:
        self._vosk = _quiet_vosk()
        self._model = model
        self._grammar = grammar
        self._folder = Path(tempfile.mkdtemp(prefix="bench-ears-"))
        self._words = _word_list(model)
        self._directories: dict[Expectation, Path] = {}
        self._loaded: OrderedDict[Path, Any] = OrderedDict()
        self._current: Any = None
        self._engine: Any = None
        self._samples = 0
        self.unknown: set[str] = set()

    @property
    def name(self) -> str:
        """Engine and model."""
        return f"Vosk ({self._model.name})"

    def expect(self, expectation: Expectation) -> None:
        """Swap the grammar; built on first use. Raises BenchError when the model turns out to be damaged."""
        if expectation not in self._directories:
            self._directories[expectation] = self._build(expectation)
        path = self._directories[expectation]
        if path not in self._loaded:
            self._loaded[path] = self._load(path)
        self._loaded.move_to_end(path)
        while len(self._loaded) > _KEPT:
            self._loaded.popitem(last=False)
        self._current = self._loaded[path]
        self._engine = None
        self._samples = 0

    def accept(self, block: Samples) -> None:
        """More sound."""
        if self._engine is None:
            self._engine = self._new_engine()
        self._samples += len(block)
        self._engine.AcceptWaveform(block.tobytes())

    def partial(self) -> Heard:
        """The best path so far; Vosk decodes in steps of about 0.2 s, so it lags by that much."""
        if self._engine is None:
            return Heard(())
        words = json.loads(self._engine.PartialResult())["partial"].split()
        if not words or self._model.settings.decoding.filler in words:
            return Heard((), self._seconds)
        return Heard((Hypothesis(tuple(words), 0.0),), self._seconds)

    def finish(self) -> Heard:
        """The readings, best first; none when the filler explains the sound better than the grammar does."""
        engine, self._engine = self._engine, None
        seconds, self._samples = self._seconds, 0
        if engine is None:
            return Heard((), seconds)
        return Heard(self._hypotheses(json.loads(engine.FinalResult())), seconds)

    def close(self) -> None:
        """Unload everything and remove the directories."""
        self._engine = self._current = None
        self._loaded.clear()
        shutil.rmtree(self._folder, ignore_errors=True)

    @property
    def _seconds(self) -> float:
        return self._samples / RATE

    def _hypotheses(self, result: dict[str, Any]) -> tuple[Hypothesis, ...]:
        alternatives = [
            (one["text"].split(), float(one["confidence"])) for one in result.get("alternatives", ())
        ]
        filler = self._model.settings.decoding.filler
        if not alternatives or not alternatives[0][0] or filler in alternatives[0][0]:
            return ()
        confidence = self._model.settings.confidence
        readings = []
        parts = shares([score for _, score in alternatives], confidence.scale)
        for (words, _), share in zip(alternatives, parts, strict=True):
            if words and filler not in words:
                readings.append(Hypothesis(tuple(words), calibrated(share, confidence.points)))
        return tuple(readings)

    def _new_engine(self) -> Any:
        if self._current is None:
            raise RuntimeError("expect() comes before accept()")
        engine = _made(lambda: self._vosk.KaldiRecognizer(self._current, RATE), self._model)
        engine.SetMaxAlternatives(self._model.settings.decoding.alternatives)
        return engine

    def _load(self, path: Path) -> Any:
        model = _made(lambda: self._vosk.Model(str(path)), self._model)
        # Vosk notices a damaged graph only when it makes a recogniser of it.
        _made(lambda: self._vosk.KaldiRecognizer(model, RATE), self._model)
        return model

    def _build(self, expectation: Expectation) -> Path:
        path = self._folder / str(len(self._directories))
        source = self._model.path
        for name in ("am/final.mdl", "conf/mfcc.conf"):
            _link(source / name, path / name)
        if (source / "ivector").is_dir():
            shutil.copytree(source / "ivector", path / "ivector", copy_function=_link)
        for file in (source / "graph").rglob("*"):
            if file.is_file() and not (self._model.grammars and file.name in ("Gr.fst", "words.txt")):
                _link(file, path / file.relative_to(source))
        _write_conf(source / "conf" / "model.conf", path / "conf" / "model.conf")
        if self._model.grammars:
            self._write_grammar(path / "graph", self._grammar(expectation))
        return path

    def _write_grammar(self, folder: Path, grammar: Automaton) -> None:
        decoding = self._model.settings.decoding
        self.unknown |= {word for out in grammar.arcs for word in out if word not in self._words}
        costs = Costs(decoding.word_cost, decoding.filler_cost, decoding.hesitation_cost)
        (folder / "Gr.fst").write_bytes(grammar_fst(grammar, self._words, costs, decoding.filler))
        lines = "".join(f"{word} {number}\n" for word, number in self._words.items())
        (folder / "words.txt").write_text(lines, encoding="utf-8")


def _quiet_vosk() -> Any:
    try:
        import vosk
    except ImportError as error:
        remedy = "Install it with `pip install vosk`, or use --ear pocketsphinx."
        raise BenchError("The recogniser Vosk is not installed.", remedy, code="vosk_missing") from error
    except OSError as error:
        remedy = "It has no library for this machine; use --ear pocketsphinx."
        raise BenchError(
            f"The recogniser Vosk cannot be loaded: {error}", remedy, code="vosk_missing"
        ) from error
    vosk.SetLogLevel(-1)
    return vosk


def _made(make: Callable[[], Any], model: ModelDirectory) -> Any:
    """What `make` makes. Vosk raises a bare Exception when it cannot read a model."""
    try:
        return make()
    except Exception as error:
        raise BenchError(
            f"The model {model.path} cannot be loaded.", _REMEDY, code="model_damaged"
        ) from error


def _word_list(model: ModelDirectory) -> dict[str, int]:
    if not model.grammars:
        return {}
    listed = model.path / "graph" / "words.txt"
    words = read_word_list(listed) if listed.is_file() else read_symbols(model.path / "graph" / "Gr.fst")
    if not words:
        raise BenchError(f"The model {model.path} has no list of words.", _REMEDY, code="model_damaged")
    return words


def _write_conf(source: Path, target: Path) -> None:
    lines = source.read_text(encoding="utf-8").splitlines()
    kept = [
        line for line in lines if not line.startswith(("--endpoint.rule", "--phone-determinize", "--max-mem"))
    ]
    if not any(line.startswith("--endpoint.silence-phones=") for line in kept):
        raise BenchError(f"{source} names no silence phones.", _REMEDY, code="model_damaged")
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text("\n".join([*kept, *_OURS, ""]), encoding="utf-8")


def _link(source: str | Path, target: str | Path) -> None:
    """A link where the system allows one without special rights, else a copy."""
    Path(target).parent.mkdir(parents=True, exist_ok=True)
    try:
        os.symlink(Path(source).resolve(), target)
    except OSError:
        shutil.copyfile(source, target)
