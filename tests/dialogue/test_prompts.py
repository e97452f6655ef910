"""Every prompt: at most twelve words, one question, letters alone, used and there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

import bench
from bench.core.bends import BENDS
from bench.core.lengths import Units
from bench.core.notes import Note, Value
from bench.core.plan import Measure, Quantity
from bench.data.bundle import knowledge
from bench.dialogue import lesson
from bench.dialogue.measures import SIDES, measures_of
from bench.dialogue.reask import current_prompt
from bench.dialogue.state import Stage
from bench.language.speak import spoken
from tests.dialogue.script import happenings

SPEAKABLE = re.compile(r"[A-Za-z' ,.;:?!-]*")


MOST_WORDS = 12
"""The dialogue's own law: one question at a time, at most twelve words."""
TOLD_TOGETHER = (Stage.READ_BACK, Stage.TWEAK, Stage.SITE_FOUND, Stage.CALIBRATED, Stage.LEARNED)


TYPED: dict[str, Value] = {"length": Fraction(507, 16), "angle": 22.5, "count": 3, "word": "offset"}


def test_the_voice_is_given_letters_and_stops_alone() -> None:
    for one in happenings():
        assert SPEAKABLE.fullmatch(one.said), one.said


def test_a_question_is_at_most_twelve_words_with_the_value_before_it() -> None:
    for words in _questions():
        assert len(words.split()) <= MOST_WORDS, words


def test_every_prompt_is_short_with_its_values_left_out() -> None:
    """Where several things are told together (a whole set, a correction of several bends) each sentence is."""
    for one in happenings():
        prompt = current_prompt(one.after, knowledge())
        together = one.after.now.stage in TOLD_TOGETHER or lesson.taught(one.after)
        told = [note.template for note in prompt.ask]
        for part in (*(told if together else (" ".join(told),)), *(note.template for note in prompt.once)):
            sentences = re.split(r"(?<=[.?]) ", part) if together else [part]
            assert all(_counted(sentence) <= MOST_WORDS for sentence in sentences), (
                part,
                one.after.now.stage,
            )


def _counted(template: str) -> int:
    return len([word for word in re.sub(r"{\w+}", " ", template).split() if re.search(r"\w", word)])


def test_nothing_asked_holds_two_questions() -> None:
    for key, template in knowledge().prompts.items():
        assert template.count("?") <= 2, key
    for key, question in knowledge().questions.items():
        assert question.ask.count("?") == 1, key


def _questions() -> Iterator[str]:
    """Every question after every value that can stand before it, in sixteenths and in millimeters."""
    k = knowledge()
    for kind, flow in k.flows.items():
        measures = measures_of(kind, k)[: len(flow.asked)]
        for before, measure in zip((None, *measures), measures, strict=False):
            ask = flow.ask.get(measure.key, k.questions[measure.key].ask)
            skip = f" {k.prompts['may_skip']}" if measure.optional else ""
            for value in [flow.name.capitalize()] if before is None else _values(before):
                yield f"{value}. {ask}{skip}"
    for before, measure in zip((None, *k.calibration), k.calibration, strict=False):
        skip = f" {k.prompts['may_skip']}" if measure.optional else ""
        for value in [""] if before is None else _values(before):
            yield f"{value} {k.questions[measure.key].ask}{skip}".strip()


def _values(measure: Measure) -> Iterator[str]:
    """Values of a measure as read back: all kinds of sixteenths to two feet, millimeters to a meter."""
    if measure.quantity is not Quantity.LENGTH:
        steps = range(int(measure.least), int(min(measure.most, Fraction(360))) + 1)
        typed_as = float if measure.quantity is Quantity.ANGLE else int
        yield from (
            spoken(Note("value", "{value}", {"value": typed_as(number)}), Units.INCH) for number in steps
        )
        return
    for number in range(1, 384, 5):
        yield spoken(Note("value", "{value}", {"value": Fraction(number, 16)}), Units.INCH)
    for number in range(1, 1000, 41):
        yield spoken(Note("value", "{value}", {"value": Fraction(number * 5, 127)}), Units.METRIC)


@pytest.mark.parametrize("units", Units)
def test_no_prompt_holds_a_digit_or_a_mark_when_spoken(units: Units) -> None:
    for key, template in knowledge().prompts.items():
        assert not re.search(r"[0-9]", template), key
        names = re.findall(r"{(\w+)}", template)
        for value in TYPED.values():
            words = spoken(Note(key, template, dict.fromkeys(names, value)), units)
            assert SPEAKABLE.fullmatch(words), words


def _source() -> str:
    folder = Path(bench.__file__).parent
    return "\n".join(path.read_text(encoding="utf-8") for path in sorted(folder.rglob("*.py")))


def test_every_prompt_is_used_and_every_one_used_is_there() -> None:
    source, prompts = _source(), knowledge().prompts
    named = set(re.findall(r'(?:k\.note\(|prompts\[)\s*"(\w+)"', source))
    assert named <= set(prompts)
    made = {f"hook_{way}" for way in ("tape_end", "away", "either")} | {"method_book", "method_true"}
    made |= {f"side_{side}" for side in SIDES} | {f"put_{way}" for way in ("tape_end", "away", "either")}
    unused = {key for key in prompts if f'"{key}"' not in source} - made
    assert not unused


def test_every_measure_that_is_asked_has_its_words() -> None:
    k = knowledge()
    for kind in BENDS:
        for measure in measures_of(kind, k):
            assert measure.key in k.questions
            assert measure.key in k.lexicon.choices, f"nobody can say {measure.key} to change it"
