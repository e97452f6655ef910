"""Stage 4: measure accuracy on held-out people and voices. `python -m models.measure [MODEL]`

Each set is recognized with the grammar of one dialogue state. Clips are whole, with silence before and after, like
those from the ears.
"""

from __future__ import annotations

import argparse
import json
import time
import tomllib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, partial
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from bench.core.lengths import Units
from bench.data.phrases import lexicon
from bench.ears.model_directory import model_directory
from bench.ears.vosk_ear import VoskRecognizer
from bench.language.automaton import automaton
from bench.language.meaning import Expectation, Heard, Kind
from bench.language.measures import angle, count, length
from bench.language.nodes import Act, Alt, Node, Utterance, seq
from bench.language.sentences import readings
from models.corpus import HERE, RECORDINGS
from models.speak import read_speech

RATE = 16_000


@dataclass(frozen=True, eq=False)
class Trial:
    """A clip and its transcript, None for talk that is not for the assistant."""

    samples: np.ndarray
    words: tuple[str, ...] | None
    source: str

    @property
    def said(self) -> tuple[str, ...]:
        """The words, empty for talk."""
        return self.words or ()


@dataclass(frozen=True)
class Test:
    """Trials recognized with one grammar."""

    name: str
    node: Node
    trials: tuple[Trial, ...]


@dataclass(frozen=True)
class Outcome:
    """The result of one trial."""

    trial: Trial
    heard: Heard
    right: bool


def listen(model: Path, node: Node, trials: Sequence[Trial]) -> tuple[list[Outcome], float]:
    """The outcome of every trial, and the real-time factor."""
    root = node if isinstance(node, Utterance) else Utterance(node, lexicon().hesitations)
    machine = automaton(root)
    ear = VoskRecognizer(model_directory(model), lambda _: machine)
    ear.expect(Expectation(Kind.COMMAND))
    done, sound, begin = [], 0, time.process_time()
    for number, trial in enumerate(trials):
        samples = with_quiet(trial.samples, number)
        sound += len(samples)
        ear.accept(samples)
        heard = ear.finish()
        done.append(Outcome(trial, heard, _right(root, trial, heard)))
    ear.close()
    return done, (time.process_time() - begin) / (sound / RATE)


def with_quiet(samples: np.ndarray, seed: int) -> np.ndarray:
    """The samples with 0.4 s of faint hiss before and 0.5 s after."""
    rng = np.random.default_rng(seed)
    out = rng.standard_normal(len(samples) + 14_400) * 4
    out[6400 : 6400 + len(samples)] += samples
    return np.clip(np.round(out), -32768, 32767).astype(np.int16)


def noisy(trials: Sequence[Trial], decibels: float) -> tuple[Trial, ...]:
    """The trials with held-out noises added. The SNR refers to the louder half of the clip."""
    out = []
    for number, trial in enumerate(trials):
        rng = np.random.default_rng(1000 + number)
        noise = _noises()[number % len(_noises())]
        begin = rng.integers(len(noise))
        noise = np.resize(np.roll(noise, -begin), len(trial.samples))
        speech = trial.samples.astype(float)
        loud = np.sqrt(np.mean(np.sort(speech**2)[len(speech) // 2 :]))
        mixed = speech + noise * loud / (noise.std() + 1e-9) * 10 ** (-decibels / 20)
        mixed *= min(1, 32_000 / np.abs(mixed).max())
        out.append(Trial(mixed.astype(np.int16), trial.words, trial.source))
    return tuple(out)


def _right(root: Utterance, trial: Trial, heard: Heard) -> bool:
    """Whether the best hypothesis has the right meaning or, for talk, whether nothing was accepted."""
    if trial.words is None:
        return not heard.hypotheses
    if not heard.hypotheses:
        return False
    return readings(root, heard.hypotheses[0].words)[:1] == readings(root, trial.words)[:1]


@cache
def _noises() -> list[np.ndarray]:
    training = set(_lists()["training"]["noises"])
    files = sorted(file for file in (RECORDINGS / "noise").glob("*.flac") if file.stem not in training)
    return [soundfile.read(file, dtype="int16")[0].astype(float) for file in files]


@cache
def _lists() -> dict[str, Any]:
    return tomllib.loads((HERE / "heldout.toml").read_text(encoding="utf-8"))


@cache
def recordings() -> tuple[dict[str, Any], ...]:
    """Manifest lines of held-out speech, with absolute paths."""
    trained = set(_lists()["training"]["speakers"])
    rows = []
    for folder in (RECORDINGS, RECORDINGS / "share-alike"):
        for line in (folder / "manifest.jsonl").read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            if row["kind"] == "speech" and str(row["speaker"]) not in trained:
                rows.append({**row, "path": folder / row["path"]})
    return tuple(rows)


def people(source: str, keep: Callable[[str], bool] = lambda _: True) -> tuple[Trial, ...]:
    """Held-out people of one source."""
    return tuple(
        Trial(soundfile.read(row["path"], dtype="int16")[0], tuple(row["text"].lower().split()), source)
        for row in recordings()
        if row["source"] == source and row["text"] and keep(row["text"].lower())
    )


def talk(seconds: float = 4.0) -> tuple[Trial, ...]:
    """The first `seconds` of recordings of people talking to somebody else."""
    sources = ("librispeech", "ljspeech", "wuw-corpus-ii", "wake-word-benchmark")
    return tuple(
        Trial(soundfile.read(row["path"], dtype="int16")[0][: round(seconds * RATE)], None, row["source"])
        for row in recordings()
        if row["source"] in sources
    )


def said_by_voices(path: Path) -> tuple[Trial, ...]:
    """Phrases spoken by held-out synthetic voices."""
    return tuple(Trial(samples, tuple(row["words"]), row["voice"]) for row, samples in read_speech(path))


def one_of(trials: Sequence[Trial]) -> Node:
    """The grammar of exactly the transcripts of the trials."""
    return any_of(sorted({" ".join(trial.words) for trial in trials if trial.words}))


def any_of(texts: Sequence[str]) -> Node:
    """The grammar of these texts, with each text as its meaning."""
    return Alt(tuple(Act(seq(text), partial(str, text)) for text in texts))


@cache
def numbers() -> Node:
    """The grammar of any measurement, angle or count."""
    return Alt((length(Fraction(120), Units.INCH), angle(Fraction(90)), count(None)))


@cache
def phrases() -> Node:
    """The grammar of any fixed phrase of the product."""
    known = lexicon()
    tables = {**known.commands, **known.choices, **known.sizes, "yes": known.yes, "no": known.no}
    return Alt(tuple(_means(key, known.tree(one)) for key, many in tables.items() for one in many))


def _means(key: str, node: Node) -> Node:
    return Act(node, lambda *_: key)


def tests(voices: Path | None) -> Iterator[Test]:
    """All test sets."""
    spoken = people("speech-commands")
    digits = tuple(trial for trial in spoken if trial.said[0] in _DIGITS)
    commands = tuple(trial for trial in spoken if trial.said[0] in _COMMANDS)
    yield Test("one of 35 words", one_of(spoken), spoken)
    yield Test("digits", any_of(_DIGITS), digits)
    yield Test("commands", any_of(_COMMANDS), commands)
    yield Test("digits, 6 dB", any_of(_DIGITS), noisy(digits, 6))
    yield Test("commands, 6 dB", any_of(_COMMANDS), noisy(commands, 6))
    digits = people("fsdd")
    yield Test("other digits", any_of(_DIGITS), digits)
    yield Test("other digits among all numbers", numbers(), digits)
    words = people("asterisk-core-sounds-en")
    yield Test("number words", one_of(words), words)
    yield Test("talk left alone", phrases(), talk())
    if voices:
        several = said_by_voices(voices)
        amounts = tuple(trial for trial in several if readings(Utterance(numbers()), trial.said))
        fixed = tuple(
            trial for trial in several if trial not in amounts and readings(Utterance(phrases()), trial.said)
        )
        yield Test("whole measurements", numbers(), amounts)
        yield Test("whole measurements, 6 dB", numbers(), noisy(amounts, 6))
        yield Test("fixed phrases", phrases(), fixed)


_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_COMMANDS = ("yes", "no", "up", "down", "left", "right", "on", "off", "stop", "go")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("model", type=Path, nargs="?", default=HERE / "bench-en")
    parser.add_argument("--voices", type=Path, help="ZIP of held-out voices from models.speak")
    parser.add_argument("--only", help="only sets whose name starts with this")
    parser.add_argument("--errors", action="store_true", help="print recognition errors")
    args = parser.parse_args()
    for test in tests(args.voices):
        if not test.trials or (args.only and not test.name.startswith(tuple(args.only.split(";")))):
            continue
        outcomes, factor = listen(args.model, test.node, test.trials)
        right = sum(outcome.right for outcome in outcomes)
        nothing = sum(not outcome.heard.hypotheses for outcome in outcomes)
        share = 100 * right / max(1, len(outcomes))
        print(
            f"{test.name:32} n={len(outcomes):4} right {share:5.1f} %  nothing {nothing:3}  rtf {factor:.3f}",
            flush=True,
        )
        if args.errors:
            for outcome in outcomes:
                if not outcome.right:
                    print(
                        "   ",
                        " ".join(outcome.trial.words or ()),
                        "->",
                        outcome.heard.text,
                        outcome.heard.confidence,
                    )


if __name__ == "__main__":
    main()
