"""Three seconds of the person speaking: how loud, how noisy, and what is heard."""

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
"""Speech below this is soft: fewer than nine of the sixteen bits are in use."""
POOR_SNR_DB = 10.0
"""Below this recognition suffers; a headset with its microphone at the mouth gains 15 dB and more."""


@dataclass(frozen=True, slots=True)
class Trial:
    """A recording judged. Levels in decibels below full scale, RMS over fiftieths of a second."""

    sound: Samples
    speech: float
    noise: float
    clipped: bool
    heard: Heard

    @property
    def snr(self) -> float:
        """Speech above noise, decibels."""
        return self.speech - self.noise

    @property
    def advice(self) -> str:
        """What to do about it, in a sentence."""
        if self.clipped:
            return "Too loud: turn the microphone down or move it from your mouth."
        if self.snr < 3:
            return "No speech stands out. Is this the microphone? Is it muted?"
        if self.speech < QUIET_DBFS:
            return "Too soft: turn the microphone up or bring it nearer."
        if self.snr < POOR_SNR_DB:
            return "Noisy: use a headset with its microphone at your mouth."
        return "Good." if self.heard.hypotheses else "Good sound, but no length was heard in it."


def trial(mic: str | None, ear: str, model: Path | None, ready: Callable[[str], None]) -> Trial:
    """Record and judge. `ready` is called with the microphone's name when it is time to speak. BenchError."""
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
    """Loudness of the loudest fifth of a recording and of the quietest: speech and the noise under it."""
    slices = [dbfs(sound[start : start + _SLICE]) for start in range(0, len(sound) - _SLICE + 1, _SLICE)]
    ranked = sorted(slices or [dbfs(sound)])
    fifth = max(1, len(ranked) // 5)
    return _mean(ranked[-fifth:]), _mean(ranked[:fifth])


def play_back(sound: Samples, speaker: str | None) -> None:
    """Let the person hear what was recorded. Raises BenchError when there is no loudspeaker."""
    ended = threading.Event()
    loudspeaker = Loudspeaker(speaker, lambda turn: ended.set(), lambda reason: ended.set())
    loudspeaker.play(1, Sound(sound, RATE), last=True)
    ended.wait(SECONDS + 2)
    loudspeaker.close()


def _mean(decibels: list[float]) -> float:
    """Mean power of levels, in decibels."""
    return 10 * math.log10(sum(10 ** (level / 10) for level in decibels) / len(decibels))
