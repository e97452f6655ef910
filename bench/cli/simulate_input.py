"""Parses the input of `bench simulate`: bender, length, bends, obstructions. Errors name their location."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from bench.core.bender import Bender
from bench.core.clearance import Box, Round, Row, Solid
from bench.core.notes import BenchError
from bench.core.plan import Hook, Mark, Reference
from bench.language.read import read_length

MOST = 500
"""Most bends or obstructions. Nobody bends a conduit with more."""
MOST_INCHES = 10_000
_ENDLESS = 1e12


@dataclass(frozen=True, slots=True)
class Job:
    """The input of a simulation, lengths in inches."""

    bender: Bender
    length: Fraction
    marks: tuple[Mark, ...]
    obstructions: Row


def read_job(text: str) -> Job:
    """Parse a job from JSON text. Raises BenchError saying what is wrong and where."""
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _wrong("the input", f"is not JSON: {error}") from error
    job = _table(raw, "the input")
    for key in ("bends", "obstructions"):
        rows = job.get(key, [])
        if not isinstance(rows, list) or len(rows) > MOST:
            raise _wrong(key, f"must be a list of at most {MOST}")
    if "bends" not in job:
        raise _wrong("bends", "is missing; it must be a list")
    return Job(
        _bender(_table(job.get("bender"), "bender")),
        _length(job.get("length", 120), "length", above=0),
        tuple(_mark(_table(bend, f"bends[{i}]"), i) for i, bend in enumerate(job["bends"])),
        tuple(
            _solid(_table(one, f"obstructions[{i}]"), i) for i, one in enumerate(job.get("obstructions", []))
        ),
    )


def _bender(raw: Mapping[str, Any]) -> Bender:
    take_up, gain, od = (_length(raw.get(key), f"bender.{key}", above=0) for key in ("take_up", "gain", "od"))
    return Bender("given", take_up, gain, od)


def _mark(raw: Mapping[str, Any], index: int) -> Mark:
    place = f"bends[{index}]"
    degrees = _number(raw.get("bend"), f"{place}.bend")
    if not 0 < degrees < 180:
        raise _wrong(f"{place}.bend", "must be between 0 and 180 degrees")
    try:
        reference = Reference(raw.get("reference", "arrow"))
        hook = Hook(raw.get("hook", "tape_end"))
    except ValueError as error:
        raise _wrong(place, f"has an unknown value: {error}") from error
    at = _length(raw.get("at"), f"{place}.at")
    roll = _number(raw.get("roll", 0), f"{place}.roll")
    return Mark(str(index + 1), at, reference, hook, degrees, roll, index + 1, degrees)


def _solid(raw: Mapping[str, Any], index: int) -> Solid:
    place = f"obstructions[{index}]"

    def value(key: str) -> float:
        return float(_length(raw.get(key), f"{place}.{key}"))

    if "diameter" in raw:
        return Round(value("centre" if "centre" in raw else "center"), value("diameter"))
    return Box(value("near"), value("far"), value("height"))


def _table(raw: object, place: str) -> Mapping[str, Any]:
    if not isinstance(raw, dict):
        raise _wrong(place, "must be an object in braces")
    return raw


def _length(raw: object, place: str, above: float = -math.inf) -> Fraction:
    value = read_length(raw) if isinstance(raw, str) else Fraction(_number(raw, place))
    if value <= above:
        raise _wrong(place, "must be greater than zero")
    if abs(value) > MOST_INCHES:
        raise _wrong(place, f"must be within {MOST_INCHES} inches")
    return value


def _number(raw: object, place: str) -> float:
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not abs(raw) < _ENDLESS:
        raise _wrong(place, "must be a number")
    return float(raw)


def _wrong(place: str, what: str) -> BenchError:
    return BenchError(f"In the simulation, {place} {what}.", "See: bench simulate --help", "input_wrong")
