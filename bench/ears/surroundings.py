"""After talk for somebody else more of it is likely: for a while, an answer needs a higher confidence.

Pure: what was heard and its time in, the same with its confidence adjusted out.
"""

from __future__ import annotations

from dataclasses import replace

from bench.ears.ear_settings import EarSettings
from bench.language.meaning import Heard


def at_odds(confidence: float, odds: float) -> float:
    """A confidence found under even odds, when speech is `odds` times less likely to be for us (Bayes' rule)."""
    return confidence / (confidence + (1 - confidence) * odds)


class Surroundings:
    """Remembers when speech was last heard that was not for us. Times in seconds of sound."""

    def __init__(self, settings: EarSettings) -> None:
        self._settings = settings
        self._talked: float | None = None

    def weigh(self, heard: Heard, begun: float, ended: float) -> Heard:
        """What was heard from `begun` to `ended`, with less confidence if there was talk shortly before."""
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
