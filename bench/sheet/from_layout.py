"""From a job as laid out to what its sheet prints."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import groupby

from bench.core.cautions import Cautions
from bench.job.layout import JobLayout, LaidStick
from bench.job.model import JobStick
from bench.sheet.job import SheetJob, SheetStick


def sheet_job(layout: JobLayout, cautions: Cautions, names: Mapping[str, str], day: str = "") -> SheetJob:
    """The sheet of a job; `day` is its date as printed, `names` trade words by key."""
    job = layout.job
    missing = tuple(_missing(one.asked, names) for one in layout.sticks if one.stick is None)
    return SheetJob(
        job.title,
        job.units,
        tuple(_sticks(layout)),
        layout.run,
        cautions,
        names,
        date=day,
        place=job.place,
        not_recorded=missing,
    )


def _sticks(layout: JobLayout) -> Iterator[SheetStick]:
    """The sticks with marks; pipes of a rack that are bent alike are told once."""
    with_marks = [one for one in layout.sticks if one.stick]
    for _, alike in groupby(enumerate(with_marks), key=lambda numbered: _alike(*numbered)):
        (_, first), *others = alike
        yield _stick(first, 1 + len(others))


def _alike(index: int, one: LaidStick) -> object:
    """What two pipes of a rack must share to be told as copies; work begun on one sets it apart.

    Pipes of one rack follow one another, so that index less pipe is the same for all of them.
    """
    begun = (one.asked.name,) if one.marked or one.bent else ()
    return replace(one.asked, name="", pipe=1), index - one.asked.pipe, begun


def _stick(one: LaidStick, copies: int) -> SheetStick:
    assert one.stick is not None
    asked = one.asked
    return SheetStick(
        asked.name,
        one.stick,
        copies,
        asked.run,
        bent=one.bent,
        notes=one.notes,
        not_recorded=asked.not_recorded,
    )


def _missing(asked: JobStick, names: Mapping[str, str]) -> str:
    """A stick whose marks cannot be told: what is known of it, and what was not recorded."""
    bends = ", ".join(names.get(bend.kind, bend.kind) for bend in asked.bends)
    return f"marks of stick {asked.name} ({bends}; {', '.join(asked.not_recorded)})"
