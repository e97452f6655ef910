"""Whatever the voice says, said back, is the same value: every one of them, of millimeters every third."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction

import pytest

from bench.core.lengths import MILLIMETER, Units
from bench.data.phrases import lexicon
from bench.language.lexicon import Lexicon
from bench.language.meaning import Expectation, Kind, typed
from bench.language.speak import spoken_angle, spoken_count, spoken_length, spoken_size
from bench.language.understand import understand
from tests.examples import TIMES

SIXTEENTHS = [Fraction(n, 16) for n in range(20 * 12 * 16 + 1)]
THIRTY_SECONDS = [Fraction(n, 32) for n in range(1, 24 * 32, 2)]
MILLIMETERS = [n * MILLIMETER for n in range(0, 6001, 3 if TIMES == 1 else 1)]


@pytest.fixture(scope="module")
def words() -> Lexicon:
    """The lexicon without sound-alikes: they add alternatives and time, no meanings."""
    return replace(lexicon(), sound_alikes=())


def changed(
    values: Iterable[object], say: Callable[..., str], expectation: Expectation, words: Lexicon
) -> list[str]:
    """Words whose meaning is not the value they were said for."""
    wrong = []
    for value in values:
        said = say(value)
        meaning = understand(typed(said), expectation, words).meaning
        if meaning is None or meaning.value != value or any(letter.isdigit() for letter in said):
            wrong.append(said)
    return wrong


def test_every_sixteenth_of_twenty_feet_in_inches(words: Lexicon) -> None:
    assert len(SIXTEENTHS) == 3841
    assert changed(SIXTEENTHS, spoken_length, Expectation(Kind.LENGTH), words) == []


def test_every_sixteenth_of_twenty_feet_in_feet_and_inches(words: Lexicon) -> None:
    def say(value: Fraction) -> str:
        return spoken_length(value, feet=True)

    assert changed(SIXTEENTHS, say, Expectation(Kind.LENGTH), words) == []


def test_every_hair_over(words: Lexicon) -> None:
    assert changed(THIRTY_SECONDS, spoken_length, Expectation(Kind.LENGTH), words) == []


def test_millimeters_of_six_meters(words: Lexicon) -> None:
    def say(value: Fraction) -> str:
        return spoken_length(value, Units.METRIC)

    metric = Expectation(Kind.LENGTH, units=Units.METRIC)
    assert changed(MILLIMETERS, say, metric, words) == []
    assert changed(MILLIMETERS[::7], say, Expectation(Kind.LENGTH), words) == []


def test_every_quarter_degree_to_ninety_and_beyond(words: Lexicon) -> None:
    angles = [quarter / 4 for quarter in range(1441)]
    expectation = Expectation(Kind.ANGLE, most=Fraction(360))
    assert changed(angles, spoken_angle, expectation, words) == []
    tenths = [tenth / 10 for tenth in range(901)]
    assert changed(tenths, spoken_angle, expectation, words) == []


def test_every_count_and_size(words: Lexicon) -> None:
    expectation = Expectation(Kind.COUNT, most=Fraction(200))
    assert changed(range(200), spoken_count, expectation, words) == []
    sizes = Expectation(Kind.SIZE, choices=tuple(words.sizes))
    assert changed(words.sizes, spoken_size, sizes, words) == []
