"""One step of the work. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.core.cautions import Step
from bench.core.checks import Check
from bench.core.notes import Note


class Doing(StrEnum):
    """What the hands do in a step."""

    MARK = "mark"
    TURN = "turn"
    SEAT = "seat"
    BEND = "bend"
    OFFER = "offer"
    CHECK = "check"
    CUT = "cut"
    REAM = "ream"
    FIT = "fit"


@dataclass(frozen=True, slots=True)
class Pace:
    """How much of the work is one step: `apart` each movement alone, `row` the marks of a bend together."""

    apart: bool = False
    row: bool = False


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step: the words, the huge number, what else to know.

    `once` is said the first time only. `action` is the instruction in block letters, `alone` where it tells the
    number too. `mark` indexes the stick's marks, `row` those drawn together. `owner` indexes the stick's bends, at a
    check and where all checks are offered, if they are of one bend. `turn` is degrees to turn the conduit to the left
    first.
    """

    doing: Doing
    say: tuple[Note, ...]
    number: str
    lines: tuple[Note, ...] = ()
    mark: int | None = None
    angle: float | None = None
    caution: Step | None = None
    check: Check | None = None
    owner: int | None = None
    action: tuple[str, ...] = ()
    alone: bool = False
    row: tuple[int, ...] = ()
    once: tuple[Note, ...] = ()
    turn: float = 0.0

    @property
    def marks(self) -> tuple[int, ...]:
        """The marks drawn in this step."""
        return self.row or (() if self.mark is None else (self.mark,))
