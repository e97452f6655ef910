"""Talk for somebody else makes more of it likely: for a while after it, an answer must be clearer to count.

Pure: what was heard and the time in, what was heard as sure as it deserves out.
"""

from __future__ import annotations

from dataclasses import replace

from bench.ears.ear_settings import EarSettings
from bench.language.meaning import Heard


def at_odds(confidence: float, odds: float) -> float:
    """A confidence that took it for as likely that speech is for us as not, when it is `odds` times less likely."""
    return confidence / (confidence + (1 - confidence) * odds)


class Surroundings:
    """Remembers when speech was last heard that was not for us. Times in seconds of sound."""

    def __init__(self, settings: EarSettings) -> None:
        self._settings = settings
        self._talked: float | None = None

    def weigh(self, heard: Heard, begun: float, ended: float) -> Heard:
        """What was heard from `begun` to `ended`, less sure if there was talk shortly before."""
        settings = self._settings
        lately = self._talked is not None and begun - self._talked < settings.talk_lasts
        if heard.confidence < settings.not_ours:
            self._talked = ended
        if not lately:
            return heard
        weighed = (
            replace(one, confidence=at_odds(one.confidence, settings.talk_odds)) for one in heard.hypotheses
        )
        return replace(heard, hypotheses=tuple(weighed))

    def forget(self) -> None:
        """The assistant has spoken: an answer is likely again."""
        self._talked = None
