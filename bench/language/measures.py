"""Spoken lengths, angles and counts as grammar trees. Lengths come out as exact inches, angles as degrees."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from bench.core.lengths import FOOT, MILLIMETER, THIRTY_SECOND, Units
from bench.language.nodes import Act, Alt, Node, Tail, Word, alt, named, opt, seq, tail
from bench.language.numbers import (
    _HUNDREDS,
    _TEEN_HUNDREDS,
    _THOUSANDS,
    BELOW_HUNDRED,
    ONE_TO_NINE,
    ONES,
    TEENS,
    TENS_ONES,
    ZERO,
    decimal,
    whole,
)

HALF = Fraction(1, 2)
_SPOKEN = (*ONES, *TEENS)


def _parts(singular: str, plural: str, size: int) -> list[Node]:
    """ "an eighth", "one eighth", "two eighths" ... as far as they stay below one."""
    one = seq(alt("one", "a", "an"), Word(singular, (Fraction(1, size),)))
    many = seq(
        named({_SPOKEN[count - 1]: count for count in range(2, size)}),
        plural,
    )
    return [one, Act(many, lambda count: Fraction(count, size), plural)]


FRACTION = Alt(
    (
        seq(alt("a", "one"), Word("half", (HALF,))),
        seq(alt("a", "one"), Word("quarter", (Fraction(1, 4),))),
        seq("one", Word("fourth", (Fraction(1, 4),))),
        Act(
            seq(named({"two": 2, "three": 3}), alt("quarters", "quarter", "fourths")),
            lambda count: Fraction(count, 4),
            "quarters",
        ),
        *_parts("eighth", "eighths", 8),
        *_parts("sixteenth", "sixteenths", 16),
    )
)
BARE_FRACTION = alt(FRACTION, Word("half", (HALF,)), Word("quarter", (Fraction(1, 4),)))
"""A fraction at the beginning, where "half inch" and "quarter inch" are said without "a"."""

SWALLOWED = named({"half": HALF, "quarter": Fraction(1, 4)})
"""A fraction whose "and a" is not heard: "thirty-one quarter" is thirty-one and a quarter, and could be thirty and one
quarter."""

INCH_WORD = alt("inches", "inch")
OF_INCH = alt("inch", "an inch", "of an inch", "inches")
HAIR = alt(
    seq(
        "a hair",
        named(
            {"over": THIRTY_SECOND, "more": THIRTY_SECOND, "under": -THIRTY_SECOND, "less": -THIRTY_SECOND}
        ),
    ),
    seq("just", named({"over": THIRTY_SECOND, "under": -THIRTY_SECOND})),
    named({"strong": THIRTY_SECOND, "heavy": THIRTY_SECOND, "shy": -THIRTY_SECOND, "light": -THIRTY_SECOND}),
)
"""A hair is half the finest division of the tape, a thirty-second (common practice, no source)."""
EVEN = alt("even", "exactly", "flat", "on the dot", "on the nose", "or so")
"""What says no more than the number."""


def _sum(*values: Fraction | int) -> Fraction:
    return Fraction(sum(values))


def _feet(feet: Fraction | int, *inches: Fraction) -> Fraction:
    return feet * FOOT + _sum(*inches)


def _unit(word: Node, must: bool) -> Node:
    return Tail(word) if must else tail(word)


def inches(top: int, must_say_unit: bool = False) -> Node:
    """Inches to at least `top`: "twenty-seven and three eighths", "half an inch", "inch and a quarter"."""
    number = whole(top)
    and_fraction = seq(opt("and"), FRACTION)
    unit = _unit(INCH_WORD, must_say_unit)
    options = [
        seq(TENS_ONES, SWALLOWED, unit),
        seq(number, opt(and_fraction), unit),
        seq(number, INCH_WORD, tail(and_fraction)),
        seq(BARE_FRACTION, _unit(OF_INCH, must_say_unit)),
        seq(opt(alt("an", "a")), Word("inch", (1,)), opt("and", FRACTION)),
        seq(decimal(top), unit),
        seq(ZERO, unit),
    ]
    return Act(Alt(tuple(options)), _sum, "inches")


def feet_and_inches(top: int) -> Node:
    """Feet to at least `top` inches, with inches: "four foot two and a half", "four and a half feet"."""
    number: Node = BELOW_HUNDRED if top >= 100 else alt(ONE_TO_NINE, named({"ten": 10}))
    foot = alt("foot", "feet")
    small = alt(ONE_TO_NINE, named({"ten": 10, "eleven": 11}))
    unit = tail(INCH_WORD)
    rest = Alt(
        (
            seq(small, opt(opt("and"), FRACTION), unit),
            seq(small, INCH_WORD, tail(opt("and"), FRACTION)),
            seq(FRACTION, tail(OF_INCH)),
            seq(small, decimal_after(), unit),
            seq(ZERO, unit),
        )
    )
    count = alt(number, Word("a", (1,)))
    options = [
        Act(seq(count, foot, "and a", Word("half", (HALF,))), lambda feet, half: _feet(feet + half)),
        Act(seq(count, foot, opt(opt("and"), Act(rest, _sum, "inches_below_a_foot"))), _feet),
        Act(seq("foot and a", Word("half", (HALF,))), lambda half: _feet(1 + half)),
        Act(seq(Act(seq(number, opt("and"), FRACTION), _sum), Tail(foot)), _feet),
        Act(seq(decimal(top // 12), foot), _feet),
    ]
    return Alt(tuple(options))


def decimal_after() -> Node:
    """The part of a decimal from the point on."""
    places = seq("point", alt(ZERO, ONE_TO_NINE), opt(alt(ZERO, ONE_TO_NINE)))
    return Act(places, lambda *digits: Fraction("0." + "".join(map(str, digits))), "places")


MM_WORD = alt("millimeters", "millimeter")
CM_WORD = alt("centimeters", "centimeter")
METRE_WORD = alt("meters", "meter")


def metric(top: int, must_say_unit: bool = False) -> Node:
    """Millimeters to at least `top`, centimeters and meters, whole or decimal. Values in inches, exact.

    Without a unit the number is millimeters.
    """
    millimeters = Act(
        seq(alt(whole(top), ZERO, decimal(top)), _unit(MM_WORD, must_say_unit)),
        lambda number: number * MILLIMETER,
        "millimeters",
    )
    centimeters = Act(
        seq(alt(whole(top // 10), decimal(top // 10)), CM_WORD),
        lambda number: number * 10 * MILLIMETER,
        "centimeters",
    )
    meters = Act(
        seq(alt(BELOW_HUNDRED, Word("a", (1,)), decimal(9)), METRE_WORD),
        lambda number: number * 1000 * MILLIMETER,
        "meters",
    )
    return Alt((millimeters, centimeters, meters))


def length(most: Fraction | None, units: Units) -> Node:
    """A length for an answer of at most `most` inches.

    Larger ones are heard too, so that they can be refused; the units not in use, when they are named.
    """
    top = 240 if most is None else int(most)
    inch_top, mm_top = (999 if top >= 60 else 99), (9999 if top >= 30 else 999)
    if units is Units.METRIC:
        return alt(metric(mm_top), inches(inch_top, must_say_unit=True), feet_and_inches(inch_top))
    number = alt(inches(inch_top), feet_and_inches(inch_top), metric(mm_top, must_say_unit=True))
    return Act(seq(opt(HAIR), number, tail(HAIR), tail(EVEN)), _sum, "length")


@lru_cache(maxsize=2)
def said_number(units: Units) -> Node:
    """A number among several in one breath: a length, or degrees or a count as its label says.

    Fewer ways to say it than alone, none of them digit by digit: nobody could tell where one ends.
    """
    if units is Units.METRIC:
        number = alt(BELOW_HUNDRED, _HUNDREDS, _TEEN_HUNDREDS, _THOUSANDS, decimal(99))
        millimeters = Act(seq(number, tail(MM_WORD)), lambda count: Fraction(count * MILLIMETER))
        centimeters = Act(
            seq(alt(BELOW_HUNDRED, decimal(99)), CM_WORD), lambda count: count * 10 * MILLIMETER
        )
        return alt(millimeters, centimeters)
    fraction = seq(opt("and"), FRACTION)
    whole_inches = seq(BELOW_HUNDRED, opt(fraction), tail(INCH_WORD))
    inch_and = seq(BELOW_HUNDRED, INCH_WORD, tail(fraction))
    hundred = seq(Word("a", ()), Word("hundred", (100,)), opt(opt("and"), BELOW_HUNDRED))
    less = seq(BARE_FRACTION, tail(alt("inch", "of an inch")))
    small = alt(ONE_TO_NINE, named({"ten": 10, "eleven": 11}))
    rest = Act(alt(seq(small, opt(fraction), tail(INCH_WORD)), FRACTION), _sum)
    feet = Act(seq(alt(ONE_TO_NINE, named({"ten": 10})), alt("foot", "feet"), opt(opt("and"), rest)), _feet)
    inches_ = Act(alt(whole_inches, inch_and, hundred, less, seq(decimal(99), tail(INCH_WORD)), ZERO), _sum)
    return Act(seq(alt(inches_, feet), tail(HAIR)), _sum)


@lru_cache(maxsize=2)
def freely_said_number(units: Units) -> Node:
    """As `said_number`, and what is said for a small one: "an inch and a half", "half an inch", "a foot and a half"."""
    if units is Units.METRIC:
        return said_number(units)
    article = opt(alt("an", "a"), opt(alt("full", "whole")))
    inch = Act(seq(article, Word("inch", (1,)), tail("and", FRACTION)), _sum)
    foot = Act(
        seq("a", opt(alt("full", "whole")), "foot", tail("and a", Word("half", (HALF,)))),
        lambda *half: _feet(1 + sum(half)),
    )
    less = Act(seq(BARE_FRACTION, "an inch"), _sum)
    hundred = Act(seq("a", Word("hundred", (100,)), opt(opt("and"), BELOW_HUNDRED), INCH_WORD), _sum)
    return Act(seq(alt(said_number(units), inch, foot, less, hundred), tail(EVEN)), _sum)


BENDS_OF = alt(
    named({"tens": 10, "fifteens": 15, "thirties": 30, "sixties": 60}),
    seq("twenty", Word("twos", (Fraction(45, 2),))),
    seq("forty", Word("fives", (45,))),
)
"""Degrees as the bends are called: "with thirties"; "twenty twos" are of twenty-two and a half (common practice, no
source)."""


def angle(most: Fraction | None) -> Node:
    """Degrees: "thirty", "twenty-two and a half degrees", "two and a quarter degrees", "twenty-two point five"."""
    top = 360 if most is not None and most >= 100 else 99
    half, quarter = Word("half", (HALF,)), Word("quarter", (Fraction(1, 4),))
    quarters = seq("three", Word("quarters", (Fraction(3, 4),)))
    part = opt(opt("and"), alt(seq(alt("a", "one"), alt(half, quarter)), quarters))
    number = alt(
        Act(seq(whole(top), part), _sum),
        Act(seq(opt("a"), half, opt("a")), _sum),
        Act(seq(alt(seq("a", quarter), quarters), opt("of a")), _sum),
        decimal(top),
        ZERO,
    )
    return Act(seq(number, tail(alt("degrees", "degree"))), float, "angle")


def count(most: Fraction | None) -> Node:
    """How many, or which one: "three", "number three"."""
    top = 99 if most is None else int(most)
    return Act(seq(opt("number"), alt(whole(top), ZERO)), int, "count")
