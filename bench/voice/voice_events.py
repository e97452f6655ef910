"""What the voice tells: it never raises once started, every failure is an event."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Speaking:
    """These words are about to sound. Comes before the first sample, so the ears can be closed in time."""

    words: str


@dataclass(frozen=True, slots=True)
class Silent:
    """Nothing sounds any more: the last sample has left the loudspeaker, or there is nothing to speak with.

    Follows every `say` and every `hush` that was not replaced by another `say`.
    """


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something is lost: `room` is `speaker` or `voice`, `remedy` how to mend it. Told once an outage."""

    message: str
    remedy: str
    room: str = "speaker"


@dataclass(frozen=True, slots=True)
class Mended:
    """What was lost works again."""

    message: str
    room: str = "speaker"


VoiceEvent = Speaking | Silent | Trouble | Mended
