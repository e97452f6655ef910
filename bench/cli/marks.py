"""Calculate one bend: marks, order, finished measures.

  bench marks offset      --distance 40 --rise 6 [--angle 30]
  bench marks saddle3     --to-center 40 --height 3 [--angle 22.5 (of the sides)] [--width 4]
  bench marks saddle4     --to-edge 40 --height 3 --width 6 [--angle 30] [--gap 1/2]
  bench marks stub        --height 12 [--leg 30]
  bench marks back-to-back --distance 40 [--stub 12 --leg 12]
  bench marks kick        --distance 40 --rise 4 [--angle 30]   (off a 90: without --distance)
  bench marks rolling     --distance 40 --rise 6 --roll 4 [--angle 30]
  bench marks box-offset  --rise 1/2 [--to-box 2]
  bench marks parallel    --bend offset --distance 40 --rise 6 --spacing 2 --count 3 [--side-by-side]
  bench marks segmented   --radius 24 --angle 90 --shots 18 [--stub 48 --leg 44 | --start 20]

Lengths are inches (27 3/8, 27.375, 4' 2") unless they say mm, cm or m; distances run along the wall from the
end the tape hooks on. Saddles take --round for pipes and --row N for several side by side (--pitch for a
three-point saddle). --to-end, the distance to the far end of the finished conduit, gives the cut mark of
offsets and saddles.
"""

from __future__ import annotations

import argparse
import json
import shutil
from pathlib import Path

from bench.cli.marks_json import plan_json
from bench.cli.marks_text import plan_text
from bench.cli.tools import add_tool_options, setup_of, units_of
from bench.core.bender import Setup
from bench.core.bends import BENDS, work_out, work_out_rack
from bench.core.given import Number
from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.core.plan import Measure, Method, Plan, Quantity
from bench.data.limits import code_limits
from bench.language.read import read_angle, read_count, read_length


def configure(parser: argparse.ArgumentParser) -> None:
    """Options of `bench marks`: every measure of every bend."""
    parser.add_argument("kind", metavar="KIND", help=", ".join(BENDS))
    measures = parser.add_argument_group("measures")
    for key, measure in _measures().items():
        names = [_option(key), *(["--to-centre"] if key == "to_center" else [])]
        if measure.quantity is Quantity.COUNT and measure.most == 1:
            measures.add_argument(*names, dest=key, action="store_const", const="1", help=measure.label)
        else:
            measures.add_argument(*names, dest=key, metavar=measure.quantity.upper(), help=measure.label)
    measures.add_argument("--bend", metavar="KIND", help="what the parallel conduits are bent to (offset)")
    parser.add_argument(
        "--method",
        default="true",
        metavar="book|true",
        help="book: taught constants; true: exact for this bender",
    )
    add_tool_options(parser)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--svg", type=Path, metavar="FILE", help="draw it")
    parser.add_argument("--force", action="store_true", help="replace the drawing if it is there")


def run(args: argparse.Namespace) -> int:
    """Print the plan."""
    if args.method not in list(Method):
        raise BenchError(
            f"There is no method {args.method}.", "Use --method book or --method true.", "method_unknown"
        )
    setup, units = setup_of(args), units_of(args)
    plan = _plan(args, setup)
    if args.svg:
        _draw(plan, setup, args)
    if args.json:
        print(json.dumps(plan_json(plan, setup, units)))
    else:
        width = shutil.get_terminal_size().columns
        print(plan_text(plan, setup, units, width, code_limits().bends))
    return 0


def _plan(args: argparse.Namespace, setup: Setup) -> Plan:
    given, method = _given(args), Method(args.method)
    if args.kind == "parallel":
        return work_out_rack(args.bend or "offset", given, setup, method)
    if args.bend:
        raise BenchError("--bend is for parallel conduits only.", "Leave it out.", "measure_unknown")
    return work_out(args.kind, given, setup, method)


def _given(args: argparse.Namespace) -> dict[str, Number]:
    """The measures given on the command line, by key."""
    given = {measure: getattr(args, key) for key, measure in _measures().items()}
    return {m.key: _read(value, m, units_of(args)) for m, value in given.items() if value is not None}


def _read(written: str, measure: Measure, units: Units) -> Number:
    if measure.quantity is Quantity.LENGTH:
        return read_length(written, units)
    return read_angle(written) if measure.quantity is Quantity.ANGLE else read_count(written)


def _measures() -> dict[str, Measure]:
    """Every measure of every bend by its key."""
    return {measure.key: measure for bend in BENDS.values() for measure in (*bend.measures, *bend.extras)}


def _option(key: str) -> str:
    return "--" + key.replace("_", "-")


def _draw(plan: Plan, setup: Setup, args: argparse.Namespace) -> None:
    from bench.sheet.output import write_file
    from bench.sheet.plan_drawing import plan_svg

    write_file(args.svg, plan_svg(plan, setup, units_of(args)).encode(), args.force)
