"""Interfaces to the outer packages. All but the display may be missing; the job goes on without them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from bench.dialogue.effects import Look, Tone, Tuning, View
from bench.language.meaning import Expectation
from bench.voice.voice_settings import VoiceSettings


class Display(Protocol):
    """The screen, or plain lines in its place. Callable from any thread. Never raises."""

    def show(self, view: View) -> None:
        """Show this view."""

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        """Show the level of the sound and of the background noise, in decibels relative to full scale."""

    def hearing(self, words: str) -> None:
        """Show the partial transcript of an utterance."""

    def notice(self, words: str) -> None:
        """Show a brief notice."""

    def restyle(self, look: Look) -> None:
        """Change the colors or the size of the letters. The display has the choice stored."""

    def leave(self) -> None:
        """Close the display at the end of the session."""


class Hearing(Protocol):
    """The ears. They report every failure as an event."""

    def start(self) -> None:
        """Start listening."""

    def expect(self, expectation: Expectation) -> None:
        """Set what can be said from now on."""

    def deafen(self, deaf: bool) -> None:
        """Stop hearing, or hear again: the voice has ended."""

    def close(self) -> None:
        """Release the microphone."""


class Speech(Protocol):
    """The voice. It reports every failure as an event."""

    @property
    def settings(self) -> VoiceSettings:
        """The current settings."""

    def start(self) -> None:
        """Get ready to speak."""

    def say(self, words: str) -> None:
        """Speak these words. They replace any being spoken."""

    def hush(self) -> None:
        """Stop speaking at once."""

    def earcon(self, tone: Tone) -> None:
        """Play one of the short sounds."""

    def tune(self, tuning: Tuning, by: int) -> None:
        """Change volume or rate by this many steps."""

    def close(self) -> None:
        """Release the loudspeaker."""


@dataclass(slots=True)
class Ports:
    """The available ports. `ears` is set a little after the screen, because its model takes time to load.

    With a `headset` the person may talk over the voice. Without one the ears are closed while it speaks.
    """

    display: Display
    voice: Speech | None = None
    ears: Hearing | None = None
    headset: bool = False
