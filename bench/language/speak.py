"""Values as words for the voice, the way the trade says them: no digit, mark or sign ever."""

from __future__ import annotations

import re
from fractions import Fraction

from bench.core.lengths import FOOT, MILLIMETER, SIXTEENTH, THIRTY_SECOND, Units, mixed, round_to
from bench.core.notes import Note, Value
from bench.language.numbers import cardinal
from bench.language.tidy import without_digits

_SIZE = re.compile(r"(\d+ )?\d+/(2|4|8|16)|\d+ mm")
_PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth"}


def spoken_length(value: Fraction | float, units: Units = Units.INCH, feet: bool = False) -> str:
    """A length in inches as said: "twenty-seven and three eighths", with `feet` "four foot two and a half".

    A thirty-second is "a hair over" the sixteenth below; anything finer is rounded to a sixteenth. Metric is
    whole millimeters.
    """
    exact = Fraction(value)
    if exact < 0:
        return f"minus {spoken_length(-exact, units, feet)}"
    if units is Units.METRIC:
        return _counted(int(round_to(exact, MILLIMETER) / MILLIMETER), "millimeter")
    fine = round_to(exact, THIRTY_SECOND)
    if fine == exact and fine % SIXTEENTH:
        return f"{_inches(fine - THIRTY_SECOND, feet)}, a hair over"
    return _inches(round_to(exact), feet)


def spoken_angle(degrees: float) -> str:
    """Degrees as said: "thirty degrees", "twenty-two and a half degrees", "two and a quarter degrees", "eleven point
    three degrees"."""
    sign = "minus " if round(degrees * 10) < 0 else ""
    quarters = round(abs(degrees) * 4)
    if quarters % 2 and abs(abs(degrees) * 4 - quarters) < 1e-9:
        whole, part = divmod(quarters, 4)
        words = _fraction(Fraction(part, 4))
        return sign + (f"{cardinal(whole)} and {words} degrees" if whole else f"{words} of a degree")
    whole, part = divmod(round(abs(degrees) * 10), 10)
    if not part:
        return sign + _counted(whole, "degree")
    if part == 5:
        return sign + (f"{cardinal(whole)} and a half degrees" if whole else "half a degree")
    return f"{sign}{cardinal(whole)} point {cardinal(part)} degrees"


def spoken_count(number: int) -> str:
    """A count as said: "three"."""
    return cardinal(number)


def spoken_size(size: str) -> str:
    """A trade size as said: "three-quarter inch", "inch and a quarter", "two inch", "twenty millimeter"."""
    if size.endswith(" mm"):
        return f"{cardinal(int(size.removesuffix(' mm')))} millimeter"
    whole, _, part = size.rpartition(" ")
    if "/" not in part:
        return f"{cardinal(int(part))} inch"
    top, bottom = map(int, part.split("/"))
    name = _PARTS[bottom]
    if not whole:
        return f"{name} inch" if top == 1 else f"{cardinal(top)}-{name} inch"
    lead = "inch" if whole == "1" else f"{cardinal(int(whole))} inch"
    return f"{lead} and {_fraction(Fraction(top, bottom))}"


def spoken_value(value: Value, units: Units = Units.INCH) -> str:
    """A note's value as said: a Fraction is a length, a float an angle, an int a count, a str a word."""
    if isinstance(value, Fraction):
        return spoken_length(value, units)
    if isinstance(value, float):
        return spoken_angle(value)
    if isinstance(value, int):
        return spoken_count(value)
    return spoken_word(value)


def spoken_word(word: str) -> str:
    """A word of the trade as said: trade sizes as sizes, any other digits as numbers."""
    if _SIZE.fullmatch(word):
        return spoken_size(word)
    return without_digits(word)


def spoken(note: Note, units: Units = Units.INCH) -> str:
    """A note as words for the voice."""
    values = {key: spoken_value(value, units) for key, value in note.values.items()}
    return without_digits(note.template.format(**values) if values else note.template)


def _counted(number: int, unit: str) -> str:
    return f"{cardinal(number)} {unit}" + ("" if number == 1 else "s")


def _inches(value: Fraction, feet: bool) -> str:
    if not value:
        return "zero"
    if feet and value >= FOOT:
        return _feet(value)
    whole, part = mixed(value)
    if not part:
        return f"{cardinal(whole)} inch" + ("" if whole == 1 else "es")
    if not whole:
        return f"{_fraction(part, alone=True)}"
    return f"{cardinal(whole)} and {_fraction(part)}"


def _feet(value: Fraction) -> str:
    count, rest = divmod(value, FOOT)
    lead = f"{cardinal(int(count))} foot"
    whole, part = mixed(rest)
    if not rest:
        return lead
    if not whole:
        return f"{lead} and {_fraction(part, alone=True)}"
    return f"{lead} {cardinal(whole)}" + (f" and {_fraction(part)}" if part else "")


def _fraction(part: Fraction, alone: bool = False) -> str:
    """ "a half", "a quarter", "one eighth", "three eighths"; `alone` says of what."""
    name = _PARTS[part.denominator]
    if part.numerator == 1:
        lead = "a" if part.denominator < 8 else "one"
        words = f"{lead} {name}"
    else:
        words = f"{cardinal(part.numerator)} {name}s"
    if not alone:
        return words
    return f"{words} inch" if part.denominator == 2 else f"{words} of an inch"
