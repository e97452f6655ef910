"""The settings of the voice and the effect of one step up or down."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bench.dialogue.effects import Tuning

VOLUME_STEP_DB = 4.0
VOLUME_RANGE_DB = (-32.0, 0.0)
RATE_STEP_WPM = 20
RATE_RANGE_WPM = (100, 260)


@dataclass(frozen=True, slots=True)
class VoiceSettings:
    """Settings of the voice, stored as they are.

    `voice` is a full or partial name, or `auto`. `speaker` is a full or partial name of an output device, None for
    the default one. `words_per_minute` is the requested rate. `volume_db` is the peak level in decibels relative
    to full scale.
    """

    voice: str = "auto"
    speaker: str | None = None
    words_per_minute: int = 160
    volume_db: float = -4.0

    def tuned(self, what: Tuning, by: int) -> VoiceSettings:
        """These settings changed by `by` steps, limited to the valid range."""
        if what is Tuning.VOLUME:
            return replace(self, volume_db=_held(self.volume_db + by * VOLUME_STEP_DB, VOLUME_RANGE_DB))
        return replace(
            self, words_per_minute=int(_held(self.words_per_minute + by * RATE_STEP_WPM, RATE_RANGE_WPM))
        )


def _held(value: float, within: tuple[float, float]) -> float:
    return min(max(value, within[0]), within[1])
