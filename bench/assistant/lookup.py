"""The stored jobs, in the form the dialogue expects."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bench.dialogue.events import FoundJob, JobsFound
from bench.memory.jobs import KeptJob


def jobs_found(asked: str, kept: Sequence[KeptJob], now: datetime) -> JobsFound:
    """All jobs, most recently changed first. Their age is in calendar days of local time up to `now`."""
    newest = sorted(kept, key=lambda one: (one.changed, one.job.number), reverse=True)
    return JobsFound(asked, tuple(_found(one, now) for one in newest))


def _found(kept: KeptJob, now: datetime) -> FoundJob:
    job = kept.job
    return FoundJob(job.number, job.name, job.place, _days(kept.changed, now), job.sticks)


def _days(changed: str, now: datetime) -> int:
    """Days since then. Zero when the clock was ahead or the timestamp cannot be read."""
    try:
        then = datetime.fromisoformat(changed).astimezone().date()
    except (ValueError, OverflowError, OSError):
        return 0
    return max((now.astimezone().date() - then).days, 0)
