"""A conversation as it goes: events in, what was said, shown and visited."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, field

from bench.core.notes import Note
from bench.data.bundle import knowledge
from bench.dialogue.effects import Effect, Listen, Say, Show, View
from bench.dialogue.events import Event, Pressed, Said, Started
from bench.dialogue.machine import expectation, initial, reply, respond, step
from bench.dialogue.state import Stage, State, state_from_json, state_to_json
from bench.job.records import Record
from bench.language.lexicon import offered
from bench.language.meaning import Expectation, Kind, typed
from bench.language.understand import understand

SADDLE = (
    "emt",
    "three quarter",
    "three point saddle",
    "thirty one and a quarter",
    "two and a half",
    "skip",
)
"""A three-point saddle as it is typed, up to its read-back."""


Visit = tuple[Stage, str, str]
"""A stage, the bend in hand (or none), and what was answered there: a kind of answer, a command or a key."""


def phrase_of(command: str) -> str:
    """What a person says for a command."""
    return offered(knowledge().lexicon.commands[command][0]).replace("{number}", "one")


def bend_in_hand(state: State) -> str:
    """The bend being measured, or the last one on the stick."""
    place = state.now
    return place.bend.kind or (place.stick.bends[-1].kind if place.stick.bends else "")


@dataclass(frozen=True)
class Happening:
    """One event: the state before and after it, and what came of it."""

    before: State
    event: Event
    after: State
    effects: tuple[Effect, ...]

    @property
    def view(self) -> View:
        """The screen after it."""
        (view,) = [effect.view for effect in self.effects if isinstance(effect, Show)]
        return view

    @property
    def said(self) -> str:
        """What the voice was given."""
        return " ".join(effect.words for effect in self.effects if isinstance(effect, Say))

    @property
    def listened(self) -> Expectation:
        """What can be said after it."""
        (listen,) = [effect for effect in self.effects if isinstance(effect, Listen)]
        return listen.expectation


@dataclass
class Conversation:
    """A conversation as it goes: where it is, what was last said and shown, and what has been visited."""

    state: State = field(default_factory=initial)
    effects: tuple[Effect, ...] = ()
    visits: Counter[Visit] = field(default_factory=Counter)
    happened: list[Happening] = field(default_factory=list)
    last: Happening | None = None

    def take(self, event: Event) -> None:
        """One event."""
        before = self.state
        self.state, self.effects = step(before, event, knowledge())
        self._count(before, event)
        self.last = Happening(before, event, self.state, self.effects)
        self.happened.append(self.last)

    def say(self, words: str) -> None:
        """The person says something, plainly heard."""
        self.take(Said(typed(words)))

    def start(self, unfinished: bool = False) -> None:
        """The assistant is started."""
        self.take(Started(unfinished))

    def restart(self) -> None:
        """Written down, forgotten, read back and started again."""
        self.state = state_from_json(json.loads(json.dumps(state_to_json(self.state))))
        self.start(unfinished=True)

    @property
    def view(self) -> View:
        """The screen now."""
        (view,) = [effect.view for effect in self.effects if isinstance(effect, Show)]
        return view

    @property
    def reply(self) -> str:
        """What was last spoken, or would be in quiet mode."""
        return self.view.said

    @property
    def notes(self) -> tuple[Note, ...]:
        """What was last said, or would be in quiet mode, before it was put into words."""
        if self.last is None:
            return ()
        return reply(respond(self.last.before, self.last.event, knowledge()), knowledge())

    @property
    def spoken(self) -> str:
        """What the voice was given."""
        return " ".join(effect.words for effect in self.effects if isinstance(effect, Say))

    @property
    def stage(self) -> Stage:
        """Where it is."""
        return self.state.now.stage

    @property
    def listens(self) -> Listen:
        """What the ears were told."""
        (listen,) = [effect for effect in self.effects if isinstance(effect, Listen)]
        return listen

    @property
    def records(self) -> tuple[Record, ...]:
        """What was written down, besides what was heard."""
        return tuple(e for e in self.effects if isinstance(e, Record) and e.kind != "heard")

    def branch(self) -> Conversation:
        """The same place, to try something and forget it; what it visits is counted here."""
        return Conversation(self.state, self.effects, self.visits, self.happened)

    def _count(self, before: State, event: Event) -> None:
        what = type(event).__name__.lower()
        if isinstance(event, Pressed):
            what = f"key {event.key}"
        elif isinstance(event, Said):
            what = self._answered(before, event)
        self.visits[before.now.stage, bend_in_hand(before), what] += 1

    def _answered(self, before: State, event: Said) -> str:
        """What the words were taken for, from the log; a kind of number, or the key of what was said."""
        (log,) = [e.detail for e in self.effects if isinstance(e, Record) and e.kind == "heard"]
        kind, value = log["kind"], str(log["value"])
        if kind is None:
            return "not understood"
        if event.heard.text.startswith("no ") and kind != Kind.YESNO:
            understood = understand(event.heard, expectation(before, knowledge()), knowledge().lexicon)
            if understood.meaning is not None and understood.meaning.corrects:
                return "correction"
        if kind in (Kind.COMMAND, Kind.CHOICE):
            return value
        return {"True": "yes", "False": "no"}[value] if kind == Kind.YESNO else str(kind)


def after(*lines: str) -> Conversation:
    """A conversation in which this was said."""
    talk = Conversation()
    talk.start()
    for line in lines:
        talk.say(line)
    return talk


class Differs(AssertionError):
    """The conversation is not what the script says."""
