"""What the dialogue knows besides the state: tables, phrases, flows, prompts. It is passed in, not looked up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bench.core.bender import Bender
from bench.core.cautions import Cautions
from bench.core.code import CodeLimits
from bench.core.conduit import Conduit
from bench.core.fittings import Fittings
from bench.core.lengths import Units
from bench.core.notes import Note, Value
from bench.core.plan import Measure
from bench.core.trade import Trade
from bench.language.lexicon import Lexicon
from bench.language.write import written


@dataclass(frozen=True, slots=True)
class Flow:
    """The conversation of one bend: its name, the measures asked in order, those core chooses unless told.

    `adjective` is the measure meant by "six inch offset".

    `with_ninety` are measures not asked when the stick already has a ninety that this bend begins at. `ask`
    holds questions worded differently for this bend. `tape_end` tells which end the tape hooks on, where no question
    does.
    """

    name: str
    adjective: str
    asked: tuple[str, ...]
    advised: tuple[str, ...] = ()
    with_ninety: tuple[str, ...] = ()
    ask: Mapping[str, str] = field(default_factory=dict)
    tape_end: str = ""


@dataclass(frozen=True, slots=True)
class SiteFlow:
    """The conversation of what is measured on site: the measures asked in order; `ask` words some differently."""

    asked: tuple[str, ...]
    ask: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Question:
    """How one measure is named and asked for."""

    label: str
    ask: str


@dataclass(frozen=True, slots=True)
class Card:
    """One card of the lesson: what is said, the word shown huge, the point of the bender it is about, if any."""

    word: str
    say: str
    point: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Knowledge:
    """Everything the dialogue reads. It is compared by identity. `conduits` and `typical` are keyed by (conduit, trade
    size).

    `glossary` answers "what is ...", by the word's key; `measuring` tells how a measure is taken, by its key or
    `bend.measure`; `tape_ends` which end the tape hooks on, by the bend or `any`; `lesson` is told on a first start.
    """

    lexicon: Lexicon
    conduits: Mapping[tuple[str, str], Conduit]
    typical: Mapping[tuple[str, str], Bender]
    flows: Mapping[str, Flow]
    sites: Mapping[str, SiteFlow]
    questions: Mapping[str, Question]
    calibration: tuple[Measure, ...]
    usual_angles: tuple[float, ...]
    spoken_advice: frozenset[str]
    prompts: Mapping[str, str]
    verbs: Mapping[str, str]
    words: Mapping[str, str]
    cautions: Cautions
    limits: CodeLimits
    trade: Trade
    glossary: Mapping[str, str]
    measuring: Mapping[str, str]
    tape_ends: Mapping[str, str]
    lesson: tuple[Card, ...]
    fittings: Fittings

    def note(self, key: str, **values: Value) -> Note:
        """The prompt `key` of `shared/prompts.toml` with its values."""
        return Note(key, self.prompts[key], values)

    def write(self, note: Note, units: Units) -> str:
        """A note as text for the screen."""
        return written(note, units)

    def word(self, key: str) -> str:
        """A trade word as shown and spoken."""
        return self.words.get(key, key)

    def kinds(self) -> tuple[str, ...]:
        """Conduit kinds, in the order of the table."""
        return tuple(dict.fromkeys(kind for kind, _ in self.conduits))

    def sizes(self, kind: str) -> tuple[str, ...]:
        """Trade sizes of a kind of conduit, smallest first as the table lists them."""
        return tuple(size for this, size in self.conduits if this == kind)
