"""Reads a list of sticks for the conversation to bend one after the other."""

from __future__ import annotations

from pathlib import Path

from bench.core.lengths import Units
from bench.data.reading import read_text_file
from bench.job.listing import job_from_csv
from bench.job.model import Job, JobStick


def queue_of(path: Path, units: Units) -> tuple[JobStick, ...]:
    """The sticks of a CSV list (columns: see `bench.job.listing`). Each copy is a separate stick.

    Straight sticks have nothing to bend and are omitted. Raises BenchError with file, line and remedy.
    """
    return tuple(stick for stick in read_list(path, units).sticks if stick.bends)


def read_list(path: Path, units: Units) -> Job:
    """The job in a CSV file. Raises BenchError naming file and line when it cannot be read."""
    written = read_text_file(path, "Save it as CSV, comma separated, UTF-8.", "list_unreadable")
    return job_from_csv(written, path.name, units)
