"""The conversation: take a step for each event, write everything to disk, and only then reply."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from bench.core.notes import BenchError
from bench.dialogue.effects import Effect
from bench.dialogue.events import Event, Failed, Pressed, Recovered, Said, Started
from bench.job.model import Job
from bench.job.records import Record, RecordKind
from bench.language.write import written
from bench.memory.store import NotSaved, Store

S = TypeVar("S")
log = logging.getLogger(__name__)

Perform = Callable[[Sequence[Effect]], None]


def _apology(error: Exception) -> Failed:
    """The failure to report: the error's own message if it is a BenchError, else that nothing is lost."""
    if isinstance(error, BenchError):
        return Failed("program", written(error.message), written(error.remedy))
    sorry = "Something went wrong inside Bench. Nothing is lost."
    return Failed("program", sorry, "Say it again, or say repeat.")


@dataclass(frozen=True, slots=True)
class Conversation(Generic[S]):
    """The functions of a dialogue: how it begins and steps, how its state is stored, and which job it is on."""

    initial: S
    step: Callable[[S, Event], tuple[S, Sequence[Effect]]]
    to_json: Callable[[S], dict[str, Any]]
    from_json: Callable[[Mapping[str, Any]], S]
    job: Callable[[S], Job | None] = lambda state: None


class Session(Generic[S]):
    """One conversation on one job file. Not thread-safe: pass it one event at a time.

    `faults` holds every exception that was caught. There should never be one.
    """

    def __init__(self, conversation: Conversation[S], store: Store, perform: Perform) -> None:
        self.faults: list[Exception] = []
        self._conversation = conversation
        self._store = store
        self._perform = perform
        self._told = False
        self._resumed = False
        self._passing: set[str] = set()
        self.state = self._recalled()

    def begin(self) -> None:
        """Resume the saved job or start a new one. Report what the person should know about the job file."""
        self.handle(Started(unfinished=self._resumed))
        self._tell_notice()

    def handle(self, event: Event) -> None:
        """Handle one event: step, commit, then the effects. Never raises: an error is logged, the state unchanged."""
        if isinstance(event, Said | Pressed):
            self._clear()
        effects = self._stepped(event)
        outcome = self._committed(effects)
        if outcome:
            effects = [*effects, *self._stepped(outcome)]
            self._committed([])
        self._guard(lambda: self._perform(effects))
        self._tell_notice()

    def save_again(self) -> None:
        """Try again to save what could not be saved. Announce success."""
        if self._store.unsaved:
            outcome = self._committed([])
            if outcome:
                self.handle(outcome)

    def remember(self, settings: Mapping[str, object]) -> None:
        """Store settings. If the disk fails now, they are written with the next save."""
        try:
            self._store.keep(settings)
        except NotSaved as error:
            log.error("settings not saved: %s", error)

    @property
    def unsaved(self) -> bool:
        """Whether something is in memory only."""
        return self._store.unsaved

    def _tell_notice(self) -> None:
        """Announce once what happened to the job file. It is shown until the person does something."""
        message, remedy = self._store.notice
        self._store.notice = ("", "")
        if message:
            self._passing.add("job file")
            self.handle(Failed("job file", message, remedy))

    def _clear(self) -> None:
        """Remove announced notices from the screen when the person does something."""
        passing, self._passing = self._passing, set()
        for part in passing:
            self._stepped(Recovered(part, ""))

    def _recalled(self) -> S:
        saved = self._store.load()
        if saved is None:
            return self._conversation.initial
        try:
            state = self._conversation.from_json(saved)
        except (ValueError, KeyError, TypeError) as error:
            log.error("saved state not understood: %s", error)
            unread = ("The current job could not be read.", "It is kept in the log. Start it again.")
            self._store.tell(*unread)
            self._guard(lambda: self._keep_unread(saved))
            return self._conversation.initial
        self._resumed = True
        return state

    def _keep_unread(self, saved: dict[str, Any]) -> None:
        fresh = self._conversation.to_json(self._conversation.initial)
        self._store.commit(fresh, [Record(RecordKind.STATE_NOT_READ, saved)])

    def _stepped(self, event: Event) -> Sequence[Effect]:
        try:
            self.state, effects = self._conversation.step(self.state, event)
        except Exception as error:
            log.exception("fault at %r", event)
            self.faults.append(error)
            if isinstance(event, Failed | Recovered):
                return ()
            self._passing.add("program")
            return self._stepped(_apology(error))
        for effect in effects:
            if isinstance(effect, Record) and effect.kind is RecordKind.STUCK:
                log.error("step cannot be shown: %s", effect.detail)
        return effects

    def _committed(self, effects: Sequence[Effect]) -> Failed | Recovered | None:
        """Write state and records to disk. Returns the event to report when saving starts to fail or works again."""
        records = [effect for effect in effects if isinstance(effect, Record)]
        try:
            self._store.commit(
                self._conversation.to_json(self.state), records, self._conversation.job(self.state)
            )
        except NotSaved as error:
            return self._failed(error)
        except Exception as error:
            log.exception("error while saving")
            self.faults.append(error)
            return None
        if not self._told:
            return None
        self._told = False
        return Recovered("disk", "Saved again. Nothing is lost.")

    def _failed(self, error: BenchError) -> Failed | None:
        log.error("not saved: %s", error)
        if self._told:
            return None
        self._told = True
        return Failed("disk", written(error.message), written(error.remedy))

    def _guard(self, act: Callable[[], None]) -> None:
        try:
            act()
        except Exception as error:
            log.exception("a part failed to perform an effect")
            self.faults.append(error)
