"""Your benders: list them, add one, calibrate one from a test 90.

  bench bender list
  bench bender add NAME --conduit emt --size 3/4 --take-up 6 --gain "2 7/8" [--springback 2]
  bench bender calibrate NAME --conduit emt --size 3/4 --mark 12 --stub 18 --leg 24 \\
               --before "39 1/8" [--sprung 88]
  bench bender forget NAME
  bench bender learned                          what was learned from your checks: numbers, uncertainty, bends, dates
  bench bender back --conduit emt --size 3/4    use the numbers from before anything was learned

To calibrate: measure a length of scrap, mark it a foot from the end, put the arrow on the mark with the hook
toward that end, and bend one 90. Then measure the stub and the other leg, each from its end to the back of
the 90. If you know what a bend pulled to exactly 90 opens to, give it as --sprung.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from bench.cli.marks_json import number
from bench.core.bender import Bender, calibrated, calibration_doubts
from bench.core.conduit import Conduit
from bench.core.learned import Estimate
from bench.core.lengths import Units, angle_text, round_to, text
from bench.core.notes import BenchError, Note
from bench.data import tables
from bench.data.folders import data_folder
from bench.job.learning import estimate_of, is_learned
from bench.job.model import Profile
from bench.language.read import read_angle, read_length
from bench.language.write import written
from bench.memory.benders import BenderFile
from bench.memory.learned import Kept, LearnedFile

TEST_MARK = Fraction(12)
"""Default position of the arrow of the test bend: a foot from the end suits all benders."""


def configure(parser: argparse.ArgumentParser) -> None:
    """Options of `bench bender`."""
    parser.add_argument(
        "what", nargs="?", choices=("list", "add", "calibrate", "forget", "learned", "back"), default="list"
    )
    parser.add_argument("name", nargs="?", help="what you call it")
    parser.add_argument("--conduit", default="emt", metavar="emt|rmc|imc|aluminum|coated|metric")
    parser.add_argument("--size", default="1/2", metavar="3/4")
    for option, meaning in (
        ("take-up", "arrow to the back of a 90"),
        ("gain", "both legs of a 90 minus the conduit used"),
        ("springback", "degrees a 90 springs back"),
        ("mark", "where the arrow was, from the end (12)"),
        ("stub", "from the end to the back of the test 90"),
        ("leg", "the other leg, from its end to the back"),
        ("before", "length of the conduit before the bend"),
        ("sprung", "angle kept of a bend pulled to 90"),
    ):
        parser.add_argument(f"--{option}", help=meaning)
    parser.add_argument("--metric", action="store_true", help="use millimeters for input and output")
    parser.add_argument("--data", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--json", action="store_true")


def run(args: argparse.Namespace) -> int:
    """List, add, calibrate or forget."""
    folder = args.data or data_folder()
    file = BenderFile(folder)
    if args.what == "list":
        return _list(file, args)
    if args.what == "learned":
        return _learned(folder, file, args)
    if args.what == "back":
        return _back(file, args)
    if not args.name:
        raise BenchError("Give the bender a name.", f"For instance: bench bender {args.what} mine ...")
    if args.what == "forget":
        return _forget(file, args.name)
    pipe = tables.conduit(args.conduit, args.size)
    bender = _added(args, pipe) if args.what == "add" else _calibrated(args, pipe)
    doubts = calibration_doubts(bender, tables.typical_bender(pipe.kind, pipe.size))
    file.keep(Profile(args.name, pipe.kind, pipe.size, bender.take_up, bender.gain, bender.springback))
    _show(args.name, pipe, bender, doubts, args)
    return 1 if doubts else 0


def _units(args: argparse.Namespace) -> Units:
    return Units.METRIC if args.metric else Units.INCH


def _list(file: BenderFile, args: argparse.Namespace) -> int:
    own = [(k.name, k.conduit, k.size, k.take_up, k.gain, k.springback, k.hand, False) for k in file.all()]
    typical = [
        ("typical", kind, size, b.take_up, b.gain, b.springback, b.hand, True)
        for (kind, size), b in tables.benders().items()
    ]
    for name, kind, size, take_up, gain, springback, hand, is_typical in (*own, *typical):
        if args.json:
            row = {
                "name": name,
                "conduit": kind,
                "size": size,
                "take_up": float(take_up),
                "gain": float(gain),
            }
            print(json.dumps(row | {"springback": springback, "hand": hand, "typical": is_typical}))
            continue
        units = _units(args)
        print(
            f"{name:<16} {size:>5} {kind}   take-up {text(take_up, units):>8}   gain {text(gain, units):>8}"
            f"   springback {angle_text(springback)}{f'   hand {angle_text(hand)}' if hand else ''}"
        )
    return 0


def _forget(file: BenderFile, name: str) -> int:
    if not file.forget(name):
        raise BenchError(f"There is no bender called {name}.", "See: bench bender list", "bender_unknown")
    print(f"Forgot {name}.")
    return 0


def _learned(folder: Path, file: BenderFile, args: argparse.Namespace) -> int:
    """Print what was learned about each bender, and which numbers the person accepted."""
    own = file.all()
    for kept in LearnedFile(folder).all():
        known = kept.learning
        typical = tables.typical_bender(known.conduit, known.size)
        found = estimate_of(known, typical, own)
        if args.json:
            print(json.dumps(_learned_row(kept, found)))
        else:
            print("\n".join(_learned_lines(kept, found, _units(args))))
    return 0


def _learned_row(kept: Kept, found: Estimate) -> dict[str, Any]:
    known, names = kept.learning, ("take_up", "radius", "springback", "hand")
    return {
        "bender": known.bender,
        "conduit": known.conduit,
        "size": known.size,
        "bends": found.bends,
        "numbers": {name: round(getattr(found.numbers, name), 4) for name in names},
        "spread": {name: round(getattr(found.spread, name), 4) for name in names},
        "read": sorted(kept.read_at),
        "taken": [
            {"at": at, "name": one.name, "take_up": number(one.take_up), "gain": number(one.gain)}
            | {"springback": one.springback, "hand": one.hand}
            for one, at in zip(known.taken, kept.taken_at, strict=True)
        ],
    }


def _learned_lines(kept: Kept, found: Estimate, units: Units) -> Iterator[str]:
    known, numbers, spread = kept.learning, found.numbers, found.spread
    since = f", {min(kept.read_at)[:10]} to {max(kept.read_at)[:10]}" if kept.read_at else ""
    yield f"{known.bender}, {known.size} {known.conduit}: {found.bends} bends checked{since}"
    for label, value, wide in (
        ("take-up", numbers.take_up, spread.take_up),
        ("radius", numbers.radius, spread.radius),
    ):
        yield f"  {label:<12} {text(round_to(value), units):>8}  give or take {text(round_to(wide), units)}"
    for label, degrees, wide in (
        ("springback", numbers.springback, spread.springback),
        ("your hand", numbers.hand, spread.hand),
    ):
        yield f"  {label:<12} {angle_text(round(degrees, 1)):>8}  give or take {angle_text(round(wide, 1))}"
    for one, at in zip(known.taken, kept.taken_at, strict=True):
        yield (
            f"  accepted {at[:10]}: take-up {text(one.take_up, units)}, springback {angle_text(one.springback)},"
            f" hand {angle_text(one.hand)}"
        )


def _back(file: BenderFile, args: argparse.Namespace) -> int:
    """Stop using the learned numbers of a conduit. What was learned is kept."""
    pipe = tables.conduit(args.conduit, args.size)
    learned = [
        one for one in file.all() if (one.conduit, one.size) == (pipe.kind, pipe.size) and is_learned(one)
    ]
    if not learned:
        raise BenchError(
            f"No learned numbers are in use for {pipe.size} {pipe.kind}.",
            "See: bench bender learned",
            "not_learned",
        )
    for one in learned:
        file.remove(one)
        print(f"{one.name}, {pipe.size} {pipe.kind}: the previous numbers are used again.")
    return 0


def _added(args: argparse.Namespace, pipe: Conduit) -> Bender:
    _need(args, "take_up", "gain")
    units = _units(args)
    springback = read_angle(args.springback) if args.springback else 0.0
    take_up, gain = read_length(args.take_up, units), read_length(args.gain, units)
    return Bender(args.name, take_up, gain, pipe.od, springback)


def _calibrated(args: argparse.Namespace, pipe: Conduit) -> Bender:
    _need(args, "stub", "leg", "before")
    units = _units(args)
    sprung = read_angle(args.sprung) if args.sprung else None
    if sprung is not None and not 70 <= sprung <= 90:
        raise BenchError("A bend pulled to 90 keeps between 70 and 90 degrees.", "For instance: --sprung 88")
    return calibrated(
        pipe,
        mark=read_length(args.mark, units) if args.mark else TEST_MARK,
        stub=read_length(args.stub, units),
        leg=read_length(args.leg, units),
        before=read_length(args.before, units),
        sprung=sprung,
        name=args.name,
    )


def _need(args: argparse.Namespace, *keys: str) -> None:
    missing = ["--" + key.replace("_", "-") for key in keys if getattr(args, key) is None]
    if missing:
        raise BenchError(f"Missing: {', '.join(missing)}.", "See: bench bender --help", "measure_missing")


def _show(
    name: str, pipe: Conduit, bender: Bender, doubts: tuple[Note, ...], args: argparse.Namespace
) -> None:
    units = _units(args)
    if args.json:
        values = {"name": name, "conduit": pipe.kind, "size": pipe.size}
        measures: dict[str, Fraction | float] = {
            "take_up": bender.take_up,
            "gain": bender.gain,
            "radius": bender.radius,
        }
        measures |= {"arc_start": bender.arc_start, "star": bender.star, "notch": bender.notch}
        numbers = {key: number(value) for key, value in measures.items()}
        doubtful = {"springback": bender.springback, "doubts": [written(note, units) for note in doubts]}
        print(json.dumps({**values, **numbers, **doubtful}))
        return
    print(f"{name}, {pipe.size} {pipe.kind}")
    for label, length in (
        ("take-up", bender.take_up),
        ("gain", bender.gain),
        ("radius", bender.radius),
        ("arrow to star", bender.star),
        ("arrow to notch", bender.notch),
    ):
        print(f"  {label:<16} {text(round_to(length), units)}")
    print(f"  {'springback':<16} {angle_text(bender.springback)}")
    for note in doubts:
        print(f"  Measure again: {written(note, units)}")
