"""The two short tones, for heard and for not understood: generated, with soft edges, unlike speech."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from bench.audio.sound import Sound
from bench.dialogue.effects import Tone

LEVEL = 0.25
"""Peak level, 12 dB below the voice: a tone must not trigger the ears or hurt in a headset."""

EDGE = 0.015
"""Seconds of fade-in and fade-out. A hard edge clicks."""

_NOTES: dict[Tone, tuple[tuple[float, float], ...]] = {
    Tone.HEARD: ((659.3, 0.07), (880.0, 0.09)),
    Tone.NOT_UNDERSTOOD: ((415.3, 0.10), (0.0, 0.05), (415.3, 0.10)),
}
"""Pitch in hertz and length in seconds of each note. Rising means accepted, two low notes mean not understood, so
that they differ in more than pitch. Silero VAD takes a lower double note, in the range of voices, for speech."""


@cache
def tone(which: Tone, rate: int) -> Sound:
    """One of the tones at a sampling rate in hertz."""
    notes = [_note(pitch, length, rate) for pitch, length in _NOTES[which]]
    return Sound((np.concatenate(notes) * LEVEL * 32767).astype(np.int16), rate)


def _note(pitch: float, length: float, rate: int) -> NDArray[np.float64]:
    time = np.arange(round(length * rate)) / rate
    edge = np.minimum(1.0, np.minimum(time, time[::-1]) / EDGE)
    shape: NDArray[np.float64] = np.sin(2 * np.pi * pitch * time) * np.sin(np.pi / 2 * edge) ** 2
    return shape
