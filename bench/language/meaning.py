"""What was heard, what could be meant, and what was understood."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bench.core.lengths import Units


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One reading of what was heard: lower-case words, and how sure the recognizer is, 0 to 1."""

    words: tuple[str, ...]
    confidence: float


@dataclass(frozen=True, slots=True)
class Heard:
    """What a recognizer made of one utterance, best reading first.

    Empty `hypotheses` means sound that was speech-like but not for us. `seconds` is its length in sound.
    """

    hypotheses: tuple[Hypothesis, ...]
    seconds: float = 0.0

    @property
    def text(self) -> str:
        """The words of the best reading, or nothing."""
        return " ".join(self.hypotheses[0].words) if self.hypotheses else ""

    @property
    def confidence(self) -> float:
        """Confidence of the best reading, 0 when there is none."""
        return self.hypotheses[0].confidence if self.hypotheses else 0.0


def typed(line: str) -> Heard:
    """A line typed by the person, with full confidence."""
    return Heard((Hypothesis(tuple(line.lower().split()), 1.0),))


class Kind(StrEnum):
    """Kinds of thing the person can be expected to say."""

    LENGTH = "length"
    ANGLE = "angle"
    COUNT = "count"
    SIZE = "size"
    YESNO = "yesno"
    CHOICE = "choice"
    COMMAND = "command"
    ORDER = "order"
    """More than one answer in a breath: never asked for, always an `Order`."""


NUMBERS = (Kind.LENGTH, Kind.ANGLE, Kind.COUNT)


@dataclass(frozen=True, slots=True)
class Slot:
    """A measure that may be said now: its kind and what is plausible.

    `asked` ones take numbers without a label, in this order, unless the value is `known`; `optional` ones only
    when there are numbers enough.
    """

    key: str
    kind: Kind
    least: Fraction
    most: Fraction
    asked: bool = True
    known: bool = False
    optional: bool = False


@dataclass(frozen=True, slots=True)
class NamedBend:
    """A bend that may be named with its measures; `adjective` is the one meant by "six inch offset"."""

    bend: str
    slots: tuple[Slot, ...]
    adjective: str


@dataclass(frozen=True, slots=True)
class Given:
    """One number of an order: inches, degrees or a count, as `kind` says.

    `measures` are the measures its label can name, none without a label. `corrects` is true after "no".
    """

    kind: Kind
    value: Fraction
    measures: tuple[str, ...] = ()
    corrects: bool = False


@dataclass(frozen=True, slots=True)
class Order:
    """What was said in one breath. Keys are blank for what was not said; `given` are its numbers in turn."""

    bend: str = ""
    given: tuple[Given, ...] = ()
    conduit: str = ""
    size: str = ""
    bender: str = ""
    side: str = ""
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What can be said now. It decides the recognizer's grammar and how words are understood.

    `kind` is the answer asked for; COMMAND means that only commands are expected. `least` and `most` are the
    plausible range of an answer (inches, degrees, a count). `choices` are keys of named phrases for CHOICE
    and trade sizes for SIZE; beside other kinds they are further answers ("skip", "mine"). `commands` are
    keys of the commands valid now. `corrected` is the kind of the value last given, which "no, thirty-two"
    replaces: where it is None that is taken for an answer of `kind`. `instead` is the kind of answer that may be
    given in place of yes or no, where a reading is offered. `paused` leaves the wake phrase alone.

    `asks` is the measure asked for. What may be said in one breath besides: measures of the bend in hand
    (`slots`), bends with their measures (`bends`) and the side they go to (`sides`), set-up (`conduits`,
    `sizes`, `benders`), and a fault with its amount (`faults`).
    """

    kind: Kind
    least: Fraction | None = None
    most: Fraction | None = None
    choices: tuple[str, ...] = ()
    commands: tuple[str, ...] = ()
    units: Units = Units.INCH
    paused: bool = False
    corrected: Kind | None = None
    instead: Kind | None = None
    asks: str = ""
    slots: tuple[Slot, ...] = ()
    bends: tuple[NamedBend, ...] = ()
    sides: tuple[str, ...] = ()
    conduits: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    benders: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Meaning:
    """What was meant.

    `value` by kind: LENGTH a Fraction of inches, ANGLE a float of degrees, COUNT an int, YESNO a bool,
    SIZE, CHOICE and COMMAND a key, ORDER an Order. `argument` is what a command leaves open: the number of "what is
    mark two", the key of a word of the trade, a name.
    `corrects` is true of "no, thirty-two": the value replaces the one last given.
    """

    kind: Kind
    value: Fraction | float | int | bool | str | Order
    argument: int | str | None = None
    corrects: bool = False

    @property
    def number(self) -> Fraction:
        """The value of a number. Raises TypeError for a meaning that is none."""
        if isinstance(self.value, str | Order):
            raise TypeError(f"{self.value!r} is no number")
        return Fraction(self.value)


class Trouble(StrEnum):
    """Why nothing was understood."""

    NOTHING = "nothing"
    NOT_A_PHRASE = "not_a_phrase"
    OUT_OF_RANGE = "out_of_range"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Understanding:
    """The meaning taken, the other meanings possible, and why none was taken, if so.

    With OUT_OF_RANGE and UNSURE, `alternatives` holds what it would have been, best first. `could_go_on` is
    true while more words could still belong to it ("twenty" ... "two and a half"): the ears wait longer then.
    """

    meaning: Meaning | None
    alternatives: tuple[Meaning, ...] = ()
    confidence: float = 0.0
    trouble: Trouble | None = None
    could_go_on: bool = False
