"""What came of one utterance in a study of the ears; plain values, to be written down and put together."""

from __future__ import annotations

from dataclasses import dataclass, field

from bench.ears.confidence import Evidence


@dataclass(frozen=True)
class Outcome:
    """What one recognizer, or both, made of it.

    `right`: the best reading means what was said, however unsure. `among`: one of the readings does. `taken`: Bench
    would act on it without asking again. `wrong`: it would act on another meaning (numbers are still read back);
    `number`: on a number; `confidence`: how sure.
    """

    text: str
    right: bool = False
    among: bool = False
    taken: bool = False
    wrong: bool = False
    number: bool = False
    confidence: float = 0.0


@dataclass(frozen=True)
class Trial:
    """One utterance that was for us. `noise` is None for the recording as it is.

    `alone` is what the first recognizer's confidence was made of, `joint` what that of both was. Of numbers of several
    words: how many words, and how many wrong by the first recognizer and by both.
    """

    what: str
    noise: float | None
    number: int
    said: str
    first: Outcome
    both: Outcome
    second_right: bool = False
    second_among: bool = False
    alone: Evidence | None = None
    joint: list[float] = field(default_factory=list)
    seconds: float = 0.0
    took: float = 0.0
    words: int = 0
    words_wrong: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class Overheard:
    """An utterance that was not for us: what it was taken for ("numbers", "commands" or nothing), and whether Bench
    would ask again."""

    text: str
    taken: str
    confidence: float
    asked: bool
    alone: Evidence | None = None
    joint: list[float] = field(default_factory=list)


@dataclass(frozen=True)
class Track:
    """What one recognizer made of one kind of sound in one state."""

    ear: str
    state: str
    what: str
    seconds: float
    heard: list[Overheard]
