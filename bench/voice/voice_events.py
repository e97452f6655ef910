"""What the voice tells the assistant. A failure is the dialogue's `Failed`, its end `Recovered`; nothing is raised."""

from __future__ import annotations

from dataclasses import dataclass

from bench.dialogue.events import Failed, Recovered


@dataclass(frozen=True, slots=True)
class Speaking:
    """These words are about to sound. Comes before the first sample, so the ears can be closed in time."""

    words: str


@dataclass(frozen=True, slots=True)
class Silent:
    """Nothing sounds any more: the last sample has left the loudspeaker, or there is nothing to speak with.

    Follows every `say` and every `hush` that was not replaced by another `say`.
    """


VoiceEvent = Speaking | Silent | Failed | Recovered
