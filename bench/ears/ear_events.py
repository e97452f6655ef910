"""What the ears tell the assistant. A failure is the dialogue's `Failed`, its end `Recovered`; nothing is raised."""

from __future__ import annotations

from dataclasses import dataclass

from bench.dialogue.events import Failed, Recovered
from bench.language.meaning import Heard


@dataclass(frozen=True, slots=True)
class Level:
    """The sound level, at most ten times a second.

    `dbfs` is the loudness of the last tenth of a second and `floor` that of the quiet between sounds, both in
    decibels below full scale; `clipped` is true when the microphone was driven beyond what it can take.
    """

    dbfs: float
    floor: float
    clipped: bool


@dataclass(frozen=True, slots=True)
class Listening:
    """The microphone is open, and the recognizer has its first grammar."""

    device: str


@dataclass(frozen=True, slots=True)
class SecondListening:
    """The second recognizer is up: from now on it decides what was said."""


@dataclass(frozen=True, slots=True)
class VoiceStarted:
    """Somebody began to speak."""


@dataclass(frozen=True, slots=True)
class VoiceStopped:
    """The speech ended. An Utterance follows, unless the ears were closed in the middle of it."""


@dataclass(frozen=True, slots=True)
class Partial:
    """The best reading so far. For display only: it may change until the Utterance."""

    heard: Heard


@dataclass(frozen=True, slots=True)
class Utterance:
    """A whole utterance. Without hypotheses, the speech was not for us."""

    heard: Heard


@dataclass(frozen=True, slots=True)
class Ended:
    """The recording in place of the microphone is over."""


Speech = VoiceStarted | VoiceStopped | Partial | Utterance
EarEvent = Level | Listening | SecondListening | Speech | Failed | Recovered | Ended
