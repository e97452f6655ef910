"""Small things the tables pass by: where one constant or one sign alone decides.

Each test was written for a fault that no other noticed (`tests.benchmarks.mutation`).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from bench.core.lengths import Units
from bench.data.phrases import lexicon
from bench.language.meaning import Expectation, Kind, Meaning, typed
from bench.language.understand import understand
from tests.dialogue.conversation import Conversation

MILLIMETER = Fraction(5, 127)
"""Inches; an inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""


def meant(
    words: str, kind: Kind, most: Fraction | None = None, units: Units = Units.METRIC
) -> Meaning | None:
    return understand(typed(words), Expectation(kind, None, most, units=units), lexicon()).meaning


@pytest.mark.parametrize(
    ("words", "millimeters"),
    [
        ("twenty five centimeters", 250),
        ("twenty five point five centimeters", 255),
        ("one hundred centimeters", 1000),
        ("two hundred and fifty millimeters", 250),
        ("three meters", 3000),
        ("one point two meters", 1200),
        ("a meter", 1000),
    ],
)
def test_metric_units_are_exact(words: str, millimeters: int) -> None:
    found = meant(words, Kind.LENGTH, Fraction(200))
    assert found is not None
    assert found.value == millimeters * MILLIMETER


@pytest.mark.parametrize(
    ("kind", "value"), [(Kind.LENGTH, Fraction(30)), (Kind.ANGLE, 30.0), (Kind.COUNT, 30)], ids=str
)
def test_a_number_is_of_the_kind_that_is_asked_for(kind: Kind, value: object) -> None:
    found = meant("thirty", kind, Fraction(90), Units.INCH)
    assert found is not None
    assert found.kind is kind
    assert found.value == value
    assert type(found.value) is type(value)


@pytest.mark.parametrize("kind", [Kind.LENGTH, Kind.ANGLE, Kind.COUNT], ids=str)
def test_a_number_past_the_most_is_not_taken(kind: Kind) -> None:
    assert meant("thirty", kind, Fraction(29), Units.INCH) is None
    assert meant("thirty", kind, Fraction(30), Units.INCH) is not None


@pytest.mark.parametrize(
    ("words", "distance", "rise"),
    [
        ("offset ninety centimeters out fifteen centimeters high", 900, 150),
        ("offset nine hundred out one hundred and fifty high", 900, 150),
        ("offset nine hundred millimeters out twelve point five centimeters high", 900, 125),
    ],
)
def test_metric_numbers_in_one_breath_are_exact(words: str, distance: int, rise: int) -> None:
    talk = Conversation()
    talk.start()
    for line in ("emt", "half inch", "typical"):
        talk.say(line)
    talk.state = replace(talk.state, units=Units.METRIC)
    talk.say(words)
    found = talk.state.now.bend.measures
    assert (found["distance"], found["rise"]) == (distance * MILLIMETER, rise * MILLIMETER)
