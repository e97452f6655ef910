"""The words the voice would use for a length."""

from __future__ import annotations

import argparse
from fractions import Fraction

from bench.core.lengths import Units
from bench.core.notes import BenchError, Note
from bench.language.meaning import Expectation, Kind, typed
from bench.language.speak import spoken_length
from bench.language.understand import understand
from bench.phrases import lexicon


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("length", nargs="+", help="a length: 27 3/8, 27.375, 4' 2 3/8\", 635 mm")
    parser.add_argument("--feet", action="store_true", help="feet and inches from a foot up")
    parser.add_argument("--metric", action="store_true", help="in millimetres")


def run(args: argparse.Namespace) -> int:
    units = Units.METRIC if args.metric else Units.INCH
    print(spoken_length(read_length(" ".join(args.length), units), units, args.feet))
    return 0


def read_length(typed_text: str, units: Units = Units.INCH) -> Fraction:
    """A typed length in exact inches. Raises BenchError when it is not one."""
    meaning = understand(typed(typed_text), Expectation(Kind.LENGTH, units=units), lexicon()).meaning
    if meaning is None or not isinstance(meaning.value, Fraction):
        raise BenchError(
            Note("not_a_length", f"{typed_text!r} is not a length."),
            "Write it like 27 3/8, 27.375, 4' 2 3/8\" or 635 mm.",
        )
    return meaning.value
