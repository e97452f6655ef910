"""The command line options for conduit, bender and tape."""

from __future__ import annotations

import argparse
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from bench.core.bender import Bender, Setup
from bench.core.lengths import Units, tape_scale
from bench.core.notes import BenchError
from bench.data import tables
from bench.data.folders import data_folder
from bench.language.read import read_angle, read_length
from bench.memory.benders import BenderFile


def add_tool_options(parser: argparse.ArgumentParser) -> None:
    """Options for conduit, bender and tape."""
    tools = parser.add_argument_group("conduit, bender, tape")
    tools.add_argument("--conduit", default="emt", metavar="emt|rmc|imc|aluminum|coated|metric")
    tools.add_argument("--size", default="1/2", metavar="3/4", help="trade size or metric designator")
    tools.add_argument("--bender", metavar="NAME", help="one of your own benders (see: bench bender list)")
    tools.add_argument("--take-up", metavar="5", help="arrow to the back of a 90")
    tools.add_argument("--gain", metavar="2 7/16", help="both legs of a 90 minus the conduit used")
    tools.add_argument(
        "--springback", metavar="2", help="degrees a 90 springs back; other angles in proportion"
    )
    tools.add_argument("--to", metavar="1/16", help="the finest division of your tape")
    tools.add_argument("--stick", metavar="120", help="length of the conduit")
    tools.add_argument("--metric", action="store_true", help="use millimeters for input and output")
    tools.add_argument("--data", type=Path, help=argparse.SUPPRESS)


def units_of(args: argparse.Namespace) -> Units:
    """The person's units of length."""
    return Units.METRIC if args.metric else Units.INCH


def setup_of(args: argparse.Namespace) -> Setup:
    """Conduit, bender and tape from the options. Raises BenchError when they make no sense."""
    units = units_of(args)
    scale = read_length(args.to, units) if args.to else tape_scale(units)
    if not 0 < scale <= 1:
        raise BenchError("The tape's scale must be greater than zero and at most an inch.", "Try --to 1/16")
    stick = read_length(args.stick, units) if args.stick else Fraction(120)
    if not 1 <= stick <= 480:
        raise BenchError("The stick must be between 1 inch and 40 feet long.", "Try --stick 120")
    return tables.setup(args.conduit, args.size, _bender(args), scale, stick)


def _bender(args: argparse.Namespace) -> Bender:
    units = units_of(args)
    typical = tables.typical_bender(args.conduit, args.size)
    if args.bender:
        pipe = tables.conduit(args.conduit, args.size)
        typical = BenderFile(args.data or data_folder()).bender(args.bender, pipe, typical)
    take_up = read_length(args.take_up, units) if args.take_up else typical.take_up
    gain = read_length(args.gain, units) if args.gain else typical.gain
    springback = read_angle(args.springback) if args.springback else typical.springback
    if (take_up, gain, springback) == (typical.take_up, typical.gain, typical.springback):
        return typical
    measured = bool(args.take_up and args.gain) or not typical.typical
    given = typical.measured("given", take_up, gain, springback)
    return given if measured else replace(given, typical=True)
