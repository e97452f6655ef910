"""Sound files read in segments, so that long ones need little memory and unusable ones are refused at once."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
import soxr

from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError

_RATES = (4_000, 384_000)
"""Hertz. Lower rates carry no speech, and a header that claims 1 Hz would turn a second into hours."""
_MOST_CHANNELS = 32
_PIECE = 0.25
"""Seconds per read."""
_REMEDY = "Give a WAV, FLAC or OGG sound file."


class Recording:
    """A sound file open for reading. Raises BenchError saying what is wrong with it."""

    def __init__(self, path: Path | str) -> None:
        self._path = path
        try:
            self._file = soundfile.SoundFile(os.fsencode(path))
        except (OSError, RuntimeError, TypeError) as error:  # TypeError: sound without a header (.raw)
            raise self._unreadable(error) from error
        low, high = _RATES
        if not low <= self._file.samplerate <= high or self._file.channels > _MOST_CHANNELS:
            self.close()
            claimed = f"{self._file.samplerate} Hz in {self._file.channels} channels"
            remedy = f"Give a recording of {low} to {high} Hz in at most {_MOST_CHANNELS} channels."
            raise BenchError(f"{path} claims {claimed}.", remedy, code="bad_recording")

    @property
    def seconds(self) -> float:
        """Length according to the header."""
        return float(self._file.frames / self._file.samplerate)

    def pieces(self) -> Iterator[Samples]:
        """The sound as segments of 16 kHz mono. Raises BenchError where the file is damaged."""
        rate = self._file.samplerate
        resample = None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, dtype="float32")
        size = round(rate * _PIECE)
        while True:
            try:
                read = self._file.read(size, dtype="float32", always_2d=True)
            except (OSError, RuntimeError) as error:
                raise self._unreadable(error) from error
            mono = np.ascontiguousarray(read.mean(axis=1))
            last = len(read) < size
            if resample is not None:
                mono = resample.resample_chunk(mono, last=last)
            if len(mono):
                yield _as_samples(mono)
            if last:
                return

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def _unreadable(self, error: Exception) -> BenchError:
        return BenchError(f"{self._path} cannot be read as sound: {error}", _REMEDY, code="bad_recording")


def read_recording(path: Path | str, longest: float | None = None) -> Samples:
    """A sound file as 16 kHz mono samples. Raises BenchError, also when it is longer than `longest` seconds."""
    recording = Recording(path)
    try:
        if longest is not None and recording.seconds > longest:
            message = (
                f"{path} is {recording.seconds:.0f} seconds long. An answer takes at most {longest:.0f}."
            )
            remedy = "Cut it, or let Bench listen to all of it: bench --wav FILE."
            raise BenchError(message, remedy, code="recording_too_long")
        pieces = list(recording.pieces())
    finally:
        recording.close()
    return np.concatenate(pieces) if pieces else np.empty(0, np.int16)


def _as_samples(mono: np.ndarray[tuple[int], np.dtype[np.float32]]) -> Samples:
    samples: Samples = np.clip(np.round(mono * 32_768), -32_768, 32_767).astype(np.int16)
    return samples
