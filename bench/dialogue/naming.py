"""Names of the job in hand, its place and its run; finding an earlier job by its name."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from bench.core.notes import Note
from bench.dialogue.effects import FindJobs
from bench.dialogue.events import FoundJob, JobsFound
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Turn
from bench.dialogue.stages.sticks import next_job
from bench.dialogue.state import Place, Stage, State
from bench.job.model import JobStick
from bench.job.records import Record, RecordKind
from bench.language.meaning import Meaning
from bench.language.names import same_name, spoken_name
from bench.language.numbers import cardinal

_TOLD = 3
"""How many of the jobs kept are named at once."""


def name_job(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The job in hand gets a name; after a job that is done, the next one."""
    name = _written(meaning)
    place = replace(next_job(state.now), job_name=name)
    return _named(state, place, knowledge.note("job_named", name=spoken_name(name)), {"job": name})


def name_place(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Where the job in hand is."""
    name = _written(meaning)
    place = replace(next_job(state.now), job_place=name)
    return _named(state, place, knowledge.note("place_named", name=spoken_name(name)), {"place": name})


def name_run(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """The run in hand gets a name: its sticks made so far have it, and those to come."""
    name, old = _written(meaning), state.now.run_label
    place = replace(next_job(state.now), run_name=name)
    place = replace(
        place,
        stick=_renamed(place.stick, old, name),
        done=tuple(_renamed(stick, old, name) for stick in place.done),
    )
    return _named(state, place, knowledge.note("run_named", name=spoken_name(name)), {"run": name})


def find_job(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Look an earlier job up; what is found comes back as an event."""
    return Turn(state, effects=(FindJobs(_written(meaning)),), ask=False)


def list_jobs(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Look up what jobs are kept."""
    return Turn(state, effects=(FindJobs(),), ask=False)


def jobs_found(state: State, event: JobsFound, knowledge: Knowledge) -> Turn:
    """What is kept: told, or the one that was asked for with an offer to bend it again."""
    others = tuple(job for job in event.jobs if job.number != state.now.job_number)
    if not event.asked:
        return _answered(state, _listed(others, knowledge))
    if same_name(event.asked, state.now.job_name):
        return _answered(state, knowledge.note("job_in_hand", name=spoken_name(state.now.job_name)))
    job = next((job for job in others if _is_called(job, event.asked)), None)
    if job is None:
        return _answered(state, knowledge.note("no_such_job", name=spoken_name(event.asked)))
    sticks = tuple(stick.fresh() for stick in job.sticks if stick.bends and not stick.shift)
    if not sticks:
        return _answered(state, knowledge.note("job_empty", name=_title(job), when=_when(job.days)))
    found = replace(
        state.now, stage=Stage.FOUND, came_from=state.now.stage, found=sticks, found_as=_told(job)
    )
    return Turn(state.moved(found))


def _answered(state: State, note: Note) -> Turn:
    return Turn(state, (note,), ask=False)


def _listed(jobs: tuple[FoundJob, ...], knowledge: Knowledge) -> Note:
    if not jobs:
        return knowledge.note("no_jobs_kept")
    return knowledge.note("jobs_kept", jobs="; ".join(map(_told, jobs[:_TOLD])))


def _named(state: State, place: Place, told: Note, detail: dict[str, object]) -> Turn:
    return Turn(state.moved(place), (told,), (Record(RecordKind.NAMED, detail),), ask=False)


def _written(meaning: Meaning) -> str:
    name = str(meaning.argument)
    return name[:1].upper() + name[1:]


def _renamed(stick: JobStick, old: str, new: str) -> JobStick:
    return replace(stick, run=new) if stick.run == old else stick


def _is_called(job: FoundJob, asked: str) -> bool:
    names: Iterable[str] = (f"job {job.number}", job.name, job.place, *(stick.run for stick in job.sticks))
    return any(same_name(asked, name) for name in names if name)


def _title(job: FoundJob) -> str:
    return spoken_name(job.name or f"job {job.number}")


def _told(job: FoundJob) -> str:
    return f"{_title(job)}, {_when(job.days)}"


def _when(days: int) -> str:
    """How long ago, as one says it."""
    return {0: "today", 1: "yesterday"}.get(days, f"{cardinal(max(days, 0))} days ago")
