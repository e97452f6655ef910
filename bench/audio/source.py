"""Sound sources, which deliver blocks of 16 kHz mono sound."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

import numpy as np

from bench.audio.recording import Recording
from bench.audio.samples import RATE, Samples
from bench.core.notes import BenchError

_BLOCK = 512
"""Samples per block."""


class EndOfSound(Exception):
    """The end of a recording was reached."""


class Source(Protocol):
    """A microphone or a substitute for one. A source that `waits` pauses while nobody listens."""

    waits: bool

    @property
    def name(self) -> str:
        """The name of the device or file, to show the person."""

    def open(self) -> None:
        """Start. Raises BenchError when no sound is available. May be called again after `close`."""

    def read(self, timeout: float) -> Samples | None:
        """The next block, or None when none arrived within `timeout` seconds. Raises EndOfSound."""

    def close(self) -> None:
        """Stop. Never raises."""


class RecordingSource:
    """A recording in place of the microphone, read while it plays.

    Runs in real time unless `paced` is false. With `waits` it pauses while the ears are closed, so that it does not
    run on while the assistant speaks.
    """

    def __init__(self, sound: Path | str | Samples, *, paced: bool = True, waits: bool = True) -> None:
        self.waits = waits
        self._paced = paced
        self._given = sound
        self._recording: Recording | None = None
        self._pieces: Iterator[Samples] = iter(())
        self._left: Samples = np.empty(0, np.int16)
        self._damage: BenchError | None = None
        self._due = 0.0

    @property
    def name(self) -> str:
        """The file's name."""
        return "recording" if isinstance(self._given, np.ndarray) else Path(self._given).name

    def open(self) -> None:
        """Start reading. Raises BenchError, also after a read error, which would only occur again."""
        if self._damage is not None:
            raise self._damage
        self.close()
        if isinstance(self._given, np.ndarray):
            self._pieces = iter((self._given,))
        else:
            self._recording = Recording(self._given)
            self._pieces = self._recording.pieces()
        self._left = np.empty(0, np.int16)
        self._due = time.monotonic()

    def read(self, timeout: float) -> Samples | None:
        """The next 32 ms, delivered in real time when paced. Raises EndOfSound, or BenchError where it is damaged."""
        while len(self._left) < _BLOCK and (piece := self._next()) is not None:
            self._left = np.concatenate([self._left, piece]) if len(self._left) else piece
        if not len(self._left):
            raise EndOfSound
        block, self._left = self._left[:_BLOCK], self._left[_BLOCK:]
        if self._paced:
            self._keep_time(len(block) / RATE)
        return block

    def close(self) -> None:
        """Close the file."""
        recording, self._recording = self._recording, None
        if recording is not None:
            recording.close()

    def _next(self) -> Samples | None:
        try:
            return next(self._pieces, None)
        except BenchError as error:
            self._damage = error
            raise

    def _keep_time(self, seconds: float) -> None:
        now = time.monotonic()
        # Restart the clock after a pause, so that a recording never speeds up to catch up.
        self._due = max(self._due, now - 0.1) + seconds
        time.sleep(max(0.0, self._due - now))
