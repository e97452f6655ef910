"""A job written down as plain data to a job for paper: everything is worked out afresh from what was
measured."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

import cattrs

from bench.core.bender import Bender, Setup
from bench.core.bends import BENDS, work_out
from bench.core.cautions import Cautions
from bench.core.code import CodeLimits
from bench.core.given import measure_key
from bench.core.lengths import Units, tape_scale
from bench.core.notes import BenchError, Note
from bench.core.plan import Measure, Method, Quantity
from bench.core.run import Section, plan_run
from bench.core.stick import OnStick, Stick, lay_out, same_again
from bench.language.read import read_angle, read_count, read_length
from bench.sheet.job import SheetJob, SheetStick

Written = str | int | float
"""A measure as written: a number, or text such as `27 3/8`."""


@dataclass(frozen=True)
class Tables:
    """What a job is worked out with: set-ups by conduit and trade size, limits, cautions and names of
    things."""

    setup: Callable[[str, str], Setup]
    limits: CodeLimits
    cautions: Cautions
    names: Mapping[str, str]


@dataclass(frozen=True)
class WrittenBender:
    """The person's own bender; lengths as written."""

    name: str
    take_up: Written
    gain: Written
    springback: float = 0.0


@dataclass(frozen=True)
class WrittenSetup:
    """What the sticks are bent from and with; without a bender the typical one."""

    conduit: str = "emt"
    size: str = "1/2"
    bender: WrittenBender | None = None


@dataclass(frozen=True)
class WrittenBend:
    """One bend. `roll` and `from_end` are as in `OnStick`."""

    kind: str
    measures: Mapping[str, Written]
    method: Method = Method.TRUE
    roll: float = 0.0
    from_end: Written | None = None


@dataclass(frozen=True)
class WrittenStick:
    """One stick. `length` is before cutting, `finish` where it ends in the run, `shift` its place in a
    rack."""

    name: str
    bends: tuple[WrittenBend, ...] = ()
    length: Written | None = None
    finish: Written | None = None
    shift: Written = "0"
    copies: int = 1
    run: str = "1"
    setup: WrittenSetup | None = None


@dataclass(frozen=True)
class WrittenJob:
    """A job as plain data; see `sheet_job_from_json`."""

    name: str
    sticks: tuple[WrittenStick, ...]
    units: Units = Units.INCH
    setup: WrittenSetup = field(default_factory=WrittenSetup)
    date: str = ""


def sheet_job_from_json(raw: Mapping[str, Any], tables: Tables) -> SheetJob:
    """The job for paper from plain data.

    `{"name", "units": "inch"|"metric", "date", "setup": {"conduit", "size", "bender": {"name", "take_up",
    "gain", "springback"}}, "sticks": [{"name", "run", "length", "finish", "shift", "copies", "setup",
    "bends": [{"kind", "measures": {key: "27 3/8"}, "method": "true"|"book", "roll", "from_end"}]}]}`. Lengths
    are numbers or written; only "name" and "sticks" must be there. Raises BenchError naming the stick and
    what would work.
    """
    job = read_job(raw)
    made = [(stick, _stick(stick, job, tables)) for stick in job.sticks]
    sections = [
        section for name in dict.fromkeys(stick.run for stick in job.sticks) for section in _rack(name, made)
    ]
    run = plan_run(sections, tables.limits)
    sticks = tuple(SheetStick(stick.name, laid, stick.copies) for stick, laid in made)
    return SheetJob(job.name, job.units, sticks, run, tables.cautions, tables.names, job.date)


def _rack(run: str, made: Sequence[tuple[WrittenStick, Stick]]) -> Iterator[Section]:
    """The sticks of a run joined end to end; copies are further conduits beside the first, not further along
    it."""
    own = [(stick.copies, laid) for stick, laid in made if stick.run == run]
    for conduit in range(max(copies for copies, _ in own)):
        name = run if conduit == 0 else f"{run}, conduit {conduit + 1}"
        yield Section(name, tuple(laid for copies, laid in own if copies > conduit))


def read_job(raw: Mapping[str, Any]) -> WrittenJob:
    """The plain data checked for shape. Raises BenchError naming what is wrong."""
    converter = cattrs.Converter(forbid_extra_keys=True)
    converter.register_structure_hook(Written, _written)
    converter.register_structure_hook(
        Written | None, lambda value, _: None if value is None else _written(value, _)
    )
    try:
        return converter.structure(raw, WrittenJob)
    except Exception as error:
        reasons = "; ".join(cattrs.transform_error(error))
        raise BenchError(
            Note("job_unreadable", "The job is not readable: {reasons}.", {"reasons": reasons})
        ) from error


def _written(value: object, _: object) -> Written:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f"{value!r} is no measure")
    return value


def _stick(stick: WrittenStick, job: WrittenJob, tables: Tables) -> Stick:
    try:
        setup = _setup(stick.setup or job.setup, job.units, tables)
        bends = [
            OnStick(
                work_out(bend.kind, measures_of(bend, job.units), setup, bend.method),
                bend.roll,
                None if bend.from_end is None else length_of(bend.from_end, job.units),
            )
            for bend in stick.bends
        ]
        length = None if stick.length is None else length_of(stick.length, job.units)
        finish = None if stick.finish is None else length_of(stick.finish, job.units)
        laid = lay_out(setup, bends, length, finish)
        shift = length_of(stick.shift, job.units)
        return same_again(laid, shift) if shift else laid
    except BenchError as error:
        message = Note(
            error.code,
            "Stick {stick}: " + error.message.template,
            {**error.message.values, "stick": stick.name},
        )
        raise BenchError(message, error.remedy) from error


def _setup(wanted: WrittenSetup, units: Units, tables: Tables) -> Setup:
    setup = tables.setup(wanted.conduit, wanted.size)
    bender = setup.bender
    if wanted.bender is not None:
        bender = _own(bender, wanted.bender, units)
    return replace(setup, bender=bender, scale=tape_scale(units))


def _own(typical: Bender, own: WrittenBender, units: Units) -> Bender:
    take_up, gain = length_of(own.take_up, units), length_of(own.gain, units)
    return typical.measured(own.name, take_up, gain, own.springback)


def measures_of(bend: WrittenBend, units: Units) -> dict[str, Fraction | float | int]:
    """The measures of a bend in their own types. Raises BenchError for what it cannot read."""
    if bend.kind not in BENDS:
        message = Note("bend_unknown", "There is no bend called {kind}.", {"kind": bend.kind})
        raise BenchError(message, Note("bend_known", "Bends: {kinds}.", {"kinds": ", ".join(BENDS)}))
    known = {measure.key: measure for measure in (*BENDS[bend.kind].measures, *BENDS[bend.kind].extras)}
    given = {measure_key(key): value for key, value in bend.measures.items()}
    return {key: _measure(value, known.get(key), units) for key, value in given.items()}


def _measure(value: Written, measure: Measure | None, units: Units) -> Fraction | float | int:
    if measure is not None and measure.quantity is Quantity.ANGLE:
        return read_angle(value) if isinstance(value, str) else float(value)
    if measure is not None and measure.quantity is Quantity.COUNT:
        return read_count(value) if isinstance(value, str) else int(value)
    return length_of(value, units)


def length_of(value: Written, units: Units) -> Fraction:
    """A written length, inches; a bare number is in `units`. Raises BenchError."""
    return read_length(value, units) if isinstance(value, str) else read_length(str(value), units)
