"""Where the conversation is. Frozen, comparable, and JSON-ready where it must outlive a crash."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from typing import Any

import cattrs

from bench.core.given import measure_key
from bench.core.lengths import Units
from bench.job.model import JobBend, JobStick, Number, Profile, Tools
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
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Place:
    """Everything that `undo` takes back.

    `at` counts questions in ASK and CALIBRATE and steps in WORK. `bend` is the one in hand. `measured` is
    what the person found at a check, until they confirm it; `observed` what they have confirmed. `trial`
    holds the measures of a test bend. `waiting` are bends of a listed stick still to be read back, `queued`
    counts sticks taken from the list. `fault` is what the person saw wrong at a check.
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
    waiting: tuple[JobBend, ...] = ()
    queued: int = 0
    fault: str = ""


class AsideKind(StrEnum):
    """A question inside the question, when the answer was not understood."""

    OFFER = "offer"
    WHOLE = "whole"
    PART = "part"


@dataclass(frozen=True, slots=True)
class Aside:
    """The readings being offered one by one, or the number being taken in parts."""

    kind: AsideKind
    readings: tuple[Meaning, ...] = ()
    whole: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class State:
    """The whole conversation. What is passing (aside, attempts, heard, troubles) does not outlive a restart.

    `queue` holds sticks still to be bent from a list. `profiles` are the person's own benders.
    """

    now: Place = field(default_factory=Place)
    past: tuple[Place, ...] = ()
    units: Units = Units.INCH
    paused: bool = False
    quiet: bool = False
    profiles: tuple[Profile, ...] = ()
    queue: tuple[JobStick, ...] = ()
    aside: Aside | None = None
    attempts: int = 0
    reminded: bool = False
    heard: str = ""
    troubles: tuple[tuple[str, str], ...] = ()

    def moved(self, place: Place) -> State:
        """The state at a new place, the old one kept for `undo`; questions inside questions are over."""
        past = (*self.past, self.now)[-UNDO_DEPTH:]
        return replace(self.settled(), now=place, past=past)

    def settled(self) -> State:
        """The state with no question inside the question."""
        return replace(self, aside=None, attempts=0, reminded=False)


_TRANSIENT = ("aside", "attempts", "reminded", "heard", "troubles")


def state_to_json(state: State) -> dict[str, Any]:
    """What must outlive a crash, JSON-ready. Lengths are exact fractions of an inch as text (`"219/8"`)."""
    raw: dict[str, Any] = _CONVERTER.unstructure(state)
    return {key: value for key, value in raw.items() if key not in _TRANSIENT}


def state_from_json(raw: Mapping[str, Any]) -> State:
    """The state written by `state_to_json`. Raises ValueError when it is not one."""
    try:
        return _CONVERTER.structure(dict(raw), State)
    except Exception as error:
        raise ValueError("; ".join(cattrs.transform_error(error))) from error


def _number_out(value: Number | None) -> object:
    return str(value) if isinstance(value, Fraction) else value


def _number_in(raw: object, _: object) -> Number | None:
    if isinstance(raw, str):
        return Fraction(raw)
    if raw is None or (isinstance(raw, int | float) and not isinstance(raw, bool)):
        return raw
    raise ValueError(f"{raw!r} is no number")


def _converter() -> cattrs.Converter:
    converter = cattrs.Converter()
    converter.register_unstructure_hook(Fraction, str)
    for union in (Number, Number | None):
        converter.register_structure_hook(union, _number_in)
        converter.register_unstructure_hook(union, _number_out)
    converter.register_structure_hook(Fraction, lambda raw, _: Fraction(raw))
    converter.register_structure_hook_func(
        lambda wanted: wanted == tuple[str, Number | None],
        lambda raw, _: (measure_key(str(raw[0])), _number_in(raw[1], _)),
    )
    converter.register_structure_hook(
        tuple[str, Number] | None,
        lambda raw, _: None if raw is None else (str(raw[0]), _number_in(raw[1], _)),
    )
    return converter


_CONVERTER = _converter()
