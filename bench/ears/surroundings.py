"""Lowers the confidence of speech shortly after talk that was not for us, because more talk is likely then.

Pure: an utterance with its times in, the same with adjusted confidence out.
"""

from __future__ import annotations

from dataclasses import replace

from bench.ears.ear_settings import EarSettings
from bench.language.meaning import Heard


def at_odds(confidence: float, odds: float) -> float:
    """The confidence at prior odds of `odds` to 1 against speech for us, from that at even odds (Bayes' rule)."""
    return confidence / (confidence + (1 - confidence) * odds)


class Surroundings:
    """Remembers when the last speech that was not for us ended. Times are in seconds of sound."""

    def __init__(self, settings: EarSettings) -> None:
        self._settings = settings
        self._talked: float | None = None

    def weigh(self, heard: Heard, begun: float, ended: float) -> Heard:
        """The utterance from `begun` to `ended`, with lower confidence if there was talk shortly before."""
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
