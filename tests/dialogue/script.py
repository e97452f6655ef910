"""Conversations as plain text: what is said, what is answered, what is shown.

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

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
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
from bench.dialogue.effects import FindJobs
from bench.dialogue.events import Failed, FoundJob, JobsFound, Key, Pressed, Recovered, Silence
from bench.dialogue.machine import initial
from bench.job.model import JobBend, JobStick, Tools
from bench.language.read import read_angle, read_length
from bench.language.write import written_value
from tests.dialogue.branches import every_command
from tests.dialogue.conversation import Conversation, Differs, Happening, bend_in_hand

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


def followed() -> Iterator[Happening]:
    """Every event of every script, side branches and all."""
    for path in scripts():
        yield from run_script(path).happened


def scripts() -> list[Path]:
    """All scripts, by name."""
    return sorted(SCRIPTS.glob("*.txt"))


@cache
def happenings() -> tuple[Happening, ...]:
    """Every event of every script, with the state before it and what came of it; each different one once."""
    return tuple({(one.before, one.event): one for one in followed()}.values())
