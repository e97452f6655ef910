"""Recognizes a whole recording as one utterance, without waiting for real time."""

from __future__ import annotations

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.ears.gain_control import amplified, gain_for, loudness
from bench.ears.recognizer import Recognizer
from bench.language.meaning import Heard

_EDGE = round(0.3 * RATE)
_HISS = 4
"""Recognizers need a moment of quiet around the words. Digital silence would not do: no microphone delivers it."""
_BLOCK = RATE // 10


def padded(sound: Samples) -> Samples:
    """The sound with 0.3 s of faint hiss before and after it."""
    hiss = np.random.default_rng(0).integers(-_HISS, _HISS, 2 * _EDGE, np.int16, endpoint=True)
    return np.concatenate([hiss[:_EDGE], sound, hiss[_EDGE:]])


def hear_whole(recognizer: Recognizer, sound: Samples) -> Heard:
    """Recognize all of `sound` as one utterance under the current grammar. Raises BenchError."""
    whole = padded(amplified(sound, gain_for(loudness(sound))))
    for start in range(0, len(whole), _BLOCK):
        recognizer.accept(whole[start : start + _BLOCK])
    return recognizer.finish()
