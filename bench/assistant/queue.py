"""A list of sticks on paper, taken up by the conversation and walked through one after the other."""

from __future__ import annotations

from pathlib import Path

from bench.core.lengths import Units
from bench.job.model import JobBend, JobStick
from bench.sheet.from_json import WrittenBend, WrittenStick, length_of, measures_of, read_job
from bench.sheet.listing import job_from_csv


def queue_of(path: Path, units: Units) -> tuple[JobStick, ...]:
    """The sticks of a CSV list (columns: see `bench.sheet.listing`), each copy a stick of its own.

    Straight sticks have nothing to bend and are left out. Raises BenchError naming file, line and what would
    work.
    """
    job = read_job(job_from_csv(path, units))
    return tuple(
        _stick(stick, copy, units) for stick in job.sticks if stick.bends for copy in range(stick.copies)
    )


def _stick(stick: WrittenStick, copy: int, units: Units) -> JobStick:
    name = stick.name if copy == 0 else f"{stick.name} {copy + 1}"
    bends = tuple(_bend(bend, units) for bend in stick.bends)
    if stick.length is None:
        return JobStick(name, bends)
    return JobStick(name, bends, length_of(stick.length, units))


def _bend(bend: WrittenBend, units: Units) -> JobBend:
    from_end = None if bend.from_end is None else length_of(bend.from_end, units)
    answers = tuple(measures_of(bend, units).items())
    return JobBend(bend.kind, answers, bend.method, roll=bend.roll, from_end=from_end)
