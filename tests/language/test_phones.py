"""Phrases that can be said at the same time must sound apart, or be known to sound alike."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from itertools import combinations
from random import Random

import pytest

from bench.data.phrases import lexicon
from bench.language.grammar import grammar, not_now, samples
from bench.language.meaning import Expectation
from bench.language.numbers import ONES, TEENS, TENS
from tests.language.phones import close_pairs, distance
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


def spoken(templates: Iterable[str]) -> set[str]:
    """What the templates can sound like."""
    rng = Random(1)
    return {
        " ".join(lexicon().tree(template.replace("{number}", "two")).pick(rng)[0])
        for template in templates
        for _ in range(6)
    }


def phrases(expectation: Expectation) -> list[tuple[str, str]]:
    """Key and words of every command and choice that can be said now."""
    words = lexicon()
    tables = [(key, sayable(key, expectation)) for key in expectation.commands]
    tables += [(key, list(words.choices[key])) for key in expectation.choices]
    return [(key, said) for key, templates in tables for said in sorted(spoken(templates))]


def sayable(command: str, expectation: Expectation) -> list[str]:
    """The templates of a command without those that give way to something else now."""
    left_out = not_now(command, expectation, lexicon())
    return [one for one in lexicon().commands[command] if one not in left_out]


@cache
def _close() -> dict[tuple[str, str], float]:
    """Everything that is said anywhere and sounds nearer to something else than commands may, once for all."""
    words = lexicon()
    tables = (*words.commands.values(), *words.choices.values(), words.no)
    said = {one for templates in tables for one in spoken(templates)}
    return close_pairs(sorted(said | set(NUMBER_WORDS)), words.pronunciations, APART)


def near(
    several: list[tuple[str, str]], apart: float, close: dict[tuple[str, str], float] | None = None
) -> list[tuple[str, str, float]]:
    """Pairs with different keys that sound nearer than `apart` and are not listed as sound-alikes."""
    words = lexicon()
    known = {frozenset(pair) for pair in words.sound_alikes}
    keys: dict[str, set[str]] = {}
    for key, said in several:
        keys.setdefault(said, set()).add(key)
    twice = [(said, said, 0.0) for said, its in keys.items() if len(its) > 1]
    close = {
        pair: gap for pair, gap in (close or _close()).items() if gap < apart and keys.keys() >= set(pair)
    }
    return twice + [
        (one, other, round(gap, 2))
        for (one, other), gap in close.items()
        if len(keys[one] | keys[other]) > 1 and frozenset((one, other)) not in known
    ]


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
    close = close_pairs(sorted({said for _, said in answers}), words.pronunciations, CONTRARY)
    assert near(answers, CONTRARY, close) == []


def test_no_denial_ends_in_a_confirmation() -> None:
    """The first sound of an utterance is the one that gets lost: at most its first word. What ends in one further on
    must be known as a denial, else it would be heard as the confirmation."""
    words = lexicon()
    for denial in spoken(words.no):
        for start in range(1, len(denial.split()[0]) + 1):
            assert denial[start:].strip() not in spoken(words.yes), denial


def test_the_measure_of_distance() -> None:
    assert distance("two", "to", {}) == distance("four", "for", {}) == 0
    assert distance("fifteen", "fifty", {}) < distance("fifteen", "ninety", {})
    assert distance("eighth", "eight", {}) < 1 < distance("repeat", "undo", {})


def test_close_pairs_are_those_that_are_close_one_by_one() -> None:
    commands = spoken(lexicon().commands["back"]) | spoken(lexicon().commands["undo"])
    several = sorted({*Random(3).sample(sorted(commands), 20), *NUMBER_WORDS})
    close = close_pairs(several, lexicon().pronunciations, CONTRARY)
    for one, other in combinations(several, 2):
        gap = distance(one, other, lexicon().pronunciations)
        assert close.get((one, other), gap) == pytest.approx(gap)
        assert ((one, other) in close) == (gap < CONTRARY)


def test_samples_can_be_pronounced() -> None:
    for expectation in STATES.values():
        for sample in samples(grammar(expectation, lexicon()), 5, Random(2)):
            assert distance(" ".join(sample.words), "next", dict(lexicon().pronunciations)) >= 0
