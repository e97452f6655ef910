"""Random jobs, and a person who has them bent by voice: every mark that is spoken and shown is written down.

What was spoken is read back by the recognizer's own grammar and compared with the screen.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from bench.assistant.assembly import Options, conversation
from bench.assistant.session import Session
from bench.core.lengths import Units
from bench.data import tables
from bench.data.bundle import knowledge
from bench.dialogue.effects import Effect, Say, Show, View
from bench.dialogue.events import Said
from bench.dialogue.measures import measures_of
from bench.dialogue.state import Stage, State
from bench.language.meaning import Expectation, Kind, typed
from bench.language.read import read_length
from bench.language.speak import spoken_length
from bench.language.understand import understand
from bench.memory.store import Store
from tests.independent import shape

KNOWN = knowledge()
FROM = (
    "(?: from the back of the ninety|"
    "( straight from the back of the ninety| from the tape end, tape held straight|"
    " from the ninety, over the bend's outside| from the tape end, over the bend's outside))?"
)


def sixteenths(least: int, most: int) -> st.SearchStrategy[Fraction]:
    return st.integers(least * 16, most * 16).map(lambda number: Fraction(number, 16))


BENDS: dict[str, dict[str, st.SearchStrategy[Any]]] = {
    "offset": {"distance": sixteenths(30, 50), "rise": sixteenths(2, 12)},
    "saddle3": {"to_center": sixteenths(30, 50), "height": sixteenths(2, 4)},
    "saddle4": {"to_edge": sixteenths(30, 40), "height": sixteenths(2, 6), "width": sixteenths(4, 12)},
    "stub": {"height": sixteenths(10, 24)},
    "back-to-back": {"stub": sixteenths(10, 20), "distance": sixteenths(24, 48)},
    "kick": {"distance": sixteenths(30, 60), "rise": sixteenths(3, 12)},
    "rolling": {"distance": sixteenths(30, 50), "rise": sixteenths(3, 8), "roll": sixteenths(2, 6)},
    "box-offset": {"rise": sixteenths(1, 1), "to_box": sixteenths(3, 6)},
}
"""Bends by voice, with measures that a ten foot stick of small conduit can usually take."""
SPOKEN = {
    "saddle3": "three point saddle",
    "saddle4": "four point saddle",
    "stub": "ninety",
    "back-to-back": "back to back",
    "rolling": "rolling offset",
    "box-offset": "box offset",
}
CONDUIT = {"emt": "emt", "rmc": "rigid"}
SIZES = {"1/2": "half inch", "3/4": "three quarter", "1": "one inch"}


@dataclass(frozen=True)
class AskedStick:
    """A stick to ask for: its bends, and how many pipes beside it: `outside` by so many inches, or side by side."""

    bends: tuple[tuple[str, dict[str, Fraction]], ...]
    side: str
    pipes: int
    outside: Fraction | None
    restart: bool


@st.composite
def bends(draw: st.DrawFn) -> tuple[str, dict[str, Fraction]]:
    kind = draw(st.sampled_from(sorted(BENDS)))
    return kind, {key: draw(value) for key, value in BENDS[kind].items()}


sticks = st.builds(
    AskedStick,
    st.lists(bends(), min_size=1, max_size=2).map(tuple),
    st.sampled_from(["", "opposite", "left", "right"]),
    st.integers(0, 1),
    st.none() | sixteenths(1, 3),
    st.booleans(),
)
jobs = st.tuples(
    st.sampled_from(sorted(CONDUIT)),
    st.sampled_from(sorted(SIZES)),
    st.booleans(),
    st.lists(sticks, min_size=1, max_size=2),
)


@dataclass
class Talk:
    """A person at the real session: answers what is asked, and writes down every mark that is spoken and shown."""

    folder: Path
    effects: list[Effect] = field(default_factory=list)
    marks: list[dict[str, set[Fraction]]] = field(default_factory=list)
    """For each job, by name of its stick: the places of its marks from the tape end, as spoken and shown.
    Numbers are left out: a further bend nearer the tape end counts them anew."""
    sticks: Path | None = None

    def __post_init__(self) -> None:
        self.open()

    def open(self) -> None:
        self.store = Store(self.folder)
        known = conversation(KNOWN, Options(sticks=self.sticks), self.store)
        self.session: Session[State] = Session(known, self.store, self.effects.extend)
        self.session.begin()
        if self.state.now.stage is Stage.RESUME:
            self.say("yes")

    def restart(self) -> None:
        self.store.close()
        self.open()

    @property
    def state(self) -> State:
        return self.session.state

    def at(self, stage: Stage) -> bool:
        """Whether that is being asked or done now."""
        return self.state.now.stage is stage

    def say(self, words: str) -> None:
        self.effects.clear()
        self.session.handle(Said(typed(words)))
        assert not self.session.faults
        self._note_mark()

    def _note_mark(self) -> None:
        """A mark on the screen must be the mark that is spoken."""
        (view,) = [effect.view for effect in self.effects if isinstance(effect, Show)][-1:]
        if view.verb != KNOWN.verbs["mark"] or self.state.now.stage is not Stage.WORK:
            return
        said = " ".join(effect.words for effect in self.effects if isinstance(effect, Say))
        if view.action_alone:
            self._note_row(view, said)
            return
        heard = re.search(rf"[Mm]ark ([\w-]+)(?: at|:) (.+?){FROM}\.", said)
        assert heard, said
        units = self.state.units
        places = Expectation(Kind.LENGTH, least=Fraction(0), most=Fraction(400), units=units)
        meaning = understand(typed(heard[2]), places, KNOWN.lexicon).meaning
        assert meaning is not None, heard[2]
        assert isinstance(meaning.value, Fraction)
        assert read_length(view.number, units) == meaning.value
        number = (view.stick.current or 0) + 1 if view.stick else 0
        place = meaning.value
        if heard[3]:
            place = self._past_bends(number, place, "ninety" in heard[3], "outside" in heard[3])
        elif "from the back" in said:
            place = self._from_the_tape_end(number, place)
        stick = self.state.now.stick.name
        self.marks[-1].setdefault(stick, set()).add(place)

    def _note_row(self, view: View, said: str) -> None:
        """Evenly spaced marks are all shown; the first and the last of them are spoken."""
        heard = re.search(r"first at (.+?), then every .+, last at (.+?)\.", said)
        assert heard, said
        units = self.state.units
        shown = [read_length(place, units) for place in view.lines[0].split(", ")]
        limits = Expectation(Kind.LENGTH, least=Fraction(0), most=Fraction(400), units=units)
        ends = [understand(typed(words), limits, KNOWN.lexicon).meaning for words in heard.groups()]
        assert [end.value if end else None for end in ends] == [shown[0], shown[-1]]
        self.marks[-1].setdefault(self.state.now.stick.name, set()).update(shown)

    def _from_the_tape_end(self, number: int, place: Fraction) -> Fraction:
        """A mark taped from the back of a ninety. Along the straight conduit the back lies a gain short of where
        the stub's height ends: at the mark and a take-up for the arrow, at the mark itself for the star."""
        stick = self.state.now.stick
        spoken, profile = stick.spoken, stick.tools.profile
        assert spoken is not None
        assert profile is not None
        along = sorted(spoken.marks, key=lambda mark: mark.at)
        corner = [
            mark
            for at, mark in enumerate(along, start=1)
            if mark.bend == 90 and at < number and at in stick.bent
        ][-1]
        stub = corner.at + (profile.take_up if corner.reference == "arrow" else 0)
        exact = place + stub - profile.gain
        nearest = along[number - 1].at
        assert abs(exact - nearest) <= Fraction(1, 16), (exact, nearest)
        return nearest

    def _past_bends(self, number: int, place: Fraction, from_back: bool, outside: bool) -> Fraction:
        """A mark past finished bends, by a straight tape beside the simulation of `independent`: from the tape end or
        the back of the last 90, along the leg there, square across to the mark; or over the outside of one bend,
        half a diameter beyond its centerline."""
        stick = self.state.now.stick
        spoken, profile = stick.spoken, stick.tools.profile
        assert spoken is not None
        assert profile is not None
        along = sorted(spoken.marks, key=lambda mark: mark.at)
        before: list[Any] = [
            mark for at, mark in enumerate(along, start=1) if at < number and at in stick.bent
        ]
        od = float(tables.setup(stick.tools.conduit, stick.tools.size).od)
        made = shape(before, float(profile.take_up), float(profile.gain), od, 400.0)
        corners = [at for at, mark in enumerate(before, start=1) if mark.bend == 90]
        assert bool(corners) == from_back
        leg, own = made.straights[corners[-1] if corners else 0], made.straights[-1]
        radius = (float(profile.gain) - od) / (2 - math.pi / 2)
        mark = own.start + own.along * (float(along[number - 1].at) - made.arcs[-1][1])
        if outside:
            turn = math.acos(leg.along @ own.along)
            legs = (leg.end - leg.start) @ leg.along + (mark - own.start) @ own.along
            reach = legs + (radius + od / 2) * turn
        else:
            assert leg.along @ own.along > 0.999
            reach = (mark - leg.start) @ leg.along
        reach += radius + od / 2 if corners else 0.0
        assert abs(float(place) - reach) <= 1 / 16, (place, reach)
        return along[number - 1].at

    def job(self, conduit: str, size: str, metric: bool, asked: Sequence[AskedStick]) -> None:
        """One whole job, from its set-up to its end."""
        if self.state.now.stage is Stage.DONE:
            self.say("new stick")
            self.say("other conduit")
        self.marks.append({})
        for words in (CONDUIT[conduit], SIZES[size]):
            self.say(words)
        assert self.at(Stage.PICK)
        self.say("switch to metric" if metric else "switch to inches")
        for number, stick in enumerate(asked):
            if number:
                self.say("new stick")
            self._stick(stick)
        self.say("finish the job")
        self.say("yes")
        assert self.at(Stage.DONE)

    def _stick(self, asked: AskedStick) -> None:
        for number, (kind, measures) in enumerate(asked.bends):
            if number:
                self.say("another bend")
            if not self._bend(kind, measures, asked.side if number else ""):
                break
            if asked.restart:
                self.restart()
            self._work()
        if self.state.now.stick.bends:
            for _ in range(asked.pipes):
                self._next_pipe(asked.outside)

    def _bend(self, kind: str, measures: dict[str, Fraction], side: str) -> bool:
        self.say(SPOKEN.get(kind, kind))
        while self.state.now.stage is Stage.ASK:
            key = measures_of(kind, KNOWN)[self.state.now.at].key
            self.say(self._words(measures[key]) if key in measures else "skip")
        if side and self.state.now.stage is Stage.READ_BACK:
            for words in ("change", "turn", side):
                self.say(words)
        view = [effect.view for effect in self.effects if isinstance(effect, Show)][-1]
        if view.verb == KNOWN.verbs["cannot"]:
            self.say("cancel")
            return False
        self.say("yes")
        return self.state.now.stage is Stage.WORK

    def _words(self, value: Fraction) -> str:
        return (
            spoken_length(round(value * Fraction(127, 5)) * Fraction(5, 127), self.state.units)
            if (self.state.units is Units.METRIC)
            else spoken_length(value, self.state.units)
        )

    def _work(self) -> None:
        for _ in range(80):
            if self.state.now.stage is not Stage.WORK:
                return
            self.say("next")
        raise AssertionError("the work does not end")

    def _next_pipe(self, outside: Fraction | None) -> None:
        self.say("same again")
        if self.state.now.stage is Stage.RACK:
            self.say("side by side" if outside is None else self._words(outside))
        if self.state.now.stage is Stage.RACK_READ_BACK:
            self.say("yes")
            self._work()
        else:
            self.say("cancel")
