"""Where hands, eyes and ears can be hurt, and at which step of the job to say so."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Step(StrEnum):
    """The moments of a job at which a caution is due."""

    START = "start"
    BEND = "bend"
    CUT = "cut"
    FIT = "fit"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: `said` for the voice (no digits), `written` for screen and paper, and its source."""

    key: str
    step: Step
    said: str
    written: str
    source: str


@dataclass(frozen=True, slots=True)
class Cautions:
    """All cautions, and the sentence that says who decides: it comes before them."""

    caution: tuple[Caution, ...]
    deference_said: str
    deference_written: str

    def at(self, step: Step) -> tuple[Caution, ...]:
        """The cautions due at this step, in the order to say them."""
        return tuple(each for each in self.caution if each.step == step)
