"""What the voice says: words alone, the way the trade says them."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.core.lengths import Units
from bench.core.notes import Note, Value
from bench.language.speak import (
    spoken,
    spoken_angle,
    spoken_length,
    spoken_size,
    spoken_value,
)
from bench.language.tidy import without_digits
from tests.examples import examples

INCHES = {
    F(0): "zero",
    F(1): "one inch",
    F(31): "thirty-one inches",
    F(219, 8): "twenty-seven and three eighths",
    F(125, 4): "thirty-one and a quarter",
    F(25, 8): "three and one eighth",
    F(1, 2): "a half inch",
    F(3, 8): "three eighths of an inch",
    F(877, 32): "twenty-seven and three eighths, a hair over",
    F(-1, 4): "minus a quarter of an inch",
    F(101, 2): "fifty and a half",
}
FEET = {
    F(101, 2): "four foot two and a half",
    F(120): "ten foot",
    F(97, 2): "four foot and a half inch",
    F(23, 2): "eleven and a half",
}
ANGLES = {
    30.0: "thirty degrees",
    22.5: "twenty-two and a half degrees",
    1.0: "one degree",
    0.5: "half a degree",
    2.25: "two and a quarter degrees",
    0.75: "three quarters of a degree",
}
ANGLES |= {0.0: "zero degrees", 11.3: "eleven point three degrees", -2.0: "minus two degrees"}
SIZES = {"1/2": "half inch", "3/4": "three-quarter inch", "1": "one inch", "1 1/4": "inch and a quarter"}
SIZES |= {
    "1 1/2": "inch and a half",
    "2": "two inch",
    "2 1/2": "two inch and a half",
    "20 mm": "twenty millimeter",
}


@pytest.mark.parametrize(("inches", "words"), INCHES.items())
def test_inches(inches: F, words: str) -> None:
    assert spoken_length(inches) == words


@pytest.mark.parametrize(("inches", "words"), FEET.items())
def test_feet(inches: F, words: str) -> None:
    assert spoken_length(inches, feet=True) == words


def test_metric() -> None:
    assert spoken_length(F(25), Units.METRIC) == "six hundred thirty-five millimeters"
    assert spoken_length(F(5, 127), Units.METRIC) == "one millimeter"


@pytest.mark.parametrize(("degrees", "words"), ANGLES.items())
def test_angles(degrees: float, words: str) -> None:
    assert spoken_angle(degrees) == words


@pytest.mark.parametrize(("size", "words"), SIZES.items())
def test_sizes(size: str, words: str) -> None:
    assert spoken_size(size) == words


def test_a_note_is_spoken_by_the_meaning_of_its_values() -> None:
    template = "Mark {name} at {at}, bend {angle}, {size} {kind}."
    values: dict[str, Value] = {"name": 2, "at": F(219, 8), "angle": 22.5, "size": "3/4", "kind": "E M T"}
    assert spoken(Note("x", template, values)) == (
        "Mark two at twenty-seven and three eighths, bend twenty-two and a half degrees, "
        "three-quarter inch E M T."
    )


WRITTEN = {
    'Mark at 27 3/8".': "Mark at twenty-seven and three eighths inches.",
    "Bend to 30°.": "Bend to thirty degrees.",
    "A 22½° bend": "A twenty two and one half degrees bend",
    "The 2nd of 12": "The second of twelve",
    "about 95%": "about ninety five percent",
    "no number at all": "no number at all",
    "take 2.5 turns, then 3": "take two point five turns, then three",
}


@pytest.mark.parametrize(("text", "words"), WRITTEN.items())
def test_digits_in_running_text_become_words(text: str, words: str) -> None:
    assert without_digits(text).replace("-", " ") == words.replace("-", " ")


@given(st.text(alphabet="abc 0123456789/.%°\"'½¾-", max_size=30))
@settings(max_examples=examples(200))
def test_nothing_that_is_spoken_holds_a_digit(text: str) -> None:
    assert not any(letter.isdigit() for letter in without_digits(text))
    assert not any(letter.isdigit() for letter in spoken_value(text))
