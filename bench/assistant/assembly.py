"""Assembles the assistant from its parts and handles a part that is not available."""

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
"""Seconds between attempts to start the ears."""


@dataclass(frozen=True, slots=True)
class Options:
    """Options of one session. Settings in `given` override the stored ones and are stored.

    `sticks` is a CSV list of sticks to bend, `wav` a recording in place of the microphone, `model` and `second`
    are the directories of the two recognizers' models. With `lesson`, a person without a job starts with the lesson.
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
    """The stored settings, overridden by those given now."""
    given = {key: value for key, value in options.given.items() if value is not None}
    if given:
        with suppress(NotSaved):
            store.keep(given)
    settings, dropped = settings_from(store.settings())
    if dropped:
        names = ", ".join(name.replace("_", " ") for name in dropped)
        store.tell(f"These settings cannot be used: {names}.", "Set them again.")
    return settings


def conversation(knowledge: Knowledge, options: Options, store: Store) -> Conversation[State]:
    """The dialogue on the jobs of a store, started or resumed as the options say."""

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
    """Report a file that cannot be read, so that the others are still read."""
    try:
        yield
    except BenchError as error:
        store.tell(written(error.message), written(error.remedy))


def _own_number(state: State, store: Store) -> State:
    """The state with a new job number, when the job stored under its number is a different job.

    That happens when an older state was restored from a damaged file. The newer job must not be overwritten.
    """
    kept = store.job(state.now.job_number)
    if kept is None or kept == state.now.job:
        return state
    number = store.next_job()
    past = tuple(replace(place, job_number=number) for place in state.past)
    return replace(state, now=replace(state.now, job_number=number), past=past)


class Assistant:
    """All parts of one session. Run `loop` on one thread, then call `close` to close every part."""

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
        """The meaning of the words in the current state of the dialogue."""
        return understand(heard, self.performer.expectation, self._knowledge.lexicon)

    def open_voice(self) -> None:
        """Start the voice. A missing voice or loudspeaker is reported as an event."""
        from bench.voice.speaker import Speaker

        kept = self._settings
        speaker = Speaker(
            self.loop.post, VoiceSettings(kept.voice, kept.speaker, kept.words_per_minute, kept.volume_db)
        )
        self.ports.voice = speaker
        speaker.start()

    def open_ears(self, source: Source | None = None) -> None:
        """Load the ears in the background. The screen and the voice do not wait for them.

        They listen to `source` if given, else to the recording or the microphone named in the options.
        """
        if self._settings.ear != "none":
            given = source or self._source()
            threading.Thread(target=self._load_ears, args=(given,), name="ears loading", daemon=True).start()

    def settle(self) -> None:
        """Wait for job sheets being written and handle everything posted. For sessions whose loop does not run."""
        if self._writing is not None:
            self._writing.join()
        self.loop.drain()

    def close(self) -> bool:
        """Close every part. True when everything is on disk."""
        self._over.set()
        for part in (self.ports.ears, self.ports.voice):
            if part is not None:
                try:
                    part.close()
                except Exception:
                    log.exception("a part could not be closed")
        self.session.save_again()
        saved = not self.session.unsaved
        self._store.close()
        return saved

    def _source(self) -> Source:
        """The sound source of the options. A microphone is already being opened while the ears load."""
        if self._options.wav:
            from bench.audio.source import RecordingSource

            return RecordingSource(self._options.wav)
        from bench.audio.microphone import MicrophoneSource

        microphone = MicrophoneSource(self._settings.mic)
        microphone.begin()
        return microphone

    def _load_ears(self, source: Source) -> None:
        """Create the ears. Retries until it works or the session is over."""
        outages = Outages(self.loop.post)
        while not self._over.is_set():
            try:
                ears = self._ears(source)
            except BenchError as error:
                outages.failed("recognizer", written(error.message), written(error.remedy))
            except Exception as error:
                log.exception("the ears could not be created")
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
        """Write benders to disk before the reply, so that the reply never claims more than is stored."""
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
