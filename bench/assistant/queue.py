"""A list of sticks on paper, taken up by the conversation and bent one after the other."""

from __future__ import annotations

from pathlib import Path

from bench.core.lengths import Units
from bench.data.reading import read_text_file
from bench.job.listing import job_from_csv
from bench.job.model import Job, JobStick


def queue_of(path: Path, units: Units) -> tuple[JobStick, ...]:
    """The sticks of a CSV list (columns: see `bench.job.listing`), each copy a stick of its own.

    Straight sticks have nothing to bend and are left out. Raises BenchError naming file, line and what would
    work.
    """
    return tuple(stick for stick in read_list(path, units).sticks if stick.bends)


def read_list(path: Path, units: Units) -> Job:
    """The job of a CSV file. Raises BenchError naming file and line when it cannot be read."""
    written = read_text_file(path, "Save it as CSV, comma separated, UTF-8.", "list_unreadable")
    return job_from_csv(written, path.name, units)
