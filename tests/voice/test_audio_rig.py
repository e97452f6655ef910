"""The rig itself: what is played into it comes out again, and the microphone never hears the loudspeaker."""

from __future__ import annotations

import numpy as np
import sounddevice
from numpy.typing import NDArray

from tests.audio_rig import RATE, AudioRig

SECOND = np.arange(RATE) / RATE
CHIRP = (8000 * np.sin(2 * np.pi * (300 + 500 * SECOND) * SECOND)).astype(np.int16)


def _likeness(sent: NDArray[np.int16], heard: NDArray[np.int16]) -> float:
    """Largest normalised cross-correlation of two recordings, 1 for the same sound."""
    size = len(sent) + len(heard)
    product = np.fft.irfft(np.fft.rfft(heard, size) * np.conj(np.fft.rfft(sent, size)), size)
    return float(np.max(product) / np.linalg.norm(sent.astype(float)) / np.linalg.norm(heard.astype(float)))


def test_the_microphone_hears_what_is_played_into_it(audio_rig: AudioRig) -> None:
    with audio_rig.recording("mic.monitor") as record:
        audio_rig.play(CHIRP)
    assert _likeness(CHIRP, record.samples) > 0.9


def test_portaudio_plays_into_the_loudspeaker_and_the_microphone_stays_silent(audio_rig: AudioRig) -> None:
    with audio_rig.here(), audio_rig.recording() as speaker, audio_rig.recording("mic.monitor") as mic:
        sounddevice.play(CHIRP, RATE, blocking=True)
        speaker.wait_for_silence(0.2)
    assert _likeness(CHIRP, speaker.samples) > 0.9
    assert not mic.samples.any()


def test_portaudio_captures_from_the_microphone(audio_rig: AudioRig) -> None:
    with audio_rig.here():
        captured: list[bytes] = []
        with sounddevice.RawInputStream(
            RATE,
            channels=1,
            dtype="int16",
            latency="high",
            callback=lambda data, *_: captured.append(bytes(data)),
        ):
            audio_rig.play(CHIRP)
    assert _likeness(CHIRP, np.frombuffer(b"".join(captured), np.int16)) > 0.9
