"""Mixes one spoken turn, which can be faded out, with short tones."""

from __future__ import annotations

import threading
from collections import deque

import numpy as np
from numpy.typing import NDArray

FADE_S = 0.01
"""Seconds of fade when speech is cut off. A shorter fade clicks."""

_Samples = NDArray[np.int16]
_NONE: _Samples = np.zeros(0, np.int16)


class Mixer:
    """A queue of speech and a queue of tones, mixed block by block. Thread-safe."""

    def __init__(self, rate: int) -> None:
        self.gain = 1.0
        self._gain = 1.0
        self._fade = round(FADE_S * rate)
        self._lock = threading.Lock()
        self._speech: deque[_Samples] = deque()
        self._tone: _Samples = _NONE
        self._tail: _Samples = _NONE
        self._turn: int | None = None
        self._last = False
        self._finished: list[int] = []

    @property
    def busy(self) -> bool:
        """Whether anything is playing or queued."""
        return bool(self._turn is not None or self._speech or len(self._tone) or len(self._tail))

    def play(self, turn: int, samples: _Samples, last: bool) -> None:
        """Queue a segment of a turn. A new turn cuts off the previous one. `last` ends the turn."""
        with self._lock:
            if turn != self._turn:
                self._cut()
                self._turn = turn
            self._speech.append(samples)
            self._last = last

    def hush(self) -> None:
        """Cut off the current turn. It counts as finished when the fade is over."""
        with self._lock:
            self._cut()

    def tone(self, samples: _Samples) -> None:
        """Play a short tone now, over any speech."""
        with self._lock:
            self._tone = samples

    def next(self, frames: int) -> _Samples:
        """The next block of `frames` samples."""
        with self._lock:
            speech = self._take(frames)
            self._settle()
            tail, self._tail = self._tail[:frames], self._tail[frames:]
            tone, self._tone = self._tone[:frames], self._tone[frames:]
        ramp = np.linspace(self._gain, self.gain, frames, dtype=np.float32)
        self._gain = self.gain
        mix = np.zeros(frames, np.float32)
        for part in (speech, tail, tone):
            mix[: len(part)] += part
        mixed: _Samples = np.clip(mix * ramp, -32768, 32767).astype(np.int16)
        return mixed

    def finished(self) -> list[int]:
        """Turns that ended since the last call, oldest first."""
        with self._lock:
            if len(self._tail):
                return []
            ended, self._finished = self._finished, []
            return ended

    def _take(self, frames: int) -> _Samples:
        """Take up to `frames` samples of speech from the queue."""
        taken: list[_Samples] = []
        wanted = frames
        while wanted and self._speech:
            piece = self._speech.popleft()
            taken.append(piece[:wanted])
            if len(piece) > wanted:
                self._speech.appendleft(piece[wanted:])
            wanted -= len(taken[-1])
        return np.concatenate(taken) if taken else _NONE

    def _settle(self) -> None:
        """Mark the turn as ended when its last sample has been taken."""
        if self._turn is not None and self._last and not self._speech:
            self._finished.append(self._turn)
            self._turn, self._last = None, False

    def _cut(self) -> None:
        if self._turn is None:
            return
        rest = self._take(self._fade).astype(np.float32)
        self._tail = (rest * np.linspace(1, 0, len(rest))).astype(np.int16)
        self._speech.clear()
        self._finished.append(self._turn)
        self._turn, self._last = None, False
