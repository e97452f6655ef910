"""Conversations as plain text: what is said, what is answered, what is shown; and the runner of them.

    # a remark, or the source of the figures below it
    > what the person says              ! NEXT              a key, pedal or clicker
    < note name=value ...   is said     ! silence           nobody says anything
    ~ note name=value ...   is not      ! restart           written down, read back, started again
    = stage [bend]   where it is now    ! lost microphone   ! found microphone
    | verb [number]  on the screen      ? key               a command or choice that can be said now
    + kind           is written down    ! jobs              what was looked up is there: KEPT below
    " exact words    part of the reply, where wording is the point
    * every command   each always-valid command and key from here, on a side branch that is then dropped
    * marks KIND SIZE METHOD measure=value ...    the marks shown from here are those of `bench.core.work_out`

A note is named by its code: a key of `shared/prompts.toml`, a measure (`rise value=6`; `rise?` is the question), a
caution, or a note of the core. Values are written as in a list (`6 1/2`, `26 mm`), words of the trade by their key;
those left out may be anything. A verb is its key in `shared/prompts.toml`. So a script holds while wording changes.

Before the first `>` may stand `queue` (two sticks of a list wait), `metric`, `untaught` (a first start), or `apart`
(step by step).
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import ClassVar

from bench.core.bends import BENDS, work_out
from bench.core.lengths import Units, tape_scale
from bench.core.notes import Note, Value
from bench.core.plan import Method, Quantity
from bench.data import tables
from bench.data.bundle import knowledge
from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import Effect, FindJobs, Listen, Say, Show, View
from bench.dialogue.events import (
    Event,
    Failed,
    FoundJob,
    JobsFound,
    Key,
    Pressed,
    Recovered,
    Said,
    Silence,
    Started,
)
from bench.dialogue.machine import expectation, initial, reply, respond, step
from bench.dialogue.state import Stage, State, state_from_json, state_to_json
from bench.job.model import JobBend, JobStick, Tools
from bench.job.records import Record
from bench.language.lexicon import offered
from bench.language.meaning import Expectation, Kind, typed
from bench.language.read import read_angle, read_length
from bench.language.understand import understand
from bench.language.write import written_value

SADDLE = (
    "emt",
    "three quarter",
    "three point saddle",
    "thirty one and a quarter",
    "two and a half",
    "skip",
)
"""A three-point saddle as it is typed, up to its read-back."""

SCRIPTS = Path(__file__).parent / "scripts"
KEPT = (
    FoundJob(
        7,
        "Boiler room 2",
        "Second floor",
        2,
        (
            JobStick("1", (JobBend("stub", (("height", Fraction(12)),)),), tools=Tools("emt", "3/4")),
            JobStick(
                "2",
                (JobBend("offset", (("distance", Fraction(40)), ("rise", Fraction(6)))),),
                run="Panel A to box 3",
            ),
        ),
    ),
    FoundJob(6, "", "", 9, ()),
)
"""Jobs kept, as they are looked up."""

Visit = tuple[Stage, str, str]
"""A stage, the bend in hand (or none), and what was answered there: a kind of answer, a command or a key."""

_LISTED = (
    JobStick("A", (JobBend("offset", (("distance", Fraction(40)), ("rise", Fraction(6)))),)),
    JobStick(
        "B",
        (
            JobBend("stub", (("height", Fraction(12)),)),
            JobBend("back-to-back", (("distance", Fraction(40)),)),
        ),
    ),
)


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


class Differs(AssertionError):
    """The conversation is not what the script says."""


@dataclass
class _Runner:
    talk: Conversation
    where: str = ""
    line: int = 0

    def require(self, holds: bool, wanted: str) -> None:
        if not holds:
            view, stage = self.talk.view, self.talk.stage
            notes = "; ".join(f"{note.code} {dict(note.values) or ''}" for note in self.talk.notes)
            told = f"said {view.said!r} ({notes}), shown {view.verb} {view.number}, at {stage}"
            raise Differs(f"{self.where}:{self.line}: wanted {wanted}; {told}")

    def run(self, text: str) -> None:
        for self.line, row in enumerate(text.splitlines(), 1):
            if row.strip() and not row.startswith("#"):
                self._row(row[0], row[1:].strip())

    def _row(self, sign: str, rest: str) -> None:
        talk = self.talk
        if sign == ">":
            talk.say(rest)
        elif sign == "!":
            self._happens(rest)
        elif sign == "*":
            every_command(talk) if rest == "every command" else self._marks(rest.split(" "))
        elif sign in self._checks:
            holds = self._checks[sign](self, rest)
            self.require(holds, f"{'no ' if sign == '~' else ''}{sign} {rest}")
        else:
            raise ValueError(f"{self.where}:{self.line}: {sign!r} begins no line of a script")

    def _says(self, wanted: str) -> bool:
        return any(fits(note, wanted) for note in self.talk.notes)

    def _says_not(self, wanted: str) -> bool:
        return not self._says(wanted)

    def _words(self, wanted: str) -> bool:
        return wanted.lower() in self.talk.reply.lower()

    def _shows(self, wanted: str) -> bool:
        verb, _, number = wanted.partition(" ")
        view = self.talk.view
        return view.verb == knowledge().verbs[verb] and (not number or view.number == number)

    def _is_at(self, wanted: str) -> bool:
        stage, _, kind = wanted.partition(" ")
        return self.talk.stage == stage and (not kind or bend_in_hand(self.talk.state) == kind)

    def _can_say(self, key: str) -> bool:
        expect = self.talk.listens.expectation
        return key in (*expect.commands, *expect.choices)

    def _writes(self, kind: str) -> bool:
        return any(record.kind == kind for record in self.talk.records)

    _checks: ClassVar[dict[str, Callable[[_Runner, str], bool]]] = {
        "<": _says,
        "~": _says_not,
        '"': _words,
        "|": _shows,
        "=": _is_at,
        "?": _can_say,
        "+": _writes,
    }

    def _happens(self, what: str) -> None:
        word, _, part = what.partition(" ")
        if word == "silence":
            self.talk.take(Silence(60.0))
        elif word == "restart":
            self.talk.restart()
        elif word == "jobs":
            (wanted,) = [effect for effect in self.talk.effects if isinstance(effect, FindJobs)]
            self.talk.take(JobsFound(wanted.asked, KEPT))
        elif word == "lost":
            self.talk.take(Failed(part, f"The {part} is gone.", "Plug it in again."))
        elif word == "found":
            self.talk.take(Recovered(part, f"The {part} is back."))
        else:
            self.talk.take(Pressed(Key(word.lower())))

    def _marks(self, words: list[str]) -> None:
        """Every mark of the bend, one after the other, as core works them out; the last one stays shown."""
        kind, size, method, *given = words[1:]
        quantities = {one.key: one.quantity for one in (*BENDS[kind].measures, *BENDS[kind].extras)}
        measures = {key: _number(value, quantities[key]) for key, value in (one.split("=") for one in given)}
        conduit, _, trade = size.rpartition(":")
        units = self.talk.state.units
        setup = tables.setup(conduit or "emt", trade.replace("-", " "))
        plan = work_out(kind, measures, replace(setup, scale=tape_scale(units)), Method(method))
        for index, mark in enumerate(plan.marks):
            if index:
                self.talk.say("next")
            self.require(self.talk.view.verb == "MARK", f"mark {index + 1}")
            self.require(self.talk.view.number == written_value(mark.at, units), f"mark at {mark.at}")


def fits(note: Note, wanted: str) -> bool:
    """Whether a note is the one a script names, with the values it names: `out_of_range heard=30`."""
    code, _, given = wanted.partition(" ")
    if code.endswith("?"):
        return note.code == code.removesuffix("?") and not note.values
    values = re.findall(r"(\w+)=(.*?)(?=\s+\w+=|$)", given)
    return note.code == code and all(
        name in note.values and _same(note.values[name], written) for name, written in values
    )


def _same(value: Value, written: str) -> bool:
    """Whether a value of a note is the one written, in the note's own type."""
    if isinstance(value, Fraction):
        return value == read_length(written)
    if isinstance(value, float):
        return round(value, 1) == read_angle(written)
    return str(value).lower() in (written.lower(), knowledge().word(written).lower())


def _number(value: str, quantity: Quantity) -> Fraction | float | int:
    if quantity is Quantity.LENGTH:
        return Fraction(value)
    return float(value) if quantity is Quantity.ANGLE else int(value)


_MOVES = ("next", "back", "undo", "cancel", "start_over")


def every_command(talk: Conversation) -> None:
    """Each always-valid command and each key, from this place: answered, nothing lost, always a way on."""
    for command in ALWAYS:
        branch = talk.branch()
        branch.say(phrase_of(command))
        _look(talk, branch, command)
        if command not in _MOVES and command not in ("stop_listening", "start_listening"):
            require_same_place(talk, branch, command)
        if command == "stop_listening":
            paused_means_paused(branch)
    for key in Key:
        branch = talk.branch()
        branch.take(Pressed(key))
        _look(talk, branch, f"key {key}")


def paused_means_paused(talk: Conversation) -> None:
    """Nothing said acts but the wake phrase; a key wakes it too."""
    if not talk.state.paused or not talk.view.paused:
        raise Differs(f"not paused at {talk.stage}")
    before = talk.state.now
    for words in ("next", "yes", "no", "undo", "thirty one and a quarter", "what can i say"):
        talk.say(words)
        if talk.state.now != before or not talk.state.paused or talk.spoken:
            raise Differs(f"{words!r} acted while paused at {talk.stage}")
    woken = talk.branch()
    woken.take(Pressed(Key.PAUSE))
    talk.say(phrase_of("start_listening"))
    for one in (woken, talk):
        if one.state.paused or one.state.now != before or "Listening" not in one.reply:
            raise Differs(f"did not wake at {one.stage}")


def require_same_place(talk: Conversation, branch: Conversation, what: str) -> None:
    """What only asks or tunes moves nothing."""
    if branch.state.now != talk.state.now or branch.state.past != talk.state.past:
        raise Differs(f"{what} moved the job at {talk.stage}")


def _look(talk: Conversation, branch: Conversation, what: str) -> None:
    """An answer that is heard or seen; taken back by `undo` where it moved."""
    tuned = what == "hush"
    if not branch.reply and not tuned and not branch.state.quiet:
        raise Differs(f"{what} at {talk.stage} is answered by nothing")
    if not branch.view.say:
        raise Differs(f"{what} at {talk.stage} leaves nothing to say")
    if len(branch.state.past) > len(talk.state.past) or branch.state.past[-1:] != talk.state.past[-1:]:
        if what == "undo":
            return
        undone = branch.branch()
        undone.say("undo")
        if undone.state.now != talk.state.now:
            raise Differs(f"undo after {what} at {talk.stage} does not come back")


@cache
def run_script(path: Path) -> Conversation:
    """One script from its beginning to its end, run once. Raises Differs at the first line that is not so."""
    return run_text(path.read_text(encoding="utf-8"), path.name)


def run_text(text: str, where: str = "script") -> Conversation:
    """The same for text at hand."""
    rows = text.splitlines()
    state = initial(_LISTED if "queue" in rows else ())
    if "metric" in rows:
        state = replace(state, units=Units.METRIC)
    if "apart" in rows:
        state = replace(state, now=replace(state.now, apart=True))
    if "untaught" in rows:
        state = replace(state, taught=False)
    talk = Conversation(state)
    talk.start()
    kept = "\n".join("" if row in ("queue", "metric", "untaught", "apart") else row for row in rows)
    _Runner(talk, where).run(kept)
    return talk


def after(*lines: str) -> Conversation:
    """A conversation in which this was said."""
    talk = Conversation()
    talk.start()
    for line in lines:
        talk.say(line)
    return talk


def followed() -> Iterator[Happening]:
    """Every event of every script, side branches and all."""
    for path in scripts():
        yield from run_script(path).happened


def scripts() -> list[Path]:
    """All scripts, by name."""
    return sorted(SCRIPTS.glob("*.txt"))
