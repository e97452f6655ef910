"""Adapting to one person: which warp of their sound, if any, lets known phrases of theirs be heard better.

Each phrase is heard at every factor of `bench.ears.tuning`. A factor is kept only when it would also have helped
with phrases that it was not chosen on. Nothing but the factor is learned; the model stays as it is.

Most people gain nothing, for the model was trained on throats of many lengths. Of eight people never trained on
(187 clips, `tests/benchmarks/adapting.py`: chosen on half, counted on the other half) one gains, from 81 % to
90 % right, and the others stay within two points of what they had, one of them at 33 % for other reasons than
the throat. In noise at 10 dB it gains nothing; phrases read in quiet serve best.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bench.audio.samples import Samples
from bench.audio.source import read_recording
from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.ears.recognizer import Recognizer
from bench.ears.tuning import FACTORS, warped
from bench.ears.whole import hear_whole
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, Meaning, typed
from bench.language.understand import understand

FEWEST = 15
"""Phrases below which nothing can be learned that holds for the next one."""
_AS_IS = FACTORS.index(1.0)
_SURE = 1.5
"""Standard errors that the gain with held-out phrases must exceed. With 1 it was now and then kept for nothing."""
_FLOOR = 0.02
"""Least probability counted: one phrase that went wrong altogether must not outweigh all others."""
_RELUCTANCE = 0.05
"""Nats that a factor one step from 1 must make good, and with the square of the steps one further away."""
_PARTS = 4
"""Of the phrases, each held out once."""

Chances = NDArray[np.float64]
"""Probability given to what was really said: a row a phrase, a column a factor."""


@dataclass(frozen=True, slots=True)
class Read:
    """A phrase the person read: its sound, when it may be said, and what it means there."""

    sound: Samples
    expectation: Expectation
    meaning: Meaning


@dataclass(frozen=True, slots=True)
class Outcome:
    """The factor to use, 1.0 when none helps, and how many of the phrases are understood without and with it."""

    factor: float
    phrases: int
    right_before: int
    right_after: int


def phrases_read(folder: Path) -> list[Read]:
    """The phrases that `bench record` left in `folder` and that mean something to Bench.

    Raises BenchError when there are too few, or the manifest or a clip cannot be read.
    """
    file = folder / "manifest.jsonl"
    try:
        rows = [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines() if line.strip()]
        said = [(str(row["text"]), folder / str(row["path"])) for row in rows]
    except (OSError, ValueError, KeyError, TypeError) as error:
        remedy = "Name a folder that `bench record FOLDER --for-me` filled."
        raise BenchError(f"{file} is no list of clips: {error!r}", remedy, code="bad_manifest") from error
    read = [
        Read(read_recording(path), *place) for words, path in said if (place := _place(words)) is not None
    ]
    if len(read) < FEWEST:
        remedy = f"Run `bench record {folder} --for-me` and read at least {FEWEST}; twenty are better."
        raise BenchError(f"{folder} holds {len(read)} phrases of Bench.", remedy, code="too_few_phrases")
    return read


def adapt(ear: Recognizer, read: list[Read], told: Callable[[int], object] = lambda _: None) -> Outcome:
    """Choose the factor. `told` hears how many phrases are done. `ear` must not be tuned. Raises BenchError."""
    chances, right = heard_at_all(ear, read, told)
    column = chosen(chances)
    return Outcome(FACTORS[column], len(read), int(right[:, _AS_IS].sum()), int(right[:, column].sum()))


def heard_at_all(
    ear: Recognizer, read: list[Read], told: Callable[[int], object] = lambda _: None
) -> tuple[Chances, NDArray[np.bool_]]:
    """Every phrase heard at every factor: the chances, and whether Bench would act on what was meant."""
    chances = np.zeros((len(read), len(FACTORS)))
    right = np.zeros((len(read), len(FACTORS)), bool)
    # One grammar after the other: few are kept loaded.
    order = sorted(range(len(read)), key=lambda row: str(read[row].expectation))
    for done, row in enumerate(order, 1):
        one = read[row]
        ear.expect(one.expectation)
        for column, factor in enumerate(FACTORS):
            heard = hear_whole(ear, one.sound if factor == 1.0 else warped(one.sound, factor))
            chances[row, column] = _chance(heard, one)
            right[row, column] = understand(heard, one.expectation, lexicon()).meaning == one.meaning
        told(done)
    return chances, right


def chosen(chances: Chances) -> int:
    """The column of the factor to use: the best, or that of 1.0 unless it helps with phrases held out.

    "Helps" is a mean gain in log probability well above its standard error, each phrase with the factor chosen
    without it.
    """
    scores = np.log(np.maximum(chances, _FLOOR))
    rows = np.arange(len(scores))
    gain = np.zeros(len(scores))
    for part in range(_PARTS):
        out = rows % _PARTS == part
        column = _best(scores[~out])
        gain[out] = scores[out, column] - scores[out, _AS_IS]
    helps = gain.mean() > _SURE * gain.std(ddof=1) / np.sqrt(len(gain))
    return _best(scores) if helps else _AS_IS


def _best(scores: Chances) -> int:
    """The best column, neighbours counted in: a throat's length has no narrow optimum, chance has."""
    total = scores.sum(axis=0)
    smooth = np.convolve(np.pad(total, 1, mode="edge"), (0.25, 0.5, 0.25), mode="valid")
    steps = np.arange(len(FACTORS)) - _AS_IS
    return int((smooth - _RELUCTANCE * steps**2).argmax())


def _chance(heard: Heard, read: Read) -> float:
    """The probability that the recogniser gives to readings with the right meaning."""
    sure = [
        one.confidence
        for one in heard.hypotheses
        if _meaning(Heard((Hypothesis(one.words, 1.0),)), read.expectation) == read.meaning
    ]
    return min(sum(sure), 1.0)


def _place(words: str) -> tuple[Expectation, Meaning] | None:
    """Where in Bench the words may be said, and what they mean there."""
    known = lexicon()
    commands, choices = tuple(known.commands), tuple(known.choices)
    for expectation in (
        Expectation(Kind.LENGTH),
        Expectation(Kind.ANGLE),
        Expectation(Kind.YESNO, commands=commands),
        Expectation(Kind.CHOICE, choices=choices),
        Expectation(Kind.SIZE, choices=tuple(known.sizes)),
    ):
        meaning = _meaning(typed(words), expectation)
        if meaning is not None:
            return expectation, meaning
    return None


def _meaning(heard: Heard, expectation: Expectation) -> Meaning | None:
    return understand(heard, expectation, lexicon()).meaning
