"""Calculate bends and cuts from measurements on site.

  bench measure boxes-straight   --span 47
  bench measure boxes-offset     --span "47 1/2" --distance 30 --rise "8 1/4" [--angle 22.5]
  bench measure boxes-saddle3    --span 90 --to-center 40 --height 3
  bench measure boxes-saddle4    --span 90 --to-edge 40 --height 3 --width 8
  bench measure boxes-stub       --height 20 --leg 60
  bench measure boxes-kick       --height 20 --leg 60 --rise 3 [--angle 30]
  bench measure match            --low 2 --high 9 --run 12 [--rise 6]
  bench measure curve            --level 24 --gap "2 7/32"
  bench measure holes            --spacing "2 1/2" --angle 30
  bench measure compound         --up 11 --across 6
  bench measure concentric       --radius 20 --spacing "4 3/8" --count 3 [--angle 90] [--shots 15]
  bench measure cuts             --pieces "29 1/8 x 6, 40" [--kerf 1/16]

Boxes are measured face to face. --take-off is the distance from a box to the end of the conduit in its connector,
negative where threaded conduit enters the box; the default is the usual value, which is printed. The resulting bends
are printed with their marks, like `bench marks`. Cuts are made from sticks of --stick (120).
"""

from __future__ import annotations

import argparse
import json
import re
import shutil
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from bench.cli.marks_json import number, plan_json
from bench.cli.marks_text import plan_text
from bench.cli.tools import add_tool_options, setup_of, units_of
from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.given import Number
from bench.core.lengths import Units, text
from bench.core.notes import BenchError, Note
from bench.core.packing import Packing, pack
from bench.core.plan import Measure, Quantity
from bench.core.site import SITES, Answer, Lead, work_out_site
from bench.core.stick import OnStick, Stick, lay_out
from bench.data.limits import code_limits
from bench.data.tables import fittings
from bench.language.read import read_angle, read_count, read_length
from bench.language.write import written

CUTS = "cuts"
_MOST_PIECES = 500


def configure(parser: argparse.ArgumentParser) -> None:
    """Options of `bench measure`: all site measurements."""
    parser.add_argument("kind", metavar="KIND", help=", ".join((*SITES, CUTS)))
    measures = parser.add_argument_group("measures")
    for key, measure in _measures().items():
        names = ["--" + key.replace("_", "-"), *(["--to-centre"] if key == "to_center" else [])]
        measures.add_argument(*names, dest=key, metavar=measure.quantity.upper(), help=measure.label)
    measures.add_argument("--pieces", metavar="LENGTHS", help="the pieces to cut: 29 1/8 x 6, 40")
    measures.add_argument("--kerf", metavar="LENGTH", help="the length lost with each cut")
    add_tool_options(parser)
    parser.add_argument("--json", action="store_true")


def run(args: argparse.Namespace) -> int:
    """Print the results of the measurements."""
    setup, units = setup_of(args), units_of(args)
    if args.kind == CUTS:
        return _cuts(args, setup, units)
    given = {key: _read(getattr(args, key), measure, units) for key, measure in _given(args)}
    answer = work_out_site(args.kind, given, setup, fittings())
    if args.json:
        print(json.dumps(_as_json(answer, setup, units)))
        return 0
    for note in answer.notes:
        print(written(note, units))
    for line in _bends(answer, setup, units):
        print(line)
    return 0


def _measures() -> dict[str, Measure]:
    """All site measurements by key."""
    return {measure.key: measure for site in SITES.values() for measure in site.measures}


def _given(args: argparse.Namespace) -> Iterator[tuple[str, Measure]]:
    """The measurements given on the command line that the requested kind accepts."""
    site = SITES.get(args.kind)
    own = {measure.key: measure for measure in site.measures} if site else {}
    for key, measure in _measures().items():
        if getattr(args, key) is not None:
            yield key, own.get(key, measure)


def _read(said: str, measure: Measure, units: Units) -> Number:
    if measure.quantity is Quantity.LENGTH:
        return read_length(said, units)
    return read_angle(said) if measure.quantity is Quantity.ANGLE else read_count(said)


def _bends(answer: Answer, setup: Setup, units: Units) -> Iterator[str]:
    """Lines for the resulting bends whose measures are complete."""
    if answer.leads_to is None:
        return
    width = shutil.get_terminal_size().columns
    for lead in answer.leads_to.bends:
        yield ""
        if _complete(lead):
            plan = work_out(lead.kind, lead.measures, setup)
            yield plan_text(plan, setup, units, width, code_limits().bends)
        else:
            given = ", ".join(
                f"{key} {written(Note(key, '{value}', {'value': value}), units)}"
                for key, value in lead.measures.items()
            )
            yield f"bench marks {lead.kind}: {given}"
    stick = _stick(answer, setup)
    if stick is not None and len(answer.leads_to.bends) > 1:
        yield ""
        places = ", ".join(text(mark.at, units, setup.scale) for mark in stick.marks)
        yield f"on one stick: marks at {places}, cut at {text(stick.used, units, setup.scale)}"


def _complete(lead: Lead) -> bool:
    return not (lead.kind == "offset" and "distance" not in lead.measures)


def _stick(answer: Answer, setup: Setup) -> Stick | None:
    """The resulting bends on one stick."""
    if answer.leads_to is None or not all(map(_complete, answer.leads_to.bends)):
        return None
    bends = [OnStick(work_out(lead.kind, lead.measures, setup), lead.roll) for lead in answer.leads_to.bends]
    return lay_out(setup, bends, finish=answer.leads_to.finish)


def _as_json(answer: Answer, setup: Setup, units: Units) -> dict[str, Any]:
    stick = _stick(answer, setup)
    leads = answer.leads_to.bends if answer.leads_to else ()
    return {
        "values": {key: number(value) for key, value in answer.values.items()},
        "notes": [written(note, units) for note in answer.notes],
        "bends": [
            {
                "bend": lead.kind,
                "roll": lead.roll,
                "measures": {key: number(value) for key, value in lead.measures.items()},
                "plan": plan_json(work_out(lead.kind, lead.measures, setup), setup, units)
                if _complete(lead)
                else None,
            }
            for lead in leads
        ],
        "marks": [number(mark.at) for mark in stick.marks] if stick else [],
        "cut_at": None if stick is None or stick.cut_at is None else number(stick.cut_at),
    }


def _cuts(args: argparse.Namespace, setup: Setup, units: Units) -> int:
    if not args.pieces:
        raise BenchError("--pieces is missing.", 'For instance: --pieces "29 1/8 x 6, 40"', "measure_missing")
    saw = code_limits().saw
    kerf = read_length(args.kerf, units) if args.kerf else saw.kerf
    packing = pack(_pieces(args.pieces, units), setup.stick_length, kerf)
    if args.json:
        sticks = [
            {"pieces": [number(piece) for piece in stick.pieces], "left": number(stick.left)}
            for stick in packing.sticks
        ]
        print(
            json.dumps({"sticks": sticks, "count": len(sticks), "least": packing.least, "kerf": number(kerf)})
        )
        return 0
    print("\n".join(_cut_lines(packing, units, kerf, saw.keep)))
    return 0


def _cut_lines(packing: Packing, units: Units, kerf: Fraction, keep: Fraction) -> Iterator[str]:
    for count, stick in enumerate(packing.sticks, start=1):
        pieces = ", ".join(text(piece, units) for piece in stick.pieces)
        worth = "keep" if stick.left >= keep else "scrap"
        yield f"stick {count}: {pieces}   {text(stick.left, units)} left ({worth})"
    fewer = "the minimum" if packing.best else f"{packing.least} might be enough"
    yield f"{packing.pieces} pieces, {len(packing.sticks)} sticks of {text(packing.length, units)}, {fewer}."
    yield f"Each cut takes {text(kerf, units)} (common practice, no source; --kerf for your saw)."


def _pieces(said: str, units: Units) -> list[Fraction]:
    """Parse lengths with counts: `29 1/8 x 6, 40`. Raises BenchError."""
    found: list[Fraction] = []
    for part in filter(None, (part.strip() for part in said.split(","))):
        length, many = re.fullmatch(r"(.*?)(?:\s*[x×]\s*(\d{1,3}))?", part).groups()  # type: ignore[union-attr]
        piece = read_length(length, units)
        if piece <= 0:
            raise BenchError(f"A piece of {part} cannot be cut.", "Give lengths over zero.", "piece_length")
        found += [piece] * int(many or 1)
    if not 0 < len(found) <= _MOST_PIECES:
        raise BenchError(f"There are {len(found)} pieces.", f"Give one to {_MOST_PIECES}.", "pieces_count")
    return found
