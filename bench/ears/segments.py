"""Where an utterance begins and how long the silence after it is. Pure: probabilities in, state out."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from enum import StrEnum

from bench.audio.samples import RATE, Samples
from bench.ears.ear_settings import EarSettings

CHUNK = 512
"""Samples in one frame of the voice activity detector: 32 ms."""
CHUNK_SECONDS = CHUNK / RATE


class Phase(StrEnum):
    """Where the segmenter stands."""

    WAITING = "waiting"
    SPEAKING = "speaking"
    PAUSING = "pausing"
    OVERRUN = "overrun"


@dataclass(slots=True)
class Segmenter:
    """Follows the speech probability of successive frames.

    `phase` tells where it stands, `pause` the silence since speech was last heard and `length` the time since
    the utterance began, in seconds. Whoever drives it decides when the pause is long enough and calls `end`.
    """

    settings: EarSettings
    phase: Phase = Phase.WAITING
    pause: float = 0.0
    length: float = 0.0
    _recent: deque[bool] = field(init=False)
    _enough: int = field(init=False)

    def __post_init__(self) -> None:
        self._enough = max(1, round(self.settings.begin / CHUNK_SECONDS))
        self._recent = deque(maxlen=self._enough + 2)

    def step(self, probability: float) -> Phase:
        """One more frame with this probability of speech; the phase after it."""
        if self.phase is Phase.WAITING:
            self._wait(probability >= self.settings.start)
            return self.phase
        speech = probability >= self.settings.speech
        silence = probability < self.settings.silence
        self.length += CHUNK_SECONDS
        if speech or not (silence or self.pause):
            self.pause = 0.0
        else:
            self.pause += CHUNK_SECONDS
        if self.phase is Phase.OVERRUN:
            if self.pause >= self.settings.end_open:
                self.end()
        elif self.length - self.pause > self.settings.longest:
            self.phase = Phase.OVERRUN
        else:
            self.phase = Phase.PAUSING if self.pause else Phase.SPEAKING
        return self.phase

    def end(self) -> None:
        """The utterance is over, or is to be forgotten: wait for the next."""
        self.phase = Phase.WAITING
        self.pause = self.length = 0.0
        self._recent.clear()

    def _wait(self, speech: bool) -> None:
        self._recent.append(speech)
        if sum(self._recent) >= self._enough:
            self.phase = Phase.SPEAKING
            self.length = len(self._recent) * CHUNK_SECONDS
            self._recent.clear()


class PreRoll:
    """The last moments of sound, kept so that the start of an utterance is never clipped."""

    def __init__(self, seconds: float) -> None:
        self._blocks: deque[Samples] = deque(maxlen=max(1, round(seconds / CHUNK_SECONDS)))

    def add(self, block: Samples) -> None:
        """Keep one more frame, forgetting the oldest."""
        self._blocks.append(block)

    def take(self) -> list[Samples]:
        """All that is remembered, oldest first; forgotten afterwards."""
        blocks = list(self._blocks)
        self._blocks.clear()
        return blocks
