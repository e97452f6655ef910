"""Where utterances begin and end, from speech probabilities."""

from __future__ import annotations

import numpy as np
import pytest

from bench.audio.samples import RATE
from bench.ears.ear_settings import EarSettings
from bench.ears.level import SILENT, Meter, dbfs
from bench.ears.segments import CHUNK_SECONDS, Phase, PreRoll, Segmenter


def chunks(seconds: float) -> int:
    return round(seconds / CHUNK_SECONDS)


def phase_of(segmenter: Segmenter) -> Phase:
    """Where it is now; a type checker cannot know that `step` changes it."""
    return segmenter.phase


def test_a_knock_is_not_the_start_of_an_utterance() -> None:
    segmenter = Segmenter(EarSettings())
    phases = [segmenter.step(p) for p in (0.9, 0.9, 0.1, 0.1, 0.1, 0.9, 0.1, 0.1)]
    assert set(phases) == {Phase.WAITING}


def test_speech_starts_an_utterance_and_silence_is_measured_after_it() -> None:
    segmenter = Segmenter(EarSettings())
    for _ in range(chunks(0.5)):
        segmenter.step(0.9)
    assert phase_of(segmenter) is Phase.SPEAKING
    for _ in range(chunks(0.32)):
        segmenter.step(0.05)
    assert phase_of(segmenter) is Phase.PAUSING
    assert segmenter.pause == pytest.approx(0.32)
    segmenter.step(0.9)
    assert phase_of(segmenter) is Phase.SPEAKING
    assert segmenter.pause == 0


def test_talk_without_end_is_given_up_until_a_silence() -> None:
    settings = EarSettings(longest=3.0, end_open=0.9)
    segmenter = Segmenter(settings)
    for _ in range(chunks(4.0)):
        segmenter.step(0.9)
    assert phase_of(segmenter) is Phase.OVERRUN
    for _ in range(chunks(0.5)):
        assert segmenter.step(0.05) is Phase.OVERRUN
    for _ in range(chunks(0.5)):
        segmenter.step(0.05)
    assert phase_of(segmenter) is Phase.WAITING


def test_the_pre_roll_keeps_the_last_moments_only() -> None:
    roll = PreRoll(0.4)
    for number in range(30):
        roll.add(np.full(512, number, np.int16))
    kept = roll.take()
    assert kept[-1][0] == 29
    assert sum(map(len, kept)) / RATE == pytest.approx(0.4, abs=CHUNK_SECONDS)
    assert roll.take() == []


def test_loudness_of_a_full_scale_sine_is_minus_three_decibels() -> None:
    """A sine's RMS is its peak over the square root of two: 3.01 dB below (AES17 calls this 0 dB FS)."""
    sine = np.round(32_767 * np.sin(2 * np.pi * 1000 * np.arange(RATE) / RATE)).astype(np.int16)
    assert dbfs(sine) == pytest.approx(-3.01, abs=0.02)
    assert dbfs(np.zeros(100, np.int16)) == SILENT


def test_the_meter_tells_ten_times_a_second_with_floor_and_clipping() -> None:
    meter = Meter(every=0.1)
    noise = np.random.default_rng(1).integers(-300, 300, RATE * 2, np.int16)
    loud = np.full(1600, 32_767, np.int16)
    levels = [meter.add(noise[at : at + 320]) for at in range(0, len(noise), 320)]
    told = [level for level in levels if level is not None]
    assert len(told) == 20
    assert not any(level.clipped for level in told)
    shout = meter.add(loud)
    assert shout is not None
    assert shout.clipped
    assert shout.dbfs > -1
    assert shout.floor == pytest.approx(told[0].dbfs, abs=1.0)
