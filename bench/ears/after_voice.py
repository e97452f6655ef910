"""Sound just after the assistant's own voice: whose it is, and from where on. Pure: frames in, sound out.

The end of the voice rings on in the room and in the sound card's buffers, so the ears begin no utterance until a
hold-off is over. A person may answer sooner. What was captured meanwhile is kept: speech that goes on past the hold-off
is theirs from where the sound first rose again. A tail only fades.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.ears.ear_settings import EarSettings
from bench.ears.segments import CHUNK_SECONDS

_FRAME = RATE // 100
_RISE = 8.0
"""Decibels above the quietest moment since the voice ended that are a rise, not the wavering of a tail."""
_LASTS = 4
"""Frames over which a rise lasts: 40 ms, more than a knock."""
_FADES = 0.16
"""Seconds after the hold-off in which speech without a rise before it is still the tail."""


def valley(sound: Samples) -> int | None:
    """The sample at the quietest moment before sound first rises; None when it only fades."""
    whole = len(sound) // _FRAME * _FRAME
    power = np.square(sound[:whole].reshape(-1, _FRAME).astype(np.float64)).mean(axis=1) + 1
    quietest = 0
    for at in range(len(power) - _LASTS + 1):
        if power[at] <= power[quietest]:
            quietest = at
        rise = power[at : at + _LASTS] / power[quietest]
        if rise.mean() > 10 ** (_RISE / 10) and rise.min() > 10 ** (_RISE / 20):
            return quietest * _FRAME
    return None


@dataclass(frozen=True, slots=True)
class Onset:
    """What seems to be the beginning of speech: `fading` if it is the end of the assistant's own voice.

    `answer` is the sound, up to now, of an utterance that began in the hold-off.
    """

    fading: bool = False
    answer: Samples | None = None


class AfterVoice:
    """The sound since the voice ended, for as long as an utterance that begins may reach back into the hold-off."""

    def __init__(self, settings: EarSettings) -> None:
        self._hold_off = ceil(settings.hold_off / CHUNK_SECONDS)
        self._fades = self._hold_off + round(_FADES / CHUNK_SECONDS)
        self._most = self._hold_off + round(settings.pre_roll / CHUNK_SECONDS)
        self._blocks: list[Samples] | None = None

    def begin(self) -> None:
        """The voice has ended."""
        self._blocks = []

    def end(self) -> None:
        """Its tail is of no more interest."""
        self._blocks = None

    @property
    def holding_off(self) -> bool:
        """Whether nothing may begin yet."""
        return self._blocks is not None and len(self._blocks) < self._hold_off

    def add(self, block: Samples) -> None:
        """One more frame."""
        if self._blocks is not None:
            self._blocks.append(block)
            if len(self._blocks) > self._most:
                self.end()

    def onset(self) -> Onset:
        """Whose the speech is that seems to begin with the last frame."""
        if self._blocks is None:
            return Onset()
        sound = np.concatenate(self._blocks)
        start, hold_off = valley(sound), sum(map(len, self._blocks[: self._hold_off]))
        if start is None:
            return Onset(fading=len(self._blocks) <= self._fades)
        return Onset(answer=sound[start:] if start < hold_off else None)
