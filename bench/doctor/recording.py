"""Records the person for three seconds and measures loudness, noise and the words heard."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bench.audio.loudspeaker import Loudspeaker
from bench.audio.microphone import MicrophoneSource
from bench.audio.samples import RATE, Samples
from bench.audio.sound import Sound
from bench.core.notes import BenchError
from bench.doctor.checks import ANY_LENGTH, captured
from bench.ears.choose import recognizer
from bench.ears.level import dbfs
from bench.ears.whole import hear_whole
from bench.language.meaning import Heard

SECONDS = 3.0
_SLICE = RATE // 50
_CLIPPED = 32_700

QUIET_DBFS = -40.0
"""Speech below this level is too soft: it uses fewer than nine of the sixteen bits."""
POOR_SNR_DB = 10.0
"""SNR below which recognition suffers. A headset with its microphone at the mouth gains 15 dB or more."""


@dataclass(frozen=True, slots=True)
class Trial:
    """An evaluated recording. Levels are dBFS, RMS over 20 ms frames."""

    sound: Samples
    speech: float
    noise: float
    clipped: bool
    heard: Heard

    @property
    def snr(self) -> float:
        """Signal-to-noise ratio in decibels."""
        return self.speech - self.noise

    @property
    def advice(self) -> str:
        """Advice in one sentence."""
        if self.clipped:
            return "Too loud: turn the microphone down or move it from your mouth."
        if self.snr < 3:
            return "No speech stands out from the noise. Is this the right microphone? Is it muted?"
        if self.speech < QUIET_DBFS:
            return "Too soft: turn the microphone up or bring it closer."
        if self.snr < POOR_SNR_DB:
            return "Noisy: use a headset with its microphone at your mouth."
        return "Good." if self.heard.hypotheses else "Good sound, but no length was recognized."


def trial(mic: str | None, ear: str, model: Path | None, ready: Callable[[str], None]) -> Trial:
    """Record and evaluate. `ready` is called with the microphone's name when it is time to speak. Raises BenchError."""
    engine = recognizer(ear, model)
    source = MicrophoneSource(mic)
    try:
        engine.expect(ANY_LENGTH)
        source.open()
        captured(source, 0.3)
        ready(source.name)
        sound = captured(source, SECONDS)
        heard = hear_whole(engine, sound)
    finally:
        source.close()
        engine.close()
    if not len(sound):
        raise BenchError(f"The microphone {source.name} gives no sound.", "Unplug it and plug it in again.")
    speech, noise = levels(sound)
    return Trial(sound, speech, noise, bool(np.abs(sound.astype(np.int32)).max() >= _CLIPPED), heard)


def levels(sound: Samples) -> tuple[float, float]:
    """Levels of the loudest and the quietest fifth of a recording: speech and noise."""
    slices = [dbfs(sound[start : start + _SLICE]) for start in range(0, len(sound) - _SLICE + 1, _SLICE)]
    ranked = sorted(slices or [dbfs(sound)])
    fifth = max(1, len(ranked) // 5)
    return _mean(ranked[-fifth:]), _mean(ranked[:fifth])


def play_back(sound: Samples, speaker: str | None) -> None:
    """Play the recording to the person. Raises BenchError when there is no loudspeaker."""
    ended = threading.Event()
    loudspeaker = Loudspeaker(speaker, lambda turn: ended.set(), lambda reason: ended.set())
    loudspeaker.play(1, Sound(sound, RATE), last=True)
    ended.wait(SECONDS + 2)
    loudspeaker.close()


def _mean(decibels: list[float]) -> float:
    """Mean power of the levels, in decibels."""
    return 10 * math.log10(sum(10 ** (level / 10) for level in decibels) / len(decibels))
