"""A job as plain data that people and programs write: read into a `Job`, and written from one."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import cattrs

from bench.core.bends import BENDS
from bench.core.given import measure_key
from bench.core.lengths import MILLIMETER, Units
from bench.core.notes import BenchError, Note, Value
from bench.core.plan import Measure, Method, Quantity
from bench.job.model import Job, JobBend, JobStick, Number, Profile, Tools, of_stick
from bench.language.read import read_angle, read_count, read_length

Written = str | int | float
"""A measure as written: a number, or text such as `27 3/8`."""

MOST_COPIES = 500
"""Sticks made alike; more is taken for a slip."""
MOST_STICKS = 500
"""Sticks of one list or job, copies counted: weeks of work. All of them are kept with every step of the job."""
MOST_BENDS = 40
"""Bends of one stick; forty of five degrees are half of what the code allows between boxes, and no one makes them."""
MOST_MEASURES = 40
MOST_LETTERS = 200
"""Letters of a name or another word."""
STICK = Fraction(120)
"""Length of a stick before cutting where none is written, inches: EMT and rigid are sold in tens of feet."""


@dataclass(frozen=True)
class WrittenBender:
    """The person's own bender; lengths as written."""

    name: str
    take_up: Written
    gain: Written
    springback: float = 0.0
    hand: float = 0.0


@dataclass(frozen=True)
class WrittenSetup:
    """What the sticks are bent from and with; without a bender the typical one."""

    conduit: str
    size: str
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
    """One stick. `length` is before cutting, `finish` where it ends in the run, `shift` its place in a rack, `pipe`
    which conduit of the run it belongs to. Its tape is divided as `units` say, without them as the job's."""

    name: str
    bends: tuple[WrittenBend, ...] = ()
    length: Written | None = None
    finish: Written | None = None
    shift: Written = "0"
    copies: int = 1
    run: str = "1"
    pipe: int = 1
    units: Units | None = None
    setup: WrittenSetup | None = None


@dataclass(frozen=True)
class WrittenJob:
    """A job as plain data; see `job_from_written`."""

    name: str
    sticks: tuple[WrittenStick, ...]
    units: Units = Units.INCH
    setup: WrittenSetup | None = None
    place: str = ""
    date: str = ""


def job_from_written(raw: Mapping[str, Any]) -> Job:
    """The job of plain data.

    `{"name", "place", "units": "inch"|"metric", "setup": {"conduit", "size", "bender": {"name", "take_up",
    "gain", "springback", "hand"}}, "sticks": [{"name", "run", "pipe", "units", "length", "finish", "shift", "copies",
    "setup", "bends": [{"kind", "measures": {key: "27 3/8"}, "method": "true"|"book", "roll", "from_end"}]}]}`. Lengths
    are numbers or written; "name" and "sticks" must be there. A stick without units or set-up of its own has the
    job's; where there is no set-up at all its tools are left incomplete. Raises BenchError naming the stick and what
    would work.
    """
    job = read_written(raw)
    _refuse_too_many(sum(_copies(stick) for stick in job.sticks))
    sticks = tuple(
        made for stick in job.sticks for copy in range(_copies(stick)) for made in (_named(stick, copy, job),)
    )
    return Job(0, sticks, job.name, job.place)


def read_written(raw: Mapping[str, Any]) -> WrittenJob:
    """The plain data checked for shape. Raises BenchError naming what is wrong."""
    _refuse_too_much(raw)
    made = cattrs.Converter(forbid_extra_keys=True)
    made.register_structure_hook(Written, _written)
    made.register_structure_hook(
        Written | None, lambda value, _: None if value is None else _written(value, _)
    )
    try:
        return made.structure(raw, WrittenJob)
    except (cattrs.BaseValidationError, ValueError, TypeError) as error:
        reasons = "; ".join(cattrs.transform_error(error))
        raise BenchError(
            Note("job_unreadable", "The job is not readable: {reasons}.", {"reasons": reasons})
        ) from error


def job_to_written(job: Job) -> dict[str, Any]:
    """The job as `job_from_written` takes it, every length exact."""
    units = job.units
    raw = {"name": job.title, "units": str(units), "sticks": [_stick_out(one) for one in job.sticks]}
    return raw | ({"place": job.place} if job.place else {})


def measures_of(bend: WrittenBend, units: Units) -> dict[str, Number]:
    """The measures of a bend in their own types. Raises BenchError for what it cannot read."""
    if bend.kind not in BENDS:
        message = Note("bend_unknown", "There is no bend called {kind}.", {"kind": bend.kind})
        raise BenchError(message, Note("bend_known", "Bends: {kinds}.", {"kinds": ", ".join(BENDS)}))
    known = {measure.key: measure for measure in (*BENDS[bend.kind].measures, *BENDS[bend.kind].extras)}
    measures = {measure_key(key): value for key, value in bend.measures.items()}
    return {key: _measure(value, known.get(key), units) for key, value in measures.items()}


def length_of(value: Written, units: Units) -> Fraction:
    """A written length, inches; a bare number is in `units`. Raises BenchError."""
    return read_length(value, units) if isinstance(value, str) else read_length(str(value), units)


def _refuse_too_much(raw: Mapping[str, Any]) -> None:
    """Counts and words looked at before anything is made of them. Raises BenchError naming the stick."""
    sticks = _listed(raw.get("sticks"))
    _refuse_too_many(len(sticks))
    _refuse_long_words(raw, "The job")
    for number, stick in enumerate(sticks, 1):
        if not isinstance(stick, Mapping):
            continue
        where = f"Stick {str(stick.get('name', number))[:MOST_LETTERS]}"
        bends = _listed(stick.get("bends"))
        if len(bends) > MOST_BENDS:
            raise _too_much(f"{where} has {len(bends)} bends", f"A stick takes {MOST_BENDS} at most.")
        for one in (stick, *bends, *(bend.get("measures") for bend in bends if isinstance(bend, Mapping))):
            _refuse_long_words(one, where)


def _listed(raw: object) -> Sequence[Any]:
    return raw if isinstance(raw, list | tuple) else ()


def _refuse_long_words(raw: object, where: str) -> None:
    if not isinstance(raw, Mapping):
        return
    if len(raw) > MOST_MEASURES:
        raise _too_much(f"{where} has {len(raw)} measures in one place", "Leave out what is not needed.")
    for key, value in raw.items():
        if max(len(str(key)), len(value) if isinstance(value, str) else 0) > MOST_LETTERS:
            said = f"{where} has words of more than {MOST_LETTERS} letters under {str(key)[:40]!r}"
            raise _too_much(said, "Write it shorter.")


def _refuse_too_many(sticks: int) -> None:
    if sticks > MOST_STICKS:
        raise _too_much(f"{sticks} sticks are too many for one list", f"Split it: {MOST_STICKS} at most.")


def _too_much(said: str, remedy: str) -> BenchError:
    return BenchError(Note("list_too_long", "{said}.", {"said": said}), remedy)


def _copies(stick: WrittenStick) -> int:
    if 1 <= stick.copies <= MOST_COPIES:
        return stick.copies
    values: dict[str, Value] = {"stick": stick.name, "copies": stick.copies, "most": MOST_COPIES}
    raise BenchError(
        Note("copies_range", "Stick {stick} cannot be made {copies} times.", values),
        Note("copies_most", "Make it 1 to {most} times.", values),
    )


def _named(stick: WrittenStick, copy: int, job: WrittenJob) -> JobStick:
    """One copy of a stick; copies are further conduits beside the first."""
    try:
        return _stick(stick, copy, job)
    except BenchError as error:
        raise of_stick(error, stick.name) from error


def _stick(stick: WrittenStick, copy: int, job: WrittenJob) -> JobStick:
    units, setup = stick.units or job.units, stick.setup or job.setup
    if not 1 <= stick.pipe <= MOST_COPIES:
        values: dict[str, Value] = {"pipe": stick.pipe, "most": MOST_COPIES}
        raise BenchError(
            Note("pipe_range", "There is no conduit {pipe} in a run.", values),
            Note("pipe_most", "Number them from 1, to {most} at most.", values),
        )
    return JobStick(
        name=stick.name if copy == 0 else f"{stick.name} {copy + 1}",
        bends=tuple(_bend(bend, units) for bend in stick.bends),
        length=STICK if stick.length is None else length_of(stick.length, units),
        shift=length_of(stick.shift, units),
        tools=Tools() if setup is None else _tools(setup, units),
        units=units,
        finish=None if stick.finish is None else length_of(stick.finish, units),
        run=stick.run,
        pipe=stick.pipe + copy,
    )


def _tools(setup: WrittenSetup, units: Units) -> Tools:
    own = setup.bender
    if own is None:
        return Tools(setup.conduit, setup.size)
    numbers = length_of(own.take_up, units), length_of(own.gain, units)
    return Tools(
        setup.conduit,
        setup.size,
        Profile(own.name, setup.conduit, setup.size, *numbers, own.springback, hand=own.hand),
    )


def _bend(bend: WrittenBend, units: Units) -> JobBend:
    if not (math.isfinite(bend.roll) and -360 <= bend.roll <= 360):
        values = {"roll": str(bend.roll)}
        raise BenchError(
            Note("roll_range", "A turn of {roll} degrees is not possible.", values),
            Note("roll_write", "Write the turn in degrees: 0, 90, 180 or 270."),
        )
    return JobBend(
        bend.kind,
        tuple(measures_of(bend, units).items()),
        bend.method,
        roll=bend.roll % 360,
        from_end=None if bend.from_end is None else length_of(bend.from_end, units),
    )


def _stick_out(stick: JobStick) -> dict[str, Any]:
    raw: dict[str, Any] = {
        "name": stick.name,
        "run": stick.run,
        "pipe": stick.pipe,
        "units": str(stick.units),
        "length": _length_out(stick.length, stick.units),
        "shift": _length_out(stick.shift, stick.units),
        "bends": [_bend_out(bend, stick.units) for bend in stick.bends],
    }
    if stick.finish is not None:
        raw["finish"] = _length_out(stick.finish, stick.units)
    return raw | ({"setup": _setup_out(stick)} if stick.tools.complete else {})


def _setup_out(stick: JobStick) -> dict[str, Any]:
    tools, own = stick.tools, stick.tools.profile
    raw: dict[str, Any] = {"conduit": tools.conduit, "size": tools.size}
    if own is None or own.typical:
        return raw
    return raw | {
        "bender": {
            "name": own.name,
            "take_up": _length_out(own.take_up, stick.units),
            "gain": _length_out(own.gain, stick.units),
            "springback": own.springback,
            "hand": own.hand,
        }
    }


def _bend_out(bend: JobBend, units: Units) -> dict[str, Any]:
    measures = {
        key: _length_out(value, units) if isinstance(value, Fraction) else value
        for key, value in bend.measures.items()
    }
    raw: dict[str, Any] = {
        "kind": bend.kind,
        "measures": measures,
        "method": str(bend.method),
        "roll": bend.roll,
    }
    return raw | ({} if bend.from_end is None else {"from_end": _length_out(bend.from_end, units)})


def _length_out(value: Fraction, units: Units) -> str:
    return f"{value / MILLIMETER} mm" if units is Units.METRIC else f"{value} in"


def _measure(value: Written, measure: Measure | None, units: Units) -> Number:
    if measure is not None and measure.quantity is Quantity.ANGLE:
        return read_angle(value) if isinstance(value, str) else float(value)
    if measure is not None and measure.quantity is Quantity.COUNT:
        return read_count(value) if isinstance(value, str) else int(value)
    return length_of(value, units)


def _written(value: object, _: object) -> Written:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f"{value!r} is not a measure")
    return value
