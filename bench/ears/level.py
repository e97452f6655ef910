"""The level meter: loudness, noise floor, clipping."""

from __future__ import annotations

from collections import deque

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.ears.ear_events import Level

SILENT = -96.0
"""Loudness of 16-bit digital silence, dBFS."""
_CLIPPED = 32_700
_FULL_SCALE = 32_768.0


def dbfs(block: Samples) -> float:
    """RMS loudness in decibels relative to a full-scale square wave, never below `SILENT`."""
    if not len(block):
        return SILENT
    power = float(np.mean(np.square(block.astype(np.float64)))) / _FULL_SCALE**2
    return max(SILENT, 10 * float(np.log10(max(power, 1e-12))))


class Meter:
    """Collects sound and gives a Level every `every` seconds of it.

    The noise floor is the tenth percentile of the loudness over the last `memory` seconds: speech has gaps,
    and a tool that runs longer than that has become the floor.
    """

    def __init__(self, every: float = 0.1, memory: float = 6.0) -> None:
        self._samples = max(1, round(every * RATE))
        self._pending: list[Samples] = []
        self._count = 0
        self._history: deque[float] = deque(maxlen=max(1, round(memory / every)))

    def add(self, block: Samples) -> Level | None:
        """Take more sound; a Level when enough has come, else None."""
        self._pending.append(block)
        self._count += len(block)
        if self._count < self._samples:
            return None
        sound = np.concatenate(self._pending)
        self._pending, self._count = [], 0
        loudness = dbfs(sound)
        self._history.append(loudness)
        clipped = bool(np.max(np.abs(sound.astype(np.int32))) >= _CLIPPED)
        return Level(loudness, float(np.percentile(self._history, 10)), clipped)
