"""Whole and decimal numbers in words, both ways: as grammar trees and as spoken cardinals and ordinals."""

from __future__ import annotations

from fractions import Fraction

from bench.language.nodes import Act, Alt, Node, Opt, Word, alt, named, opt, seq

ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TEENS = (
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
)
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_ORDINALS = {
    "one": "first",
    "two": "second",
    "three": "third",
    "five": "fifth",
    "eight": "eighth",
    "nine": "ninth",
    "twelve": "twelfth",
}


def cardinal(number: int) -> str:
    """`number` (0 to 999 999) as spoken, tens and ones joined by a hyphen: "one hundred twenty-three"."""
    if number < 0:
        return f"minus {cardinal(-number)}"
    if number >= 1000:
        thousands, rest = divmod(number, 1000)
        return f"{cardinal(thousands)} thousand" + (f" {cardinal(rest)}" if rest else "")
    if number >= 100:
        hundreds, rest = divmod(number, 100)
        return f"{ONES[hundreds - 1]} hundred" + (f" {cardinal(rest)}" if rest else "")
    if number >= 20:
        tens, rest = divmod(number, 10)
        return TENS[tens - 2] + (f"-{ONES[rest - 1]}" if rest else "")
    return ("zero", *ONES, *TEENS)[number]


def ordinal(number: int) -> str:
    """`number` (1 to 999 999) as a place in a row: "third", "twenty-first"."""
    words = cardinal(number)
    cut = max(words.rfind(" "), words.rfind("-")) + 1
    last = words[cut:]
    if last in _ORDINALS:
        return words[:cut] + _ORDINALS[last]
    return words[:cut] + (f"{last[:-1]}ieth" if last.endswith("y") else f"{last}th")


def _total(*values: int) -> int:
    return sum(values)


def _digits(*values: int) -> int:
    return int("".join(map(str, values)))


def _hundreds(count: int, rest: int = 0) -> int:
    return count * 100 + rest


def _thousands(count: int, rest: int = 0) -> int:
    return count * 1000 + rest


ONE_TO_NINE = named({word: value for value, word in enumerate(ONES, 1)})
TEEN = named({word: value for value, word in enumerate(TEENS, 10)})
TENS_ONES = Act(
    seq(named({word: value for value, word in enumerate(TENS, 2)}), Opt(ONE_TO_NINE)),
    lambda tens, ones=0: tens * 10 + ones,
    "tens",
)
BELOW_HUNDRED = Alt((ONE_TO_NINE, TEEN, TENS_ONES))
DIGIT = Alt((ONE_TO_NINE, Word("zero", (0,)), Word("oh", (0,))))
ZERO = Alt((Word("zero", (0,)), Word("nothing", (0,))))
_NTH = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
ORDINAL = named({word: place for place, word in enumerate(_NTH, 1)})
TWO_DIGITS = Act(seq(ONE_TO_NINE, DIGIT), _digits, "digits")
THREE_DIGITS = Act(
    seq(ONE_TO_NINE, alt(seq(DIGIT, DIGIT), TEEN, TENS_ONES)),
    _digits,
    "digits",
)
_HUNDREDS = Act(
    seq(alt(Word("a", (1,)), ONE_TO_NINE), "hundred", opt(opt("and"), BELOW_HUNDRED)), _hundreds, "hundreds"
)
_TEEN_HUNDREDS = Act(
    seq(TEEN, "hundred", opt(opt("and"), BELOW_HUNDRED)),
    _hundreds,
    "hundreds",
)
_THOUSANDS = Act(
    seq(
        alt(Word("a", (1,)), ONE_TO_NINE),
        "thousand",
        alt(opt(opt("and"), BELOW_HUNDRED), _HUNDREDS),
    ),
    _thousands,
    "thousands",
)


def whole(top: int) -> Node:
    """Whole numbers from one, in words or digit by digit ("two seven"), to at least `top`.

    It reaches further than `top` where that costs little (to 99, 999 or 9999), so that a number out of range
    is still heard for what it is.
    """
    options: list[Node] = [BELOW_HUNDRED]
    if top >= 10:
        options += [TWO_DIGITS]
    if top >= 100:
        options += [_HUNDREDS, THREE_DIGITS]
    if top >= 1000:
        options += [_TEEN_HUNDREDS, _THOUSANDS]
    return Alt(tuple(options))


def _decimal(*values: int | str) -> Fraction:
    """Whole part (none is zero), then the digits after the point as one string."""
    *before, after = values
    return Fraction(f"{before[0] if before else 0}.{after}")


_PLACES = Act(
    seq(DIGIT, opt(DIGIT, opt(DIGIT, opt(DIGIT, opt(DIGIT))))),
    lambda *digits: "".join(map(str, digits)),
    "places",
)
_PLACES_AS_NUMBER = Act(alt(TEEN, TENS_ONES), str, "places")


def decimal(top: int) -> Node:
    """A decimal said aloud: "twenty-two point five", "point two five", "six point twenty-five"."""
    before = opt(alt(whole(top), Word("zero", (0,))))
    return Act(seq(before, "point", alt(_PLACES, _PLACES_AS_NUMBER)), _decimal, "decimal")
