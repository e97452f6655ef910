"""Print the words that the voice uses for a length."""

from __future__ import annotations

import argparse

from bench.core.lengths import Units
from bench.language.read import read_length
from bench.language.speak import spoken_length


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("length", nargs="+", help="a length: 27 3/8, 27.375, 4' 2 3/8\", 635 mm")
    parser.add_argument("--feet", action="store_true", help="feet and inches from one foot up")
    parser.add_argument("--metric", action="store_true", help="in millimeters")


def run(args: argparse.Namespace) -> int:
    units = Units.METRIC if args.metric else Units.INCH
    print(spoken_length(read_length(" ".join(args.length), units), units, args.feet))
    return 0
