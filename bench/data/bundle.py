"""Collects everything the dialogue knows from the shared data."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from bench.core.plan import Measure, Quantity
from bench.data.files import read_toml, structured
from bench.data.limits import cautions, code_limits
from bench.data.phrases import glossary, lexicon
from bench.data.tables import benders, conduits, fittings, trade
from bench.dialogue.knowledge import Card, Flow, Knowledge, Question, SiteFlow

_FLOWS, _PROMPTS, _LESSON = "flows.toml", "prompts.toml", "lesson.toml"


@dataclass(frozen=True)
class _MeasureRow:
    key: str
    quantity: Quantity
    least: int
    most: int
    optional: bool = False


@dataclass(frozen=True)
class _FlowFile:
    bends: dict[str, Flow]
    sites: dict[str, SiteFlow]
    questions: dict[str, Question]
    calibration: tuple[_MeasureRow, ...]
    usual_angles: tuple[float, ...]
    spoken_advice: tuple[str, ...]


@dataclass(frozen=True)
class _PromptFile:
    say: dict[str, str]
    verb: dict[str, str]
    word: dict[str, str]
    screen: dict[str, str]
    faces: dict[str, str]


@dataclass(frozen=True)
class _LessonFile:
    card: tuple[Card, ...]


@cache
def knowledge() -> Knowledge:
    """All the dialogue's data, read once. Raises BenchError naming file and key when the data is damaged."""
    flows = structured(_FLOWS, _FlowFile, read_toml(_FLOWS))
    prompts = structured(_PROMPTS, _PromptFile, read_toml(_PROMPTS))
    words = glossary()
    return Knowledge(
        lexicon=lexicon(),
        conduits={(pipe.kind, pipe.size): pipe for pipe in conduits()},
        typical=benders(),
        flows=flows.bends,
        sites=flows.sites,
        questions=flows.questions,
        calibration=tuple(_measure(row) for row in flows.calibration),
        usual_angles=flows.usual_angles,
        spoken_advice=frozenset(flows.spoken_advice),
        prompts=prompts.say,
        verbs=prompts.verb,
        words=prompts.word,
        cautions=cautions(),
        limits=code_limits(),
        trade=trade(),
        glossary={key: term.answer for key, term in words.terms.items()},
        measuring=words.measuring,
        tape_ends=words.tape_end,
        lesson=structured(_LESSON, _LessonFile, read_toml(_LESSON)).card,
        fittings=fittings(),
    )


def _measure(row: _MeasureRow) -> Measure:
    return Measure(row.key, row.quantity, Fraction(row.least), Fraction(row.most), row.optional)
