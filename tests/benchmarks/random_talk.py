"""A real session on a real job file, led by random events: what the studies of kills, power cuts and damage share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from bench.assistant.assembly import Options, conversation
from bench.assistant.benders import keep_benders
from bench.assistant.session import Session
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.dialogue.effects import Effect, Say, Show
from bench.dialogue.events import Event, Failed, Started
from bench.dialogue.state import State
from bench.language.write import written
from bench.memory.store import Store
from tests.benchmarks.fuzz import Walk

SHORT_LIST = "stick,bend,distance,rise,height,copies\nA,offset,40,6,,1\nB,stub,,,12,2\n"


def some_options(rng: Random, folder: Path) -> Options:
    """How a person may start Bench: in millimeters, quiet, with a list."""
    sticks = folder / "list.csv"
    if rng.random() < 0.3:
        sticks.write_text(SHORT_LIST, "utf-8")
    return Options(
        quiet=rng.random() < 0.1,
        metric=rng.random() < 0.2,
        sticks=sticks if sticks.exists() and rng.random() < 0.5 else None,
    )


@dataclass
class RandomTalk:
    """One person on one folder. `said` and `shown` are of the last event; `events` all since it was opened;
    `recalled` is the state as it was found.
    """

    folder: Path
    rng: Random
    options: Options = field(default_factory=Options)
    said: str = ""
    shown: str = ""
    events: list[Event] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Open the folder, as Bench does at its start. Raises what that raises."""
        self.store = Store(self.folder)
        try:
            talk = conversation(knowledge(), self.options, self.store)
        except BenchError:
            self.store.close()
            raise
        self.session: Session[State] = Session(talk, self.store, self._perform)
        self.recalled = self.session.state
        self._walk = Walk(knowledge(), self.rng, self.session.state)
        self.session.begin()

    def step(self, event: Event | None = None) -> None:
        """An event; a random one unless given."""
        if event is None:
            self._walk.state = self.session.state
            event = self._walk.event()
            while isinstance(event, Started):
                event = self._walk.event()
        self.events.append(event)
        self.said = self.shown = ""
        self.session.handle(event)

    def close(self) -> None:
        """Let go of the folder; everything is on disk already."""
        self.store.close()

    def _perform(self, effects: Sequence[Effect]) -> None:
        try:
            keep_benders(self.folder, effects)
        except BenchError as error:
            self.session.handle(Failed("disk", written(error.message), written(error.remedy)))
        words = [effect.words for effect in effects if isinstance(effect, Say)]
        views = [effect.view for effect in effects if isinstance(effect, Show)]
        self.said = f"{self.said} {' '.join(words)}".strip()
        if views:
            view = views[-1]
            self.shown = " ".join((view.verb, view.number, view.said, *view.lines, *view.troubles))
