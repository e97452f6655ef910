"""Phrases that can be said at the same time must sound apart, or be known to sound alike."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from random import Random

import pytest

from bench.data.phrases import lexicon
from bench.language.grammar import grammar, samples
from bench.language.meaning import Expectation
from bench.language.numbers import ONES, TEENS, TENS
from tests.language.phones import distance
from tests.language.states import STATES

A_PHONE = 1.0
APART = 1.3
"""About a phone and a third."""
CONTRARY = 1.6
"""Yes and no: a mistake confirms what is wrong."""
NUMBER_WORDS = (*ONES, *TEENS, *TENS, "zero", "half", "quarter", "eighth", "sixteenth", "foot", "inch")
_CHOICES = (
    "height",
    "check",
    "pick",
    "conduit",
    "bender",
    "marking",
    "mending",
    "after",
    "offered check",
    "helped",
)


def spoken(templates: tuple[str, ...]) -> set[str]:
    """What the templates can sound like."""
    rng = Random(1)
    return {
        " ".join(lexicon().tree(template.replace("{number}", "two")).pick(rng)[0])
        for template in templates
        for _ in range(8)
    }


def phrases(expectation: Expectation) -> list[tuple[str, str]]:
    """Key and words of every command and choice that can be said now."""
    words = lexicon()
    tables = [(key, words.commands[key]) for key in expectation.commands]
    tables += [(key, words.choices[key]) for key in expectation.choices]
    return [(key, said) for key, templates in tables for said in sorted(spoken(templates))]


@cache
def _gap(one: str, other: str, apart: float) -> float:
    """How far apart two phrases sound, where that is less than `apart`; they meet in many states."""
    return distance(one, other, lexicon().pronunciations, apart)


def near(several: list[tuple[str, str]], apart: float) -> list[tuple[str, str, float]]:
    """Pairs with different keys that sound nearer than `apart` and are not listed as sound-alikes."""
    words = lexicon()
    known = {frozenset(pair) for pair in words.sound_alikes}
    found = []
    for (key, one), (other_key, other) in combinations(several, 2):
        if key == other_key or frozenset((one, other)) in known:
            continue
        gap = _gap(*sorted((one, other)), apart)
        if gap < apart:
            found.append((one, other, round(gap, 2)))
    return found


@pytest.mark.parametrize("name", _CHOICES)
def test_commands_and_choices_of_a_state_sound_apart(name: str) -> None:
    several = [(key, said) for key, said in phrases(STATES[name]) if key != "calibrate"]
    assert near(several, APART) == []


def test_commands_sound_apart_from_numbers() -> None:
    commands = phrases(STATES["distance"]) + [("change", said) for said in sorted(spoken(lexicon().no))]
    for number in NUMBER_WORDS:
        alone = [(key, said) for key, said in commands if " " not in said]
        assert near([*alone, (number, number)], APART) == []


def test_number_words_sound_apart_or_are_listed() -> None:
    assert near([(word, word) for word in NUMBER_WORDS], A_PHONE) == []


def test_yes_and_no_sound_well_apart() -> None:
    words = lexicon()
    answers = [("yes", said) for said in spoken(words.yes)] + [("no", said) for said in spoken(words.no)]
    assert near(answers, CONTRARY) == []


def test_no_denial_ends_in_a_confirmation() -> None:
    """The first sound of an utterance is the one that gets lost."""
    words = lexicon()
    for denial in spoken(words.no):
        for start in range(1, len(denial)):
            assert denial[start:].strip() not in spoken(words.yes), denial


def test_the_measure_of_distance() -> None:
    assert distance("two", "to", {}) == distance("four", "for", {}) == 0
    assert distance("fifteen", "fifty", {}) < distance("fifteen", "ninety", {})
    assert distance("eighth", "eight", {}) < 1 < distance("repeat", "undo", {})


def test_samples_can_be_pronounced() -> None:
    for expectation in STATES.values():
        for sample in samples(grammar(expectation, lexicon()), 5, Random(2)):
            assert distance(" ".join(sample.words), "next", dict(lexicon().pronunciations)) >= 0
