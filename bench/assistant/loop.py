"""The event loop: one thread and one queue handle the events of all parts in order."""

from __future__ import annotations

import logging
import queue
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Generic

from bench.assistant.performer import Performer
from bench.assistant.ports import Hearing
from bench.assistant.session import S, Session
from bench.data.screen_words import screen_words
from bench.dialogue.events import Event, Failed, Pressed, Recovered, Said, Silence
from bench.ears import ear_events as ears
from bench.language.meaning import Heard, Kind, Understanding
from bench.voice import voice_events as voice

log = logging.getLogger(__name__)

SILENCES = (25.0, 60.0, 180.0)
"""Seconds of silence after which the dialogue gets one event."""
LAST_WORDS = 6.0
"""Longest wait, in seconds, for the last words to be spoken before the session ends."""
SAVE_AGAIN = 5.0
"""Seconds between attempts to save after the disk failed."""


@dataclass(frozen=True, slots=True)
class EarsReady:
    """The ears have been created and now listen."""

    ears: Hearing


@dataclass(frozen=True, slots=True)
class Remember:
    """Settings to store."""

    settings: Mapping[str, object]


Item = Event | ears.EarEvent | voice.VoiceEvent | EarsReady | Remember


class Loop(Generic[S]):
    """Passes what the parts post to the session, until the person is done.

    `understand` interprets a partial utterance in the current state. A command in it stops the voice.
    `leave_at_end` ends the session once a recording that stands in for the microphone is over.
    """

    def __init__(
        self,
        session: Session[S],
        performer: Performer,
        understand: Callable[[Heard], Understanding] | None = None,
        leave_at_end: bool = False,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._session = session
        self._performer = performer
        self._understand = understand
        self._leave_at_end = leave_at_end
        self._clock = clock
        self._items: queue.Queue[Item] = queue.Queue()
        self._over = threading.Event()
        self._ended = False
        self._leave_at = float("inf")
        self._quiet_since = clock()
        self._silences = list(SILENCES)
        self._save_at = clock() + SAVE_AGAIN

    def post(self, item: Item) -> None:
        """Post an event from any thread. The sound level goes straight to the screen and is never queued."""
        if isinstance(item, ears.Level):
            self._performer.ports.display.level(item.dbfs, item.floor, item.clipped)
        else:
            self._items.put(item)

    def finish(self) -> None:
        """End the session once the last words are spoken."""
        self._leave_at = self._clock() + LAST_WORDS

    def stop(self) -> None:
        """End after the current event. May be called from any thread."""
        self._over.set()
        self._items.put(voice.Silent())

    def run(self) -> None:
        """Begin the conversation and handle events until it is over."""
        self._session.begin()
        while not self._over.is_set():
            with suppress(queue.Empty):
                self.take(self._items.get(timeout=0.25))
            self.tick()

    def drain(self) -> None:
        """Handle what has been posted so far. For a session whose loop does not run."""
        while not self._items.empty():
            self.take(self._items.get_nowait())

    def take(self, item: Item) -> None:  # noqa: C901, PLR0912, PLR0915 - one case for each kind of event
        """Handle one event."""
        if not isinstance(item, ears.Partial):
            log.info("%r", item)
        match item:
            case ears.Utterance(heard):
                self._performer.ports.display.hearing(heard.text)
                self._acted(Said(heard))
            case Pressed():
                self._performer.hush_unless_said(lambda: self._acted(item))
            case ears.VoiceStarted():
                self._acted()
            case ears.Partial(heard):
                self._talked_over(heard)
            case Failed() | Recovered():
                self._session.handle(item)
            case voice.Speaking():
                self._performer.begun_speaking()
            case voice.Silent():
                if self._performer.fell_silent():
                    self._quiet_since = self._clock()
            case EarsReady(ready):
                self._performer.ports.ears = ready
                self._performer.ears_ready()
            case Remember(settings):
                self._session.remember(settings)
            case ears.Ended():
                self._ended = True
            case ears.SecondListening():
                self._performer.ports.display.notice(screen_words().second_recognizer)
            case ears.Listening() | ears.VoiceStopped() | ears.Level():
                pass
            case _:
                self._acted(item)

    def tick(self) -> None:
        """Do what is due by the clock: report silence, try to save again."""
        now = self._clock()
        self._performer.tick()
        if now >= self._save_at:
            self._save_at = now + SAVE_AGAIN
            self._session.save_again()
        if self._silences and not self._performer.speaking and now - self._quiet_since >= self._silences[0]:
            self._session.handle(Silence(self._silences.pop(0)))
        over = self._ended and self._leave_at_end and self._items.empty()
        if now >= self._leave_at or (
            (over or self._leave_at < float("inf")) and not self._performer.speaking
        ):
            self._over.set()

    def _acted(self, event: Event | None = None) -> None:
        """Restart the measurement of silence, because the person did something."""
        self._quiet_since = self._clock()
        self._silences = list(SILENCES)
        if event is not None:
            self._session.handle(event)

    def _talked_over(self, heard: Heard) -> None:
        self._performer.ports.display.hearing(heard.text)
        if self._performer.speaking and self._understand:
            meaning = self._understand(heard).meaning
            if meaning and meaning.kind is Kind.COMMAND:
                self._performer.hush()
