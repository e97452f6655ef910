"""Speech is brought to one loudness, whoever speaks into whatever microphone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.audio.samples import RATE, Samples
from bench.ears.gain_control import WANTED, GainControl, amplified, gain_for, loudness


def tone(rms: float, seconds: float = 1.0) -> Samples:
    """A sine of 400 Hz: its RMS is its amplitude by the square root of two."""
    angle = 2 * np.pi * 400 * np.arange(round(seconds * RATE)) / RATE
    wave: Samples = np.round(np.sqrt(2) * rms * np.sin(angle)).astype(np.int16)
    return wave


def test_pauses_do_not_count() -> None:
    quiet = np.zeros(RATE, np.int16)
    assert loudness(tone(1000)) == pytest.approx(1000, rel=0.01)
    assert loudness(np.concatenate([tone(1000, 1.1), quiet])) == pytest.approx(1000, rel=0.02)
    assert loudness(quiet[:100]) == 0.0


@given(st.floats(40, 20_000))
def test_any_usual_microphone_comes_to_the_loudness_wanted(rms: float) -> None:
    sound = tone(rms, 0.2)
    assert loudness(amplified(sound, gain_for(loudness(sound)))) == pytest.approx(WANTED, rel=0.05)


def test_silence_is_not_made_loud() -> None:
    assert gain_for(0.0) == gain_for(1.0) == 8.0


def test_the_gain_stands_still_within_an_utterance_and_comes_nearer_with_each() -> None:
    follower = GainControl()
    reached = []
    for _ in range(6):
        follower.begin()
        blocks = [follower.add(tone(60, 0.3)), follower.add(tone(60, 0.3))]
        assert loudness(blocks[0]) == pytest.approx(loudness(blocks[1]))
        reached.append(loudness(np.concatenate(blocks)))
        follower.learn()
    assert reached == sorted(reached)
    assert reached[-1] == pytest.approx(WANTED, rel=0.15)


def test_talk_for_others_teaches_nothing() -> None:
    follower = GainControl()
    before = loudness(follower.add(tone(500)))
    for _ in range(3):
        follower.begin()
        follower.add(tone(9000))
    follower.begin()
    assert loudness(follower.add(tone(500))) == pytest.approx(before)
