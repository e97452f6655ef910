"""Assembling the assistant: which parts there are, and what happens when one is not available."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bench.assistant.benders import keep_benders, kept_learning, kept_profiles
from bench.assistant.lookup import jobs_found
from bench.assistant.loop import EarsReady, Item, Loop, Remember
from bench.assistant.performer import Performer
from bench.assistant.ports import Display, Hearing, Ports
from bench.assistant.queue import queue_of
from bench.assistant.session import Conversation, Session
from bench.assistant.settings import Settings, settings_from
from bench.audio.outages import Outages
from bench.audio.source import Source
from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.data.temporary import sweep
from bench.dialogue.effects import Effect, FindJobs, Say, WriteSheet
from bench.dialogue.events import Event, Failed, SheetWritten
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.machine import initial, step
from bench.dialogue.state import State, state_from_json, state_to_json
from bench.job.model import Job
from bench.language.meaning import Heard, Understanding
from bench.language.understand import understand
from bench.language.write import written
from bench.memory.store import NotSaved, Store
from bench.voice.voice_settings import VoiceSettings

log = logging.getLogger(__name__)

Post = Callable[[Item], None]

_EARS_AGAIN = 5.0
"""Seconds between attempts to make ears that could not be made."""


@dataclass(frozen=True, slots=True)
class Options:
    """How this session is to be. `given` are settings given now: they win, and are kept from now on.

    `sticks` is a CSV list to be walked through, `wav` a recording in place of the microphone, `model` and
    `second` are directories of the listeners' models. With `lesson` a person without any job is taught first.
    """

    given: Mapping[str, object] = field(default_factory=dict)
    model: Path | None = None
    second: Path | None = None
    wav: Path | None = None
    quiet: bool = False
    metric: bool = False
    headset: bool = False
    sticks: Path | None = None
    lesson: bool = False


def settings_for(store: Store, options: Options) -> Settings:
    """What is remembered, and what was given now."""
    given = {key: value for key, value in options.given.items() if value is not None}
    if given:
        with suppress(NotSaved):
            store.keep(given)
    settings, dropped = settings_from(store.settings())
    if dropped:
        names = ", ".join(name.replace("_", " ") for name in dropped)
        store.tell(f"Settings that cannot be used any more: {names}.", "Set them again.")
    return settings


def conversation(knowledge: Knowledge, options: Options, store: Store) -> Conversation[State]:
    """The dialogue with what it knows, begun or taken up as the options say, on the jobs of a store."""

    def wished(state: State) -> State:
        units = Units.METRIC if options.metric else state.units
        profiles, learned = state.profiles, state.learned
        with _told_to(store):
            profiles = kept_profiles(store.folder, profiles)
        with _told_to(store):
            learned = kept_learning(store.folder)
        queue = queue_of(options.sticks, units) if options.sticks else state.queue
        now = state.now if queue == state.queue else replace(state.now, queued=0)
        return replace(
            state,
            now=now,
            units=units,
            quiet=state.quiet or options.quiet,
            profiles=profiles,
            learned=learned,
            queue=queue,
        )

    def taken_up(raw: Mapping[str, Any]) -> State:
        return wished(_own_number(state_from_json(raw), store))

    def next_step(state: State, event: Event) -> tuple[State, Any]:
        return step(state, event, knowledge)

    number = store.next_job()
    fresh = initial(job_number=number, taught=not options.lesson or number > 1)
    return Conversation(wished(fresh), next_step, state_to_json, taken_up, lambda state: state.now.job)


@contextmanager
def _told_to(store: Store) -> Iterator[None]:
    """A file that cannot be read is told of, and the others are read all the same."""
    try:
        yield
    except BenchError as error:
        store.tell(written(error.message), written(error.remedy))


def _own_number(state: State, store: Store) -> State:
    """The state on a job of its own, when the job kept under its number is another one.

    That happens when a damaged file gave back an older state: the newer job must not be written over.
    """
    kept = store.job(state.now.job_number)
    if kept is None or kept == state.now.job:
        return state
    number = store.next_job()
    past = tuple(replace(place, job_number=number) for place in state.past)
    return replace(state, now=replace(state.now, job_number=number), past=past)


class Assistant:
    """Everything of one session. `loop` is run on one thread; `close` afterward closes every part."""

    def __init__(
        self,
        options: Options,
        knowledge: Knowledge,
        store: Store,
        display: Display,
        leave_at_end: bool = False,
    ) -> None:
        self._options = options
        self._settings = settings_for(store, options)
        self._knowledge = knowledge
        self._store = store
        self._writing: threading.Thread | None = None
        self._over = threading.Event()
        self.ports = Ports(display, headset=options.headset)
        self.performer = Performer(self.ports, self._finish, self._tuned)
        self.session = Session(conversation(knowledge, options, store), store, self._perform)
        self.loop: Loop[State] = Loop(self.session, self.performer, self.understood, leave_at_end)

    def understood(self, heard: Heard) -> Understanding:
        """Words against what can be said now."""
        return understand(heard, self.performer.expectation, self._knowledge.lexicon)

    def open_voice(self) -> None:
        """Start the voice; a missing voice or loudspeaker is reported as an event."""
        from bench.voice.speaker import Speaker

        kept = self._settings
        speaker = Speaker(
            self.loop.post, VoiceSettings(kept.voice, kept.speaker, kept.words_per_minute, kept.volume_db)
        )
        self.ports.voice = speaker
        speaker.start()

    def open_ears(self, source: Source | None = None) -> None:
        """Load the ears in the background: the screen and the voice do not wait for them.

        They listen to `source` where it is given, else to the recording or the microphone of the options.
        """
        if self._settings.ear != "none":
            given = source or self._source()
            threading.Thread(target=self._load_ears, args=(given,), name="ears loading", daemon=True).start()

    def settle(self) -> None:
        """Wait for paper that is being written, and take everything that was posted; where no loop runs."""
        if self._writing is not None:
            self._writing.join()
        self.loop.drain()

    def close(self) -> bool:
        """Close every part; true when everything is on disk."""
        self._over.set()
        for part in (self.ports.ears, self.ports.voice):
            if part is not None:
                try:
                    part.close()
                except Exception:
                    log.exception("a part would not close")
        self.session.save_again()
        saved = not self.session.unsaved
        self._store.close()
        return saved

    def _source(self) -> Source:
        """What is listened to. A microphone is looked for while the ears load."""
        if self._options.wav:
            from bench.audio.source import RecordingSource

            return RecordingSource(self._options.wav)
        from bench.audio.microphone import MicrophoneSource

        microphone = MicrophoneSource(self._settings.mic)
        microphone.begin()
        return microphone

    def _load_ears(self, source: Source) -> None:
        """Make the ears, trying until it works or the session is over."""
        outages = Outages(self.loop.post)
        while not self._over.is_set():
            try:
                ears = self._ears(source)
            except BenchError as error:
                outages.failed("recognizer", written(error.message), written(error.remedy))
            except Exception as error:
                log.exception("the ears could not be made")
                remedy = "Run bench doctor. Until then use the keys."
                outages.failed("recognizer", f"Speech recognition could not be started: {error}.", remedy)
            else:
                outages.over("recognizer", "Speech recognition works.")
                self.loop.post(EarsReady(ears))
                sweep()
                return
            self._over.wait(_EARS_AGAIN)

    def _ears(self, source: Source) -> Hearing:
        from bench.ears.choose import recognizer
        from bench.ears.ear_settings import EarSettings
        from bench.ears.ears import Ears

        engine = recognizer(self._settings.ear, self._options.model, self._options.second, self.loop.post)
        return Ears(engine, source, self.loop.post, self.understood, EarSettings())

    def _perform(self, effects: Sequence[Effect]) -> None:
        """Benders on disk first, then the reply: what is said to be kept is kept."""
        try:
            keep_benders(self._store.folder, effects)
        except BenchError as error:
            self.loop.post(Failed("disk", written(error.message), written(error.remedy)))
            effects = [effect for effect in effects if not isinstance(effect, Say)]
        self.performer.perform(effects)
        if any(isinstance(effect, WriteSheet) for effect in effects):
            job = self.session.state.now.job
            self._writing = threading.Thread(target=self._write_sheet, args=(job,), name="sheet")
            self._writing.start()
        for effect in effects:
            if isinstance(effect, FindJobs):
                self.loop.post(jobs_found(effect.asked, self._store.kept_jobs(), datetime.now(UTC)))

    def _write_sheet(self, job: Job) -> None:
        from bench.assistant.paper import write_sheet

        try:
            path = write_sheet(job, self._knowledge, self._store.folder)
            log.info("job sheet: %s", path)
            self.loop.post(SheetWritten(str(path)))
        except BenchError as error:
            self.loop.post(Failed("sheet", written(error.message), written(error.remedy)))
        except Exception as error:
            log.exception("the job sheet could not be written")
            self.loop.post(Failed("sheet", "The job sheet could not be written.", str(error)))

    def _finish(self) -> None:
        self.loop.finish()

    def _tuned(self, settings: VoiceSettings) -> None:
        now = {"words_per_minute": settings.words_per_minute, "volume_db": settings.volume_db}
        self.loop.post(Remember(now))
