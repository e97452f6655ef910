"""The person in the demonstration: a second synthetic voice, recognized by the real ears."""

from __future__ import annotations

import logging
import queue
import re
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from bench.assistant.ports import Display
from bench.audio.loudspeaker import Loudspeaker
from bench.audio.samples import RATE, Samples
from bench.audio.sound import Sound
from bench.core.notes import BenchError
from bench.data.files import read_toml, structured
from bench.dialogue.effects import Look, View
from bench.voice.renderer import Renderer

log = logging.getLogger(__name__)

BLOCK = 512
"""Samples per block for the ears: 32 ms."""
ROOM_TONE = 6
"""Peak of the noise between words, because no room is digitally silent."""


@dataclass(frozen=True, slots=True)
class Part:
    """What the person says in response to any of some prompts, once or every time.

    With `values`, the assistant must have read them all back; if not, `otherwise` is said.
    """

    hears: tuple[str, ...]
    says: str
    once: bool = False
    values: tuple[str, ...] = ()
    otherwise: str = "no"


@dataclass(frozen=True, slots=True)
class Scenario:
    """A job to demonstrate: its title, the person's voice and lines, and the expected marks.

    `doubt` is how the assistant asks whether it heard correctly; the person says yes if it did. `replies_per_minute`
    is the assistant's speech rate in words per minute.
    """

    title: str
    voices: tuple[str, ...]
    words_per_minute: int
    replies_per_minute: int
    marks: tuple[str, ...]
    doubt: str
    part: tuple[Part, ...]


def scenario() -> Scenario:
    """The demonstration of `shared/demo.toml`. Raises BenchError when it is damaged."""
    return structured("demo.toml", Scenario, read_toml("demo.toml"))


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


@dataclass
class Watched:
    """A display that also passes each view to the person. Everything else is delegated."""

    display: Display
    mark_verb: str
    views: list[View] = field(default_factory=list)
    changed: float = 0.0

    def show(self, view: View) -> None:
        """Show the view and store it."""
        self.views.append(view)
        self.changed = time.monotonic()
        self.display.show(view)

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        """Delegate."""
        self.display.level(dbfs, floor, clipped)

    def hearing(self, words: str) -> None:
        """Delegate."""
        self.display.hearing(words)

    def notice(self, words: str) -> None:
        """Delegate."""
        self.display.notice(words)

    def restyle(self, look: Look) -> None:
        """Delegate."""
        self.display.restyle(look)

    def leave(self) -> None:
        """Delegate."""
        self.display.leave()

    @property
    def marks(self) -> tuple[str, ...]:
        """The distinct marks shown, in order."""
        shown = [view for view in self.views if view.verb == self.mark_verb]
        places = (place for view in shown for place in (view.action if view.action_alone else (view.number,)))
        return tuple(dict.fromkeys(places))


class Person:
    """Waits until the assistant has finished, pauses briefly, and answers."""

    THINKS = 0.3
    """Seconds from the end of the assistant's speech to the answer."""
    GIVES_UP = 6

    def __init__(
        self,
        parts: tuple[Part, ...],
        watched: Watched,
        say: Callable[[str], None],
        may_speak: Callable[[], bool],
        doubt: str = "",
    ) -> None:
        self._parts = list(parts)
        self._doubt = doubt
        self._meant = ""
        self._watched = watched
        self._say = say
        self._may_speak = may_speak
        self._over = threading.Event()
        self.failed = ""

    def stop(self) -> None:
        """Stop at the end of the session."""
        self._over.set()

    def run(self, waits: float = 6.0) -> None:
        """Play the part until stopped. `failed` is set when the assistant no longer answers."""
        answered, said_at, quiet_since = 0, 0.0, time.monotonic()
        asked: deque[str] = deque(maxlen=20)
        while not self._over.wait(0.05):
            now, shown = time.monotonic(), len(self._watched.views)
            if not self._may_speak():
                quiet_since = now
            settled = now - max(quiet_since, self._watched.changed) >= self.THINKS
            if not shown or not settled or (shown == answered and now - said_at < waits):
                continue
            question = self._question()
            asked.append(question)
            if asked.count(question) > self.GIVES_UP:
                self.failed = f"The assistant did not get past {question!r}."
                return
            answered = shown
            self._say(self.answer(question))
            said_at = quiet_since = time.monotonic()

    def _question(self) -> str:
        """The last spoken question. A screen without words only means that nothing was heard."""
        return next((view.said for view in reversed(self._watched.views) if view.said), "")

    def answer(self, said: str) -> str:
        """The person's answer to this sentence."""
        if self._doubt and self._doubt in said and not self._answers(said):
            heard = _plain(said.rpartition(self._doubt)[2]).removesuffix("inches").removesuffix("inch")
            return "yes" if heard and self._meant.endswith(heard) else "no"
        answer = self._part_for(said)
        self._meant = _plain(answer)
        return answer

    def _answers(self, doubt: str) -> bool:
        """Whether a separate part answers this question."""
        heard = (words for part in self._parts for words in part.hears if self._doubt in words)
        return any(_in(words.lower(), doubt.lower()) for words in heard)

    def _part_for(self, said: str) -> str:
        for part in self._parts:
            if any(_in(heard.lower(), said.lower()) for heard in part.hears):
                if part.once:
                    self._parts.remove(part)
                right = all(value.lower() in said.lower() for value in part.values)
                return part.says if right else part.otherwise
        raise ValueError(f"the person has nothing to say to {said!r}")


def _plain(words: str) -> str:
    """The words without symbols and spaces, for comparison."""
    return re.sub(r"[\W_]", "", words.lower())


def _in(heard: str, said: str) -> bool:
    """Whether the sentence contains `heard`. `^` anchors it at the beginning."""
    return said.startswith(heard[1:]) if heard.startswith("^") else heard in said


def _first_there(wanted: tuple[str, ...], renderer: Renderer) -> str:
    """The first of these voices that this machine has, else any English one."""
    names = [voice.name.lower() for voice in renderer.voices() if voice.english]
    for one in wanted:
        if any(one.lower() in name for name in names):
            return one
    return "auto"
