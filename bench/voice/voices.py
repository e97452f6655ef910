"""Lists the available voices and chooses one."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from bench.core.notes import BenchError
from bench.data.files import read_toml, structured

PYTTSX3 = "pyttsx3"
AUTO = "auto"


@dataclass(frozen=True, slots=True)
class Voice:
    """An available voice. `engine` is pyttsx3 or the name of a program, `key` the engine's id of the voice."""

    engine: str
    key: str
    name: str
    languages: tuple[str, ...] = ()

    @property
    def english(self) -> bool:
        """Whether the voice speaks English."""
        return any(language.startswith("en") for language in self.languages)


@dataclass(frozen=True, slots=True)
class Program:
    """A program that writes speech to a file.

    `command` is run with `{voice}`, `{words}`, `{file}` and `{stretch}` filled in. `stretch` is the duration of a
    phrase relative to that at the voice's own `words_per_minute`. `license` is the program's license.
    """

    name: str
    command: tuple[str, ...]
    voices: tuple[str, ...]
    words_per_minute: int
    license: str


@cache
def programs() -> tuple[Program, ...]:
    """The speech programs that Bench can use if installed, best first (`shared/voices.toml`)."""
    raw = read_toml("voices.toml")
    return structured("voices.toml", _Table, raw).program


@dataclass(frozen=True, slots=True)
class _Table:
    program: tuple[Program, ...]


def program_voices() -> tuple[Voice, ...]:
    """Voices of the speech programs installed on this machine."""
    return tuple(
        Voice(program.name, voice, f"{program.name} {voice}", ("en-us",))
        for program in programs()
        if shutil.which(program.command[0])
        for voice in program.voices
    )


def choose(wanted: str, voices: Sequence[Voice]) -> Voice:
    """The voice `wanted` by full or partial name. For `auto`, American English of pyttsx3, else any English.

    Raises BenchError listing the voices when none has that name.
    """
    english = [voice for voice in voices if voice.english]
    if wanted != AUTO:
        found = [voice for voice in (*english, *voices) if _matches(wanted, voice)]
        if not found:
            names = ", ".join(voice.name for voice in english or voices)
            raise BenchError(f"No voice is called {wanted}.", f"Voices here: {names}.", code="voice_unknown")
        return found[0]
    ranked = sorted(
        english or voices, key=lambda voice: (voice.engine != PYTTSX3, "en-us" not in voice.languages)
    )
    if not ranked:
        raise BenchError("There is no voice on this machine.", code="voice_missing")
    return ranked[0]


def _matches(wanted: str, voice: Voice) -> bool:
    return wanted.lower() in (voice.key.lower(), voice.name.lower()) or wanted.lower() in voice.name.lower()
