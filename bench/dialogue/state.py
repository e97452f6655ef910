"""Where the conversation is. Frozen, comparable, and JSON-ready where it must outlive a crash."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from typing import Any

import cattrs

from bench.core.lengths import Units
from bench.job.learning import Learning
from bench.job.model import Job, JobBend, JobStick, Number, Profile, Tools
from bench.job.stored import converter, number_from_json
from bench.language.meaning import Meaning

UNDO_DEPTH = 12


class Stage(StrEnum):
    """What is being asked or done. Each has one module in `bench.dialogue.stages`."""

    RESUME = "resume"
    SETUP_AGAIN = "setup_again"
    CONDUIT = "conduit"
    SIZE = "size"
    BENDER = "bender"
    TEST_BEND = "test_bend"
    CALIBRATE = "calibrate"
    CALIBRATED = "calibrated"
    PICK = "pick"
    BOXES = "boxes"
    SITE = "site"
    SITE_FOUND = "site_found"
    LEARNED = "learned"
    ASK = "ask"
    READ_BACK = "read_back"
    WHICH = "which"
    SIDE = "side"
    WORK = "work"
    HOW_MUCH = "how_much"
    MEASURED = "measured"
    TWEAK = "tweak"
    AFTER = "after"
    RACK = "rack"
    RACK_READ_BACK = "rack_read_back"
    RUN = "run"
    FINISH = "finish"
    FOUND = "found"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Place:
    """Everything that `undo` takes back.

    `at` counts questions in ASK, CALIBRATE and SITE and steps in WORK. `bend` is the one in hand. `measured` is
    what the person found at a check, until they confirm it; `observed` what they have confirmed. `trial`
    holds the measures of a test bend, or those of `site` (`bench.core.site.SITES`). `waiting` are bends of the
    stick still to be read back, `queued` counts sticks taken from the list. `fault` is what the person saw wrong
    at a check. The job in hand is number `job_number`, called `job_name` and at `job_place` where the person
    named it; its run `run_name`. `found` are the sticks of an earlier job, offered as `found_as`; `again` those
    still to be bent like it. `apart` makes each movement of the work a step of its own, `row` reads marks together.
    `uncut` is true while a further bend is put on a stick that was not cut yet.
    """

    stage: Stage = Stage.CONDUIT
    at: int = 0
    tools: Tools = field(default_factory=Tools)
    bend: JobBend = field(default_factory=JobBend)
    stick: JobStick = field(default_factory=JobStick)
    done: tuple[JobStick, ...] = ()
    run: int = 1
    changing: bool = False
    came_from: Stage | None = None
    measured: tuple[str, Number] | None = None
    observed: tuple[tuple[str, Number], ...] = ()
    trial: tuple[tuple[str, Number | None], ...] = ()
    site: str = ""
    waiting: tuple[JobBend, ...] = ()
    queued: int = 0
    fault: str = ""
    job_number: int = 1
    job_name: str = ""
    job_place: str = ""
    run_name: str = ""
    found: tuple[JobStick, ...] = ()
    found_as: str = ""
    again: tuple[JobStick, ...] = ()
    again_from: str = ""
    apart: bool = False
    row: bool = False
    uncut: bool = False

    @property
    def run_label(self) -> str:
        """What the sticks of the run in hand are marked with."""
        return self.run_name or str(self.run)

    @property
    def sticks(self) -> tuple[JobStick, ...]:
        """The sticks of the job: those put away, and the one in hand if it has a bend."""
        return (*self.done, self.stick) if self.stick.bends else self.done

    @property
    def job(self) -> Job:
        """Everything done for the job in hand."""
        finished = self.stage is Stage.DONE
        return Job(self.job_number, self.sticks, self.job_name, self.job_place, finished)


class AsideKind(StrEnum):
    """A question inside the question, when the answer was not understood."""

    OFFER = "offer"
    WHOLE = "whole"
    PART = "part"
    LESSON = "lesson"


@dataclass(frozen=True, slots=True)
class Aside:
    """The readings being offered one by one, the number being taken in parts, or the card of the lesson."""

    kind: AsideKind
    readings: tuple[Meaning, ...] = ()
    whole: Fraction = Fraction(0)
    card: int = 0


@dataclass(frozen=True, slots=True)
class State:
    """The whole conversation. What is passing (aside, attempts, helped, heard, troubles, notice) does not outlive a
    restart.

    `queue` holds sticks still to be bent from a list. `profiles` are the person's own benders,
    `learned` what their checks taught of them, kept in a file of its own. `taught` is false
    until the lesson of a first start is told. `helped` counts the phrases that were told by "help" and "more".
    """

    now: Place = field(default_factory=Place)
    past: tuple[Place, ...] = ()
    units: Units = Units.INCH
    paused: bool = False
    quiet: bool = False
    profiles: tuple[Profile, ...] = ()
    learned: tuple[Learning, ...] = ()
    queue: tuple[JobStick, ...] = ()
    taught: bool = True
    aside: Aside | None = None
    attempts: int = 0
    reminded: bool = False
    helped: int = 0
    heard: str = ""
    troubles: tuple[tuple[str, str], ...] = ()
    notice: str = ""

    def moved(self, place: Place) -> State:
        """The state at a new place, the old one kept for `undo`; questions inside questions are over."""
        past = (*self.past, self.now)[-UNDO_DEPTH:]
        return replace(self.settled(), now=place, past=past)

    def settled(self) -> State:
        """The state with no question inside the question."""
        return replace(self, aside=None, attempts=0, reminded=False, helped=0)


_TRANSIENT = ("learned", "aside", "attempts", "reminded", "helped", "heard", "troubles", "notice")


_WITH_STEPS = (Stage.WORK, Stage.HOW_MUCH, Stage.MEASURED, Stage.TWEAK, Stage.RESUME)
"""Where `at` counts steps. Versions that did not write down `apart` knew only steps of one movement."""


def state_to_json(state: State) -> dict[str, Any]:
    """What must outlive a crash, JSON-ready. Lengths are exact fractions of an inch as text (`"219/8"`).

    Each stick is written once, in `sticks`; places name it by its index there, however often `undo` keeps it.
    """
    raw: dict[str, Any] = _WRITER.unstructure(state)
    kept = {key: value for key, value in raw.items() if key not in _TRANSIENT}
    indexes: dict[int, int] = {}
    sticks: list[JobStick] = []

    def index(stick: JobStick) -> int:
        if id(stick) not in indexes:
            indexes[id(stick)] = len(sticks)
            sticks.append(stick)
        return indexes[id(stick)]

    _replace_sticks(kept, index)
    return kept | {"sticks": [_READER.unstructure(stick) for stick in sticks]}


def state_from_json(raw: Mapping[str, Any]) -> State:
    """The state written by `state_to_json`, also by earlier versions. Raises ValueError when it is not one."""
    try:
        copy = json.loads(json.dumps(dict(raw)))
        sticks = _READER.structure(copy.pop("sticks", []), tuple[JobStick, ...])
        _replace_sticks(copy, lambda stored: sticks[stored] if isinstance(stored, int) else stored)
        for place in (copy["now"], *copy["past"]):
            place.setdefault("apart", place["stage"] in _WITH_STEPS)
        return _READER.structure(copy, State)
    except cattrs.BaseValidationError as error:
        raise ValueError("; ".join(cattrs.transform_error(error))) from error
    except (KeyError, IndexError, TypeError, AttributeError) as error:
        raise ValueError(f"not a saved state: {error!r}") from error


def _replace_sticks(raw: dict[str, Any], by: Callable[[Any], Any]) -> None:
    """Put something else wherever a stick stands in a state's data."""
    for place in (raw["now"], *raw["past"]):
        place["stick"] = by(place["stick"])
        for key in ("done", "found", "again"):
            place[key] = [by(stick) for stick in place.get(key, ())]
    raw["queue"] = [by(stick) for stick in raw["queue"]]


def _reader() -> cattrs.Converter:
    made = converter()
    plain = converter()
    made.register_structure_hook(
        JobStick,
        lambda stored, _: stored if isinstance(stored, JobStick) else plain.structure(stored, JobStick),
    )
    made.register_structure_hook(
        tuple[str, Number] | None,
        lambda stored, _: None if stored is None else (str(stored[0]), number_from_json(stored[1])),
    )
    return made


def _writer() -> cattrs.Converter:
    made = converter()
    made.register_unstructure_hook(JobStick, lambda stick: stick)
    return made


_READER, _WRITER = _reader(), _writer()
