"""Someone who talks to a session by sound alone: every word is real sound, heard under the grammar of the moment.

The ears hear each utterance as fast as they can, so that a quarter of an hour of work fits a test.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import soxr

from bench.assistant.assembly import Options, conversation
from bench.assistant.lookup import jobs_found
from bench.assistant.session import Session
from bench.audio.samples import RATE
from bench.data.bundle import knowledge
from bench.dialogue.effects import Effect, FindJobs, Listen, Say, Show
from bench.dialogue.events import Event, Said
from bench.dialogue.state import State
from bench.ears.choose import recognizer
from bench.ears.recognizer import Recognizer
from bench.ears.whole import hear_whole
from bench.memory.store import Store
from tests.audio_rig import synthetic_voice

VOICE = "flite:rms"
TRIES = 5


class Person:
    """Someone who repeats themselves when they are misheard, and says no to a wrong reading."""

    def __init__(self, folder: Path, ear: str = "vosk", lesson: bool = False) -> None:
        self.folder = folder
        self._options = Options(lesson=lesson)
        self.ear: Recognizer = recognizer(ear)
        self.utterances = self.misheard = 0
        self.said = ""
        self.shown: list[tuple[str, str]] = []
        self._looked_up: list[Event] = []
        self.open()

    def open(self) -> None:
        """Start the assistant on the folder."""
        self.store = Store(self.folder)
        talk = conversation(knowledge(), self._options, self.store)
        self.session: Session[State] = Session(talk, self.store, self.perform)
        self.session.begin()

    def crash(self) -> None:
        """End it as a power cut does: nothing is told, nothing more is written."""
        self.store.close()
        self.open()

    def close(self) -> None:
        """The day is over."""
        self.ear.close()
        self.store.close()

    def perform(self, effects: Sequence[Effect]) -> None:
        """Hear and see what the assistant does."""
        for effect in effects:
            if isinstance(effect, Say):
                self.said = effect.words.lower()
            if isinstance(effect, Show):
                self.shown.append((effect.view.verb, effect.view.number))
            if isinstance(effect, Listen):
                self.ear.expect(effect.expectation)
            if isinstance(effect, FindJobs):
                self._looked_up.append(jobs_found(effect.asked, self.store.kept_jobs(), datetime.now(UTC)))

    def say(self, words: str, until: str) -> None:
        """Say it until the reply holds `until`; a reading offered is answered with yes or no."""
        for _ in range(TRIES):
            self._utter(words)
            while "did you say" in self.said:
                right = until in self.said or words in self.said.replace("-", " ")
                self._utter("yes" if right else "no")
            if until in self.said:
                return
            self.misheard += 1
        raise AssertionError(f"said {words!r} and waited for {until!r}; the last reply was {self.said!r}")

    def _utter(self, words: str) -> None:
        samples, rate = synthetic_voice(words, VOICE)
        sound = soxr.resample(samples.astype(np.float32), rate, RATE).astype(np.int16)
        self.utterances += 1
        self.session.handle(Said(hear_whole(self.ear, sound)))
        while self._looked_up:
            self.session.handle(self._looked_up.pop())
