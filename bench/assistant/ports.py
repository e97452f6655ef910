"""What the assistant needs of the outer packages. All but the display may be missing; the job goes on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from bench.dialogue.effects import Look, Tone, Tuning, View
from bench.language.meaning import Expectation
from bench.voice.voice_settings import VoiceSettings


class Display(Protocol):
    """The screen, or plain lines in its place. Called from any thread; never raises."""

    def show(self, view: View) -> None:
        """Show this view."""

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        """The level of the sound and of the background noise, in decibels relative to full scale."""

    def hearing(self, words: str) -> None:
        """What is being heard, while it is being said."""

    def notice(self, words: str) -> None:
        """Something worth a line for a moment."""

    def restyle(self, look: Look) -> None:
        """Other colors, or larger or smaller letters; the display has it kept."""

    def leave(self) -> None:
        """The session is over."""


class Hearing(Protocol):
    """The ears. They report every failure as an event."""

    def start(self) -> None:
        """Begin to listen."""

    def expect(self, expectation: Expectation) -> None:
        """Only this can be said from now on."""

    def deafen(self, deaf: bool) -> None:
        """Stop hearing, or hear again: the voice has ended."""

    def close(self) -> None:
        """Give the microphone back."""


class Speech(Protocol):
    """The voice. It reports every failure as an event."""

    @property
    def settings(self) -> VoiceSettings:
        """How it is set now."""

    def start(self) -> None:
        """Make ready to speak."""

    def say(self, words: str) -> None:
        """Speak these words instead of any being spoken."""

    def hush(self) -> None:
        """Fall silent at once."""

    def earcon(self, tone: Tone) -> None:
        """One of the short sounds."""

    def tune(self, tuning: Tuning, by: int) -> None:
        """Louder or quieter, faster or slower, by steps."""

    def close(self) -> None:
        """Give the loudspeaker back."""


@dataclass(slots=True)
class Ports:
    """The ports there are. `ears` come a little after the screen, because their model takes time to load.

    With a `headset` the person may talk over the voice; without one the ears are deaf while it speaks.
    """

    display: Display
    voice: Speech | None = None
    ears: Hearing | None = None
    headset: bool = False
