"""The second synthetic voice of the demonstration, recognized by the real ears."""

from __future__ import annotations

import logging
import queue
import time

import numpy as np

from bench.audio.loudspeaker import Loudspeaker
from bench.audio.samples import RATE, Samples
from bench.audio.sound import Sound
from bench.core.notes import BenchError
from bench.voice.renderer import Renderer

log = logging.getLogger(__name__)


BLOCK = 512
"""Samples per block for the ears: 32 ms."""
ROOM_TONE = 6
"""Peak of the noise between words, because no room is digitally silent."""


class SpokenSource:
    """A substitute for the microphone: room noise and the words spoken into it, in real time."""

    waits = False
    name = "the second voice"

    def __init__(self) -> None:
        self._blocks: queue.Queue[Samples] = queue.Queue()
        self._due = 0.0
        self._noise = np.random.default_rng(1)

    def open(self) -> None:
        """Start."""
        self._due = time.monotonic()

    def close(self) -> None:
        """Do nothing: there is nothing to close."""

    def speak(self, sound: Sound) -> float:
        """Queue a segment of speech and return its duration in seconds."""
        samples = sound.at(RATE).samples
        padded = np.concatenate([samples, np.zeros(-len(samples) % BLOCK, np.int16)])
        for start in range(0, len(padded), BLOCK):
            self._blocks.put(padded[start : start + BLOCK])
        return len(padded) / RATE

    @property
    def sounding(self) -> bool:
        """Whether words are still to be heard. On a busy machine that takes longer than to say them."""
        return not self._blocks.empty()

    def read(self, timeout: float) -> Samples | None:
        """The next 32 ms, in real time."""
        self._due = max(self._due, time.monotonic() - 0.1) + BLOCK / RATE
        time.sleep(max(0.0, self._due - time.monotonic()))
        tone = self._noise.integers(-ROOM_TONE, ROOM_TONE, BLOCK, np.int16, endpoint=True)
        try:
            return np.asarray(self._blocks.get_nowait() // 2 + tone, np.int16)
        except queue.Empty:
            return tone


class SecondVoice:
    """Speaks the person's words into the source and, if available, through the loudspeaker.

    Raises BenchError when this machine has no voice at all.
    """

    def __init__(self, source: SpokenSource, voices: tuple[str, ...], rate: int, speaker: str | None) -> None:
        self._source = source
        self._rate = rate
        self._renderer = Renderer()
        self._voice = _first_there(voices, self._renderer)
        self._turn = 0
        try:
            self._loudspeaker: Loudspeaker | None = Loudspeaker(
                speaker, lambda turn: None, lambda reason: None
            )
        except BenchError as error:
            log.warning("the person's words cannot be played aloud: %s", error)
            self._loudspeaker = None

    def prepare(self, words: str) -> None:
        """Render words in advance, so that rendering does not delay the reply. The renderer keeps them."""
        self._renderer.render(words, self._voice, self._rate)

    def say(self, words: str) -> None:
        """Say the words and return when they are finished."""
        sound = self._renderer.render(words, self._voice, self._rate).tidied()
        self._turn += 1
        if self._loudspeaker:
            self._loudspeaker.play(self._turn, sound, True)
        time.sleep(self._source.speak(sound))

    @property
    def processes(self) -> frozenset[int]:
        """The ids of the helper processes of this voice."""
        player = self._loudspeaker.process if self._loudspeaker else None
        return frozenset(one.pid for one in (player, self._renderer.process) if one is not None)

    def close(self) -> None:
        """Close the loudspeaker and the voice."""
        if self._loudspeaker:
            self._loudspeaker.close()
        self._renderer.close()


def _first_there(wanted: tuple[str, ...], renderer: Renderer) -> str:
    """The first of these voices that this machine has, else any English one."""
    names = [voice.name.lower() for voice in renderer.voices() if voice.english]
    for one in wanted:
        if any(one.lower() in name for name in names):
            return one
    return "auto"
