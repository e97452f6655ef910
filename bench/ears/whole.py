"""A recording heard as one utterance, as fast as it can be."""

from __future__ import annotations

import numpy as np

from bench.audio.samples import RATE, Samples
from bench.ears.gain_control import amplified, gain_for, loudness
from bench.ears.recognizer import Recognizer
from bench.language.meaning import Heard

_EDGE = round(0.3 * RATE)
_HISS = 4
"""Recognizers want a moment of quiet around the words, and digital silence is not what quiet sounds like."""
_BLOCK = RATE // 10


def padded(sound: Samples) -> Samples:
    """The sound with 0.3 s of faint hiss before and after it."""
    hiss = np.random.default_rng(0).integers(-_HISS, _HISS, 2 * _EDGE, np.int16, endpoint=True)
    return np.concatenate([hiss[:_EDGE], sound, hiss[_EDGE:]])


def hear_whole(recognizer: Recognizer, sound: Samples) -> Heard:
    """All of `sound` as one utterance within what the recognizer was told to expect. Raises BenchError."""
    whole = padded(amplified(sound, gain_for(loudness(sound))))
    for start in range(0, len(whole), _BLOCK):
        recognizer.accept(whole[start : start + _BLOCK])
    return recognizer.finish()
