"""Events from the voice. A failure is the dialogue's `Failed`, its end `Recovered`. Nothing is raised."""

from __future__ import annotations

from dataclasses import dataclass

from bench.dialogue.events import Failed, Recovered


@dataclass(frozen=True, slots=True)
class Speaking:
    """These words are about to be spoken. Sent before the first sample, so that the ears can be closed in time."""

    words: str


@dataclass(frozen=True, slots=True)
class Silent:
    """The voice is silent: the last sample has been played, or no voice is available.

    Sent after every `say` and `hush` that was not replaced by another `say`.
    """


VoiceEvent = Speaking | Silent | Failed | Recovered
