"""The specification of spoken measures: words and the value they stand for."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from bench.core.lengths import MILLIMETER, Units
from bench.data.phrases import lexicon
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, Meaning
from bench.language.understand import understand

LENGTHS = {
    "zero": F(0),
    "nothing": F(0),
    "half": F(1, 2),
    "a half": F(1, 2),
    "half an inch": F(1, 2),
    "a quarter inch": F(1, 4),
    "three quarters": F(3, 4),
    "an eighth": F(1, 8),
    "one eighth of an inch": F(1, 8),
    "three eighths": F(3, 8),
    "three and an eighth": F(25, 8),
    "a sixteenth": F(1, 16),
    "fifteen sixteenths": F(15, 16),
    "one inch": F(1),
    "an inch": F(1),
    "inch and a quarter": F(5, 4),
    "an inch and three quarters": F(7, 4),
    "seven": F(7),
    "seven inches": F(7),
    "twenty-seven and three eighths": F(219, 8),
    "twenty seven three eighths": F(219, 8),
    "two seven and three eighths": F(219, 8),
    "twenty seven and three eighths inches": F(219, 8),
    "thirty one and a half": F(63, 2),
    "one twenty": F(120),
    "one two zero": F(120),
    "one oh five": F(105),
    "a hundred and twelve": F(112),
    "one hundred twelve and five sixteenths": F(1797, 16),
    "twenty two point five": F(45, 2),
    "point five": F(1, 2),
    "zero point two five": F(1, 4),
    "six point twenty five": F(25, 4),
    "twenty seven point three seven five": F(219, 8),
    "ten foot": F(120),
    "ten feet": F(120),
    "four foot two": F(50),
    "four feet and two inches": F(50),
    "four foot two and three eighths": F(403, 8),
    "four feet two inches and three eighths": F(403, 8),
    "four foot three eighths": F(387, 8),
    "four foot and a half inch": F(97, 2),
    "a foot and a half": F(18),
    "four and a half feet": F(54),
    "six point five feet": F(78),
    "one foot eleven": F(23),
    "a hair over twenty seven": F(865, 32),
    "twenty seven a hair over": F(865, 32),
    "three eighths a hair under": F(11, 32),
    "six hundred thirty-five millimetres": F(25),
    "sixty-three point five centimetres": F(25),
    "one point two seven metres": F(50),
    "two hundred and fifty four millimeters": F(10),
    "uh twenty um seven": F(27),
    "it's thirty one": F(31),
    "thirty-one, no, thirty-two and a quarter": F(129, 4),
    "thirty one and a half make that thirty two": F(32),
    "seven sorry eleven": F(11),
    "five no six no seven": F(7),
    '27 3/8"': F(219, 8),
    "27-3/8": F(219, 8),
    "27⅜": F(219, 8),
    "31.25": F(125, 4),
    "3/4": F(3, 4),
    "4' 2\"": F(50),
    "4' 2 3/8\"": F(403, 8),
    "4'-2 3/8\"": F(403, 8),
    "4 ft 2 in": F(50),
    "635 mm": F(25),
    "63.5cm": F(25),
    "1.27 m": F(50),
}

METRIC_LENGTHS = {
    "six hundred thirty-five": F(25),
    "six thirty five": F(25),
    "six three five": F(25),
    "twelve hundred and seventy": F(50),
    "one thousand two hundred seventy millimetres": F(50),
    "sixty three point five": F(5, 2),
    "one point two seven metres": F(50),
    "twenty seven and three eighths inches": F(219, 8),
    "635": F(25),
    "1,270 mm": F(50),
    "63,5": F(5, 2),
}

ANGLES = {
    "thirty": 30.0,
    "thirty degrees": 30.0,
    "twenty two and a half": 22.5,
    "twenty two point five degrees": 22.5,
    "two two point five": 22.5,
    "four five": 45.0,
    "ninety two": 92.0,
    "half a degree": 0.5,
    "two and a quarter degrees": 2.25,
    "three quarters of a degree": 0.75,
    "22.5": 22.5,
    "22½°": 22.5,
    "30 deg": 30.0,
}

COUNTS = {"three": 3, "number three": 3, "twelve": 12, "one two": 12, "4": 4}

SIZES = {
    "half inch": "1/2",
    "half": "1/2",
    "1/2": "1/2",
    "three quarter": "3/4",
    "three quarter inch": "3/4",
    "three quarters of an inch": "3/4",
    "3/4": "3/4",
    "one inch": "1",
    "inch and a quarter": "1 1/4",
    "one and a quarter": "1 1/4",
    "1-1/4": "1 1/4",
    "inch and a half": "1 1/2",
    '1 1/2"': "1 1/2",
    "two inch": "2",
    "sixteen": "1/2",
    "twenty-one": "3/4",
    "21": "3/4",
    "twenty seven": "1",
    "thirty five": "1 1/4",
    "forty one": "1 1/2",
    "fifty three": "2",
    "two and a half inch": "2 1/2",
    "sixty three": "2 1/2",
    "three inch": "3",
    "seventy eight": "3",
    "three and a half": "3 1/2",
    "ninety one": "3 1/2",
    "four inches": "4",
    "one hundred and three": "4",
    "sixteen millimeter": "16 mm",
    "twenty millimeter": "20 mm",
    "25 mm": "25 mm",
    "thirty two": "32 mm",
}
"""Metric designators: NEC table 300.1(C), as used for conduit of the same trade size (from memory)."""

YES_OR_NO = {
    "yes": True,
    "yeah": True,
    "confirm": True,
    "correct": True,
    "that's right": True,
    "um yes": True,
    "no": False,
    "nope": False,
    "that's wrong": False,
}

REJECTED = (
    "",
    "banana",
    "twenty seven and",
    "three nine eighths",
    "eight eighths",
    "nine eighths",
    "sixteen sixteenths",
    "thirty one foot thirteen",
    "twenty twenty",
    "seven [unk]",
    "and a half",
    "no",
    "point",
    "27 3/7",
    "-5",
    "$27",
    "seven * eight",
    "five five five five five five five five five five five five five five",
)


def meant(words: str, expectation: Expectation) -> Meaning | None:
    """The meaning taken when the words were heard for certain."""
    heard = Heard((Hypothesis(tuple(words.split()), 1.0),))
    return understand(heard, expectation, lexicon()).meaning


@pytest.mark.parametrize(("words", "inches"), LENGTHS.items())
def test_lengths(words: str, inches: F) -> None:
    meaning = meant(words, Expectation(Kind.LENGTH))
    assert meaning == Meaning(Kind.LENGTH, inches)
    assert isinstance(meaning.value, F)


@pytest.mark.parametrize(("words", "inches"), METRIC_LENGTHS.items())
def test_lengths_where_a_number_alone_is_millimeters(words: str, inches: F) -> None:
    assert meant(words, Expectation(Kind.LENGTH, units=Units.METRIC)) == Meaning(Kind.LENGTH, inches)


@pytest.mark.parametrize(("words", "degrees"), ANGLES.items())
def test_angles(words: str, degrees: float) -> None:
    meaning = meant(words, Expectation(Kind.ANGLE))
    assert meaning == Meaning(Kind.ANGLE, degrees)
    assert isinstance(meaning.value, float)


@pytest.mark.parametrize(("words", "count"), COUNTS.items())
def test_counts(words: str, count: int) -> None:
    assert meant(words, Expectation(Kind.COUNT)) == Meaning(Kind.COUNT, count)


@pytest.mark.parametrize(("words", "size"), SIZES.items())
def test_trade_sizes(words: str, size: str) -> None:
    assert meant(words, Expectation(Kind.SIZE, choices=tuple(lexicon().sizes))) == Meaning(Kind.SIZE, size)


@pytest.mark.parametrize(("words", "answer"), YES_OR_NO.items())
def test_yes_or_no(words: str, answer: bool) -> None:
    assert meant(words, Expectation(Kind.YESNO)) == Meaning(Kind.YESNO, answer)


@pytest.mark.parametrize("words", REJECTED)
def test_what_is_no_length_is_not_taken_for_one(words: str) -> None:
    assert meant(words, Expectation(Kind.LENGTH)) is None


def test_a_millimeter_is_exact() -> None:
    assert meant("one millimetre", Expectation(Kind.LENGTH)) == Meaning(Kind.LENGTH, MILLIMETER)
    assert MILLIMETER * F(254, 10) == 1
