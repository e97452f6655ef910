"""Words as the grammar knows them: typed digits and marks become words, spellings become one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from bench.language.numbers import ONES, cardinal, ordinal

_FRACTIONS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_MARKS = {
    "’": "'",
    "′": "'",
    "”": '"',
    "″": '"',
    "''": '"',
    "“": '"',
    "º": "°",
    "–": "-",
    "—": "-",
}
_PARTS = {"2": "half", "4": "quarter", "8": "eighth", "16": "sixteenth"}
_UNITS = {
    '"': "inches",
    "°": "degrees",
    "in": "inches",
    "ft": "foot",
    "mm": "millimeters",
    "cm": "centimeters",
    "m": "meters",
    "deg": "degrees",
}
_DIGITS = (
    r"(?P<mixed>(\d+)[ -]+(\d+)/(\d+))"
    r"|(?P<fraction>(\d+)/(\d+))"
    r"|(?P<decimal>(\d*)\.(\d+))"
    r"|(?P<whole>\d+)(?P<place>st|nd|rd|th)?"
)
_SPELLED = ("emt", "imc", "rmc", "pvc")
_TOKEN = re.compile(
    r"(?P<minus>(?:^ *|(?<=[a-z] ))- *(?=[\d.]))|" + _DIGITS + r"|(?P<feet>(?<=\d) ?'(?![a-z]))"
    r"|(?P<unit>[\"°]|(?<=\d)(?:in|ft|mm|cm|m|deg)\b|(?<=\d )(?:in|ft|mm|cm|m|deg)\b)"
    r"|(?P<word>[a-z]+(?:'[a-z]+)*)"
    r"|(?P<other>[^\s,.;:!?'\"-]+)"
)
_NUMBER = re.compile(
    rf" *(?:{_DIGITS})|(?P<feet>(?<=\d)')|(?P<unit>(?<=\d) ?(?:[\"°]|mm\b))|(?P<percent>(?<=\d) ?%)",
)


def tidy(words: Iterable[str], spellings: Mapping[str, str]) -> tuple[str, ...]:
    """Lower-case words as the grammar knows them: no hyphens, digits, marks; one spelling for each word.

    Signs that mean something else, and a recognizer's mark for a word it does not know, are kept as they are,
    so that nothing with them parses.
    """
    text = _plain_marks(" ".join(words).lower())
    spoken = [word for match in _TOKEN.finditer(text) for word in _words(match)]
    return tuple(part for word in _joined(spoken) for part in spellings.get(word, word).split())


def _joined(words: list[str]) -> list[str]:
    """Letters said one by one ("e m t") as the word they spell, where they spell one."""
    text = f" {' '.join(words)} "
    for word in _SPELLED:
        text = text.replace(f" {' '.join(word)} ", f" {word} ")
    return text.split()


def without_digits(text: str) -> str:
    """Running text with its digits, fractions and marks turned into words; everything else is left alone."""
    for mark, plain in _FRACTIONS.items():
        text = text.replace(mark, f" {plain}")
    return _NUMBER.sub(_spelled, text).strip()


def _plain_marks(text: str) -> str:
    for mark, plain in _MARKS.items():
        text = text.replace(mark, plain)
    for mark, plain in _FRACTIONS.items():
        text = text.replace(mark, f" {plain}")
    text = re.sub(r"\b([a-z]+in)'(?![a-z])", r"\1g", text)  # "runnin'" is said as "running" is
    text = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def _spelled(match: re.Match[str]) -> str:
    glued = match.start() > 0 and (match[0][0] == " " or match.string[match.start() - 1].isalnum())
    return (" " if glued else "") + " ".join(_words_of_number(match))


def _words(match: re.Match[str]) -> list[str]:
    if match["minus"]:
        return ["minus"]
    if match["word"] or match["other"]:
        return [match[0]]
    return _words_of_number(match)


def _words_of_number(match: re.Match[str]) -> list[str]:
    kind = match.lastgroup
    groups = re.findall(r"\d+", match[0])
    if kind == "mixed":
        return [*_cardinal(groups[0]), "and", *_fraction(*groups[1:])]
    if kind == "fraction":
        return _fraction(*groups)
    if kind == "decimal":
        before, after = match[0].strip().split(".")
        return [*_cardinal(before or "0"), "point", *(_digit(digit) for digit in after)]
    if kind == "place":
        return ordinal(int(groups[0])).split("-")
    if kind == "whole":
        return _cardinal(groups[0])
    if kind == "feet":
        return ["foot"]
    if kind == "percent":
        return ["percent"]
    return [_UNITS[match[0].strip()]]


def _cardinal(digits: str) -> list[str]:
    if len(digits) > 6:
        return [_digit(digit) for digit in digits]
    return cardinal(int(digits)).replace("-", " ").split()


def _digit(digit: str) -> str:
    return ("zero", *ONES)[int(digit)]


def _fraction(top: str, bottom: str) -> list[str]:
    if bottom not in _PARTS:
        return [*_cardinal(top), "over", *_cardinal(bottom)]
    name = _PARTS[bottom]
    return [*_cardinal(top), name if top == "1" else "halves" if bottom == "2" else f"{name}s"]
