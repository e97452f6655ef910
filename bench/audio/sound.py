"""A segment of sound and the operations between the voice and the loudspeaker."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

_FULL = 32767
_AUDIBLE = 0.01
"""Fraction of the peak below which the edges of a phrase count as silence."""


@dataclass(frozen=True, slots=True)
class Sound:
    """Mono 16-bit samples at `rate` hertz."""

    samples: NDArray[np.int16]
    rate: int

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return len(self.samples) / self.rate

    def at(self, rate: int) -> Sound:
        """The same sound resampled to `rate` hertz."""
        if rate == self.rate or not len(self.samples):
            return Sound(self.samples, rate)
        return Sound(np.asarray(soxr.resample(self.samples, self.rate, rate), dtype=np.int16), rate)

    def tidied(self, pause: float = 0.0) -> Sound:
        """The sound trimmed of silence, normalized to a full-scale peak, with `pause` seconds of silence appended.

        Loudness is set at playback. The full-scale peak gives every voice the same level there.
        """
        level = np.abs(self.samples.astype(np.int32))
        peak = int(level.max(initial=0))
        if not peak:
            return Sound(self.samples[:0], self.rate)
        heard = np.flatnonzero(level > peak * _AUDIBLE)
        kept = self.samples[max(0, heard[0] - self.rate // 200) : heard[-1] + self.rate // 50]
        full = np.round(kept * (_FULL / peak)).astype(np.int16)
        return Sound(np.concatenate([full, np.zeros(round(pause * self.rate), np.int16)]), self.rate)


def read_sound(data: bytes) -> Sound:
    """The first channel of a sound file in memory (WAV, AIFF ...). Raises ValueError if it is not one."""
    try:
        samples, rate = soundfile.read(io.BytesIO(data), dtype="int16", always_2d=True)
    except (soundfile.LibsndfileError, RuntimeError) as error:
        raise ValueError(f"not a sound file: {error}") from error
    return Sound(np.ascontiguousarray(samples[:, 0]), int(rate))
