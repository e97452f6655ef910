"""Everything that can happen to the dialogue."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.job.model import JobStick
from bench.language.meaning import Heard


class Key(StrEnum):
    """What a key, pedal, clicker or tap means, whatever button sent it."""

    NEXT = "next"
    BACK = "back"
    YES = "yes"
    NO = "no"
    REPEAT = "repeat"
    PAUSE = "pause"
    HELP = "help"
    UNITS = "units"
    QUIT = "quit"


@dataclass(frozen=True, slots=True)
class Started:
    """The assistant is up. `unfinished` is true when a saved job was loaded into the state."""

    unfinished: bool = False


@dataclass(frozen=True, slots=True)
class Said:
    """The person said something, by voice or typed."""

    heard: Heard


@dataclass(frozen=True, slots=True)
class Pressed:
    """A key, pedal, clicker or tap."""

    key: Key


@dataclass(frozen=True, slots=True)
class Silence:
    """Nobody has said or pressed anything for a while since the assistant fell silent."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Failed:
    """Something failed: `part` is microphone, speaker, voice, recognizer or disk."""

    part: str
    message: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Recovered:
    """What failed works again."""

    part: str
    message: str


@dataclass(frozen=True, slots=True)
class SheetWritten:
    """The job sheet is on disk, at `path`."""

    path: str


@dataclass(frozen=True, slots=True)
class FoundJob:
    """A job kept in the folder: last worked on so many `days` ago."""

    number: int
    name: str
    place: str
    days: int
    sticks: tuple[JobStick, ...]


@dataclass(frozen=True, slots=True)
class JobsFound:
    """The jobs kept, newest first; `asked` is the name that was looked for, blank for all."""

    asked: str
    jobs: tuple[FoundJob, ...]


Event = Started | Said | Pressed | Silence | Failed | Recovered | SheetWritten | JobsFound
