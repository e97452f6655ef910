"""Simulate the finished shape of any list of marks on any bender. JSON in, JSON out.

In:  {"bender": {"take_up": 5, "gain": 2.423, "od": 0.706}, "length": 120,
      "bends": [{"at": 30, "reference": "arrow", "hook": "tape_end", "bend": 30, "roll": 0}, ...],
      "obstructions": [{"near": 38, "far": 42, "height": 3} or {"center": 40, "diameter": 3}, ...]}
Out: {"points": [[s, x, y, z], ...], "finished": {...}}

Lengths are inches, as numbers or as text such as "27 3/8". The tape end starts at the origin along +x. Roll 0 bends
toward +y, roll 90 toward +z. Defaults: `length` 120, `reference` arrow, `hook` tape_end, `roll` 0. Obstructions are
optional and stand on the wall that the first leg lies on.
"""

from __future__ import annotations

import argparse
import json
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

from bench.cli.marks_json import bender_json, number
from bench.cli.simulate_input import Job, read_job
from bench.core.clearance import clearance
from bench.core.feasible import check_bends, placed
from bench.core.finished import crown, dogleg, far_leg, from_tape_leg, legs_apart, legs_out_of_parallel
from bench.core.path import Path as Centerline
from bench.core.simulate import simulate
from bench.core.vectors import norm, unit
from bench.data.folders import whole_path
from bench.data.reading import read_stream, read_text_file

_PARALLEL = 2.0
"""Degrees within which legs count as parallel. The height is then that of the conduit between them."""


def configure(parser: argparse.ArgumentParser) -> None:
    """Options of `bench simulate`."""
    parser.add_argument("file", metavar="FILE", help="a file, or - for standard input")
    parser.add_argument("--json", action="store_true", help="errors as JSON too")


def run(args: argparse.Namespace) -> int:
    """Print the finished shape."""
    job = read_job(_text(args.file))
    check_bends(placed(job.marks, job.bender), job.bender.radius, job.length, Fraction(1, 16))
    path = simulate(job.marks, job.bender, float(job.length))
    points = [[number(s), *(number(value) for value in point)] for s, point in path.sampled()]
    print(json.dumps({"bender": bender_json(job.bender), "points": points, "finished": _finished(path, job)}))
    return 0


def _text(file: str) -> str:
    remedy = "Give a JSON file, or - for standard input."
    if file == "-":
        return read_stream(sys.stdin, "Standard input", remedy)
    return read_text_file(whole_path(Path(file)), remedy)


def _finished(path: Centerline, job: Job) -> dict[str, Any]:
    parallel = legs_out_of_parallel(path) < _PARALLEL
    top = crown(path)[1] if parallel else path.point(path.length)
    lift = from_tape_leg(top)
    seen = job.obstructions and norm(lift) > 0
    gap = clearance(path, job.obstructions, float(job.bender.od), unit(lift)) if seen else None
    end, heading = path.point(path.length), far_leg(path).along
    return {
        "rise": number(norm(lift)),
        "crown_at": number(top[0]),
        "legs_out_of_line": number(legs_apart(path)),
        "legs_out_of_parallel": number(legs_out_of_parallel(path)),
        "dogleg": number(dogleg(path)),
        "clearance": None if gap is None else number(gap),
        "end_to_end": number(norm(end)),
        "end": [number(value) for value in end],
        "heading": [number(value) for value in heading],
        "straights": [number(value) for value in path.straights()],
        "total_degrees": number(sum(arc.angle for arc in path.arcs)),
    }
