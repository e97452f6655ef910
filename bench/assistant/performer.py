"""Performs the dialogue's effects: ears first, then screen, then voice, so that a reader may answer at once."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from bench.assistant.ports import Ports, Speech
from bench.dialogue.effects import Earcon, Effect, Finish, Hush, Listen, Restyle, Say, Show, Tone, Tune
from bench.language.meaning import Expectation, Kind
from bench.voice.voice_settings import VoiceSettings

log = logging.getLogger(__name__)

BEGINS_WITHIN = 3.0
"""Seconds within which speech must start. A voice that takes longer has failed."""
LONGEST = 60.0
"""Seconds after which the ears open again even if the voice never reported that it is silent."""
TONE_REST = 10.0
"""Least seconds between tones for speech that was rejected, so that people talking nearby do not trigger many."""


class Performer:
    """Performs effects, and keeps the ears deaf while the voice speaks.

    `speaking` is the sentence being spoken or about to be. `on_finish` is called when the person is done,
    `on_tuned` when the settings of the voice changed.
    """

    def __init__(
        self,
        ports: Ports,
        on_finish: Callable[[], None],
        on_tuned: Callable[[VoiceSettings], None] = lambda settings: None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.ports = ports
        self.speaking = ""
        self.expectation = Expectation(Kind.COMMAND)
        self.on_finish = on_finish
        self._on_tuned = on_tuned
        self._clock = clock
        self._said = 0
        self._replaced = False
        self._begun = False
        self._open_at = float("inf")
        self._toned = float("-inf")

    def perform(self, effects: Sequence[Effect]) -> None:
        """Perform the effects of one event. Several sentences are spoken as one, in order."""
        for effect in effects:
            if isinstance(effect, Listen):
                self._listen(effect.expectation)
        views = [effect.view for effect in effects if isinstance(effect, Show)]
        if views:
            said = " ".join(view.said for view in views if view.said)
            self.ports.display.show(replace(views[-1], said=said))
        for effect in effects:
            self._do(effect)
        words = " ".join(effect.words for effect in effects if isinstance(effect, Say) and effect.words)
        if words:
            self.say(words)
        if any(isinstance(effect, Finish) for effect in effects):
            self.on_finish()

    def say(self, words: str) -> None:
        """Close the ears, then speak."""
        if self.ports.voice is None:
            return
        self._replaced, self._begun = bool(self.speaking), False
        self.speaking = words
        self._said += 1
        self._open_at = self._clock() + BEGINS_WITHIN
        self._deafen(True)
        self.ports.voice.say(words)

    def hush(self) -> None:
        """Stop speaking at once. The ears open when the voice reports that it is silent."""
        if self.ports.voice is not None and self.speaking:
            self._replaced = False
            self.ports.voice.hush()

    def hush_unless_said(self, act: Callable[[], None]) -> None:
        """Run `act`. A new sentence replaces the old one; without a new one, stop speaking."""
        before = self._said
        act()
        if self._said == before:
            self.hush()

    def begun_speaking(self) -> None:
        """Note that the voice is about to start."""
        self._begun = True
        self._open_at = self._clock() + LONGEST
        self._deafen(True)

    def fell_silent(self) -> bool:
        """Open the ears after the voice ended. False for a sentence that has since been replaced."""
        if self._replaced and not self._begun:
            return False
        self._open()
        return True

    def tick(self) -> None:
        """Open the ears when the voice should have started or ended long ago and has not reported it."""
        if self._clock() >= self._open_at:
            log.error("the voice did not report that it started or ended: %r", self.speaking)
            self._open()

    def ears_ready(self) -> None:
        """Tell ears that started late what can be said now."""
        if self.ports.ears is not None:
            self.ports.ears.expect(self.expectation)
            self._deafen(bool(self.speaking))
            self.ports.ears.start()

    def _open(self) -> None:
        self.speaking = ""
        self._replaced = False
        self._open_at = float("inf")
        self._deafen(False)

    def _listen(self, expectation: Expectation) -> None:
        self.expectation = expectation
        if self.ports.ears is not None:
            self.ports.ears.expect(expectation)

    def _do(self, effect: Effect) -> None:
        voice = self.ports.voice
        if isinstance(effect, Hush):
            self.hush()
        elif isinstance(effect, Restyle):
            self.ports.display.restyle(effect.look)
        elif isinstance(effect, Earcon) and voice is not None:
            self._sound(voice, effect.tone)
        elif isinstance(effect, Tune) and voice is not None:
            voice.tune(effect.what, effect.by)
            self._on_tuned(voice.settings)

    def _sound(self, voice: Speech, tone: Tone) -> None:
        if tone is Tone.NOT_UNDERSTOOD:
            if self._clock() < self._toned + TONE_REST:
                return
            self._toned = self._clock()
        voice.earcon(tone)

    def _deafen(self, deaf: bool) -> None:
        if self.ports.ears is not None and not self.ports.headset:
            self.ports.ears.deafen(deaf)
