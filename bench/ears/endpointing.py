"""When an utterance is over: as soon as there is reason to believe that nothing follows."""

from __future__ import annotations

from collections.abc import Callable

from bench.ears.ear_events import EarEvent, Partial
from bench.ears.ear_settings import EarSettings
from bench.ears.recognizer import Recognizer
from bench.ears.voice_activity import VoiceActivity
from bench.language.meaning import Heard, Hypothesis, Understanding

Understand = Callable[[Heard], Understanding]
Guarded = Callable[[Callable[[], object]], bool]
"""Does some work of the recognizer, tells its trouble, and returns whether there was none."""


class Endpointing:
    """Asks the recognizer during an utterance what it hears, and `understand` whether that is whole."""

    def __init__(
        self,
        recognizer: Recognizer,
        activity: VoiceActivity,
        settings: EarSettings,
        understand: Understand,
        guarded: Guarded,
        tell: Callable[[EarEvent], None],
    ) -> None:
        self._recognizer = recognizer
        self._activity = activity
        self._settings = settings
        self._understand = understand
        self._guarded = guarded
        self._tell = tell
        self.begin()

    def begin(self) -> None:
        """An utterance begins."""
        self._asked = 0.0
        self._looked = 0
        self._understood: tuple[tuple[Hypothesis, ...], Understanding] | None = None

    def speaking(self) -> None:
        """One more frame of speech. Ends a pause, and reports a partial reading from time to time."""
        if self._looked:
            self._looked = 0
            self._guarded(self._recognizer.resume)
        if self._due(self._settings.partial_every):
            self._partial()

    def over(self) -> bool:
        """One more frame of a pause: whether the utterance is over."""
        settings, pause = self._settings, self._activity.pause
        looks = (settings.look, settings.look_again)
        if self._looked < len(looks) and pause >= looks[self._looked]:
            self._looked += 1
            self._guarded(self._recognizer.pause)
        return pause >= settings.end_open or self._agreed(pause) or self._heard_whole(pause)

    def _agreed(self, pause: float) -> bool:
        """Whether both recognizers agree on an answer, are sure of it, and nothing is likely to follow."""
        if pause < self._settings.end_sure:
            return False
        return self._is_whole(self._sure(), may_go_on=pause >= self._settings.end_agreed)

    def _heard_whole(self, pause: float) -> bool:
        """Whether one recognizer has a whole answer to which nothing can be added; the second must be sure of it."""
        wait = self._settings.end_whole
        if pause < wait or not self._due(wait / 2):
            return False
        return self._is_whole(self._partial()) or self._is_whole(self._sure(agreed=False))

    def _due(self, every: float) -> bool:
        """Whether the recognizer was last asked at least `every` seconds of sound ago."""
        if self._activity.length - self._asked < every:
            return False
        self._asked = self._activity.length
        return True

    def _partial(self) -> Heard:
        heard = Heard(())

        def ask() -> None:
            nonlocal heard
            heard = self._recognizer.partial()

        self._guarded(ask)
        if heard.hypotheses:
            self._tell(Partial(heard))
        return heard

    def _sure(self, agreed: bool = True) -> Heard:
        """The result so far if the recognizer is sure of it, else nothing."""
        heard = Heard(())

        def ask() -> None:
            nonlocal heard
            heard = self._recognizer.early(agreed) or heard

        self._guarded(ask)
        return heard if heard.confidence >= self._settings.sure else Heard(())

    def _is_whole(self, heard: Heard, may_go_on: bool = False) -> bool:
        """Whether the words are a whole answer, to which nothing can be added unless it `may_go_on`."""
        if not heard.hypotheses:
            return False
        if self._understood is None or self._understood[0] != heard.hypotheses:
            self._understood = heard.hypotheses, self._understand(heard)
        understanding = self._understood[1]
        meant = understanding.meaning is not None or bool(understanding.alternatives)
        return meant and (may_go_on or not understanding.could_go_on)
