"""Renames a stored job. The current job keeps its new name when work on it continues."""

from __future__ import annotations

from dataclasses import replace

from bench.core.notes import BenchError
from bench.dialogue.state import Place, State, state_from_json, state_to_json
from bench.job.model import Job
from bench.job.records import Record, RecordKind
from bench.memory.jobs import KeptJob
from bench.memory.store import Store

_LONGEST = 80
"""Longest name in characters: fits on paper and can be spoken."""


def rename(store: Store, number: int, name: str | None, place: str | None) -> Job:
    """Change the name or place of a job, or both. None leaves a value unchanged. Raises BenchError, NotSaved."""
    kept = next((one for one in store.kept_jobs() if one.job.number == number), None)
    if kept is None:
        raise BenchError(f"There is no job {number} that can be read.", "See: bench jobs", code="no_such_job")
    job = replace(
        kept.job,
        name=kept.job.name if name is None else _tidy(name),
        place=kept.job.place if place is None else _tidy(place),
    )
    record = Record(RecordKind.NAMED, {"job": job.name, "place": job.place})
    store.rename(KeptJob(kept.begun, kept.changed, job), record, _state_with(store, job))
    return job


def _state_with(store: Store, job: Job) -> dict[str, object] | None:
    """The stored state with the new name, if it belongs to this job; else None."""
    raw = store.load()
    if raw is None:
        return None
    try:
        return state_to_json(_named(state_from_json(raw), job))
    except ValueError:
        return None


def _named(state: State, job: Job) -> State:
    def named(place: Place) -> Place:
        if place.job_number != job.number:
            return place
        return replace(place, job_name=job.name, job_place=job.place)

    return replace(state, now=named(state.now), past=tuple(map(named, state.past)))


def _tidy(words: str) -> str:
    """The name without control characters and line breaks. Raises BenchError when it is too long."""
    name = " ".join("".join(letter if letter.isprintable() else " " for letter in words).split())
    if len(name) > _LONGEST:
        raise BenchError(f"A name has at most {_LONGEST} letters.", "Give a shorter one.", code="long_name")
    return name
