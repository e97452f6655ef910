"""Where sound comes from: something that gives blocks of 16 kHz mono sound."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import Protocol

import numpy as np
import soundfile
import soxr

from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError


class EndOfSound(Exception):
    """A recording has been given out to its end."""


class Source(Protocol):
    """A microphone, or what stands in for one. One that `waits` stands still while nobody listens."""

    waits: bool

    @property
    def name(self) -> str:
        """The device or file, for the person."""

    def open(self) -> None:
        """Begin. Raises BenchError when there is no sound to be had. May be called again after `close`."""

    def read(self, timeout: float) -> Samples | None:
        """The next block, or None when none came within `timeout` seconds. Raises EndOfSound."""

    def close(self) -> None:
        """End; never raises."""


def read_recording(path: Path | str) -> Samples:
    """A sound file as 16 kHz mono samples. Raises BenchError saying what is wrong with the file."""
    try:
        sound, rate = soundfile.read(os.fsencode(path), dtype="float32", always_2d=True)
    except (OSError, RuntimeError) as error:
        remedy = "Give a WAV, FLAC or OGG sound file."
        raise BenchError(f"{path} cannot be read as sound: {error}", remedy, code="bad_recording") from error
    mono = sound.mean(axis=1)
    if rate != RATE:
        mono = soxr.resample(mono, rate, RATE)
    samples: Samples = np.clip(np.round(mono * 32_768), -32_768, 32_767).astype(np.int16)
    return samples


class RecordingSource:
    """A recording in place of the microphone.

    At the speed of speech unless `paced` is false. With `waits` it stands still while the ears are deaf, so
    that a recording made beforehand does not run on while the assistant speaks.
    """

    def __init__(self, sound: Path | str | Samples, *, paced: bool = True, waits: bool = True) -> None:
        self.waits = waits
        self._paced = paced
        self._given = sound
        self._sound: Samples = np.empty(0, np.int16)
        self._at = 0
        self._due = 0.0

    @property
    def name(self) -> str:
        """The file's name."""
        return "recording" if isinstance(self._given, np.ndarray) else Path(self._given).name

    def open(self) -> None:
        """Read the file. Raises BenchError."""
        self._sound = self._given if isinstance(self._given, np.ndarray) else read_recording(self._given)
        self._at = 0
        self._due = time.monotonic()

    def read(self, timeout: float) -> Samples | None:
        """The next 32 ms, after the time they take when paced. Raises EndOfSound."""
        if self._at >= len(self._sound):
            raise EndOfSound
        block = self._sound[self._at : self._at + 512]
        if self._paced:
            self._keep_time(len(block) / RATE)
        self._at += len(block)
        return block

    def close(self) -> None:
        """Nothing to give back."""

    def _keep_time(self, seconds: float) -> None:
        now = time.monotonic()
        # After a stand-still the clock starts anew: a recording never hurries to catch up.
        self._due = max(self._due, now - 0.1) + seconds
        time.sleep(max(0.0, self._due - now))
