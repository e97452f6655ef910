"""What was learned about one person's voice: a small file on this machine, and an ear that makes use of it.

The length of throat and mouth moves all resonances of a voice by about the same factor (Lee and Rose, "Speaker
normalization using efficient frequency warping procedures", ICASSP 1996; from memory). Sound played faster or
slower by that factor moves them back; that it also changes pitch and pace by a few per cent does no harm.
"""

from __future__ import annotations

import json
import math
import os
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path

import cattrs
import numpy as np
import soxr
from platformdirs import user_data_path

from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError
from bench.ears.recognizer import Recognizer
from bench.language.meaning import Expectation, Heard

FACTORS = (0.84, 0.88, 0.92, 0.96, 1.0, 1.04, 1.08, 1.12, 1.16)
"""By how much frequencies may be raised: grown people's throats differ by about this much (as above)."""
_REMEDY = "Remove what was learned with `bench model adapt --undo`, then adapt anew."
_NO_SOUND: Samples = np.empty(0, np.int16)


@dataclass(frozen=True, slots=True)
class Voice:
    """One person as one recogniser hears them: `factor` by which to raise the frequencies, learned from `phrases`."""

    ear: str
    factor: float
    phrases: int


class TunedRecognizer:
    """A recogniser that is given the sound with its frequencies raised by `factor`."""

    def __init__(self, ear: Recognizer, factor: float) -> None:
        self._ear = ear
        self._factor = factor
        self._stream: soxr.ResampleStream | None = None
        self.streams = ear.streams

    @property
    def name(self) -> str:
        """The engine, its model, and that it knows the person."""
        return f"{self._ear.name}, tuned to your voice"

    def expect(self, expectation: Expectation) -> None:
        """As of the recogniser inside."""
        self._stream = None
        self._ear.expect(expectation)

    def accept(self, block: Samples) -> None:
        """More sound. It reaches the recogniser inside a few milliseconds late."""
        if self._stream is None:
            self._stream = _stream(self._factor)
        self._pass_on(self._stream.resample_chunk(block))

    def partial(self) -> Heard:
        """As of the recogniser inside."""
        return self._as_spoken(self._ear.partial())

    def finish(self) -> Heard:
        """As of the recogniser inside, after the last of the sound."""
        stream, self._stream = self._stream, None
        if stream is not None:
            self._pass_on(stream.resample_chunk(_NO_SOUND, last=True))
        return self._as_spoken(self._ear.finish())

    def close(self) -> None:
        """As of the recogniser inside."""
        self._ear.close()

    def _pass_on(self, sound: Samples) -> None:
        if len(sound):
            self._ear.accept(sound)

    def _as_spoken(self, heard: Heard) -> Heard:
        return replace(heard, seconds=heard.seconds * self._factor)


def warped(sound: Samples, factor: float) -> Samples:
    """All of `sound` with every frequency multiplied by `factor`, and so its length divided by it."""
    result: Samples = _stream(factor).resample_chunk(sound, last=True)
    return result


def tuned(ear: Recognizer) -> Recognizer:
    """The recogniser tuned to the person, where that was learned with this very one; else as it is.

    Raises BenchError when what was learned cannot be read.
    """
    voice = kept_voice()
    return TunedRecognizer(ear, voice.factor) if voice is not None and voice.ear == ear.name else ear


def voice_file() -> Path:
    """Where it is kept: in the user's data folder. It never leaves this machine."""
    return user_data_path("bench", appauthor=False) / "my-voice.toml"


def kept_voice() -> Voice | None:
    """What was learned, if anything. Raises BenchError when the file is damaged."""
    file = voice_file()
    try:
        voice = cattrs.Converter(forbid_extra_keys=True).structure(
            tomllib.loads(file.read_text("utf-8")), Voice
        )
    except FileNotFoundError:
        return None
    except (OSError, ValueError, cattrs.BaseValidationError) as error:
        raise BenchError(f"{file} cannot be read.", _REMEDY, code="voice_damaged") from error
    if not (math.isfinite(voice.factor) and min(FACTORS) <= voice.factor <= max(FACTORS)):
        raise BenchError(f"{file}: no voice needs a factor of {voice.factor}.", _REMEDY, code="voice_damaged")
    return voice


def keep_voice(voice: Voice) -> None:
    """Keep what was learned, in place of what was there. Raises BenchError when the disk will not take it."""
    file = voice_file()
    text = f"ear = {json.dumps(voice.ear)}\nfactor = {voice.factor}\nphrases = {voice.phrases}\n"
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        fresh = file.with_suffix(".new")
        fresh.write_text(text, encoding="utf-8")
        os.replace(fresh, file)
    except OSError as error:
        raise BenchError(f"{file} cannot be written: {error}", code="disk") from error


def forget_voice() -> bool:
    """Undo it: true when something had been learned. Raises BenchError when the file cannot be removed."""
    try:
        voice_file().unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise BenchError(f"{voice_file()} cannot be removed: {error}", code="disk") from error
    return True


def _stream(factor: float) -> soxr.ResampleStream:
    return soxr.ResampleStream(RATE * factor, RATE, 1, dtype="int16")
