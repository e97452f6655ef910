"""Show the meaning that the assistant takes from words, and the alternatives."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from fractions import Fraction

from bench.core.lengths import THIRTY_SECOND, Units, angle_text, text
from bench.data.phrases import lexicon
from bench.language.meaning import Expectation, Kind, Meaning, Understanding, typed
from bench.language.understand import understand

_LONGEST = 30
"""Most characters of a limit."""
EXPECTED = ("length", "angle", "yesno", "command", "size", "count")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="+", help="the spoken words")
    expectation_options(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(args: argparse.Namespace) -> int:
    expectation = asked_for(args)
    understood = understand(typed(" ".join(args.words)), expectation, lexicon())
    report = as_json(understood, expectation.units)
    print(json.dumps(report) if args.json else _readable(understood, expectation.units))
    return 0


def expectation_options(parser: argparse.ArgumentParser, kinds: Sequence[str] = EXPECTED) -> None:
    """Add the options for the expected kind of answer."""
    parser.add_argument("--expect", choices=kinds, default="length", help="the kind of answer expected")
    parser.add_argument("--least", type=_limit, help="the least plausible number (inches, degrees, a count)")
    parser.add_argument("--most", type=_limit, help="the most plausible number")
    parser.add_argument("--metric", action="store_true", help="numbers without a unit are millimeters")


def _limit(written: str) -> Fraction:
    """A number from the command line. Raises ArgumentTypeError."""
    try:
        if len(written) > _LONGEST:
            raise ValueError("too long")
        return Fraction(written)
    except (ValueError, ZeroDivisionError):
        raise argparse.ArgumentTypeError(f"{written[:_LONGEST]!r} is not a number") from None


def asked_for(args: argparse.Namespace) -> Expectation:
    """The expectation given by those options."""
    units = Units.METRIC if args.metric else Units.INCH
    return open_expectation(Kind(args.expect), units, args.least, args.most)


def open_expectation(
    kind: Kind, units: Units = Units.INCH, least: Fraction | None = None, most: Fraction | None = None
) -> Expectation:
    """An expectation of `kind` outside any dialogue: every size, and every command for commands."""
    words = lexicon()
    commands = tuple(words.commands) if kind is Kind.COMMAND else ()
    choices = tuple(words.sizes) if kind is Kind.SIZE else ()
    return Expectation(kind, least, most, choices, commands, units)


def as_json(understood: Understanding, units: Units = Units.INCH) -> dict[str, object]:
    """An understanding as JSON: `meaning` (null when rejected), `alternatives`, `rejected`, `trouble` ..."""
    meaning = understood.meaning
    return {
        "meaning": None if meaning is None else meaning_as_json(meaning, units),
        "alternatives": [meaning_as_json(one, units) for one in understood.alternatives],
        "rejected": meaning is None,
        "trouble": None if understood.trouble is None else understood.trouble.value,
        "confidence": understood.confidence,
        "could_go_on": understood.could_go_on,
    }


def meaning_as_json(meaning: Meaning, units: Units = Units.INCH) -> dict[str, object]:
    """`{"length": {"inches", "text"}}`, `{"angle": {"degrees", "text"}}`, `{"yesno": true}` and so on."""
    body: dict[str, object] = {meaning.kind.value: _value(meaning, units)}
    if meaning.argument is not None:
        body["argument"] = meaning.argument
    if meaning.corrects:
        body["corrects"] = True
    return body


def _value(meaning: Meaning, units: Units) -> object:
    value = meaning.value
    if isinstance(value, Fraction):
        return {"inches": float(value), "text": text(value, units, THIRTY_SECOND)}
    if isinstance(value, float):
        return {"degrees": value, "text": angle_text(value)}
    return value


def _readable(understood: Understanding, units: Units) -> str:
    if understood.meaning is None:
        trouble = understood.trouble.value.replace("_", " ") if understood.trouble else "nothing"
        return f"not understood: {trouble}" + _others(understood, units)
    return _one(understood.meaning, units) + _others(understood, units)


def _others(understood: Understanding, units: Units) -> str:
    others = "; ".join(_one(one, units) for one in understood.alternatives)
    return f"\n  or: {others}" if others else ""


def _one(meaning: Meaning, units: Units) -> str:
    value = _value(meaning, units)
    shown = value["text"] if isinstance(value, dict) else value
    argument = "" if meaning.argument is None else f" {meaning.argument}"
    return f"{meaning.kind.value}: {shown}{argument}"
