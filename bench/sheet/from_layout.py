"""Converts the layout of a job to the content of its sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby

from bench.core.cautions import Cautions
from bench.job.layout import JobLayout, LaidStick
from bench.job.model import JobStick
from bench.sheet.contents import RackPipe, SheetJob, SheetStick


def sheet_job(layout: JobLayout, cautions: Cautions, names: Mapping[str, str], day: str = "") -> SheetJob:
    """The sheet of a job. `day` is its date as printed, `names` are trade terms by key."""
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
    """The sticks with marks. The pipes of a rack become one stick and the pipes beside it."""
    with_marks = [one for one in layout.sticks if one.stick]
    for _, rack in groupby(enumerate(with_marks), key=lambda numbered: _rack(*numbered)):
        first, *others = (one for _, one in rack)
        copies = [one for one in others if one.asked.shift == first.asked.shift]
        beside = [one for one in others if one.asked.shift != first.asked.shift]
        yield _stick(first, 1 + len(copies), beside)


def _rack(index: int, one: LaidStick) -> object:
    """A key shared by the pipes of a rack: everything requested except each pipe's shift and progress. Notes on one
    pipe give it a different key.

    Pipes of a rack are consecutive, so index minus pipe is the same for all of them.
    """
    bends = tuple(bend.asked for bend in one.asked.bends)
    asked = replace(one.asked.fresh(), name="", pipe=1, shift=Fraction(0), finish=None, bends=bends)
    alone = (one.asked.name,) if one.notes or one.asked.not_recorded else ()
    return asked, index - one.asked.pipe, one.marked, one.bent, alone


def _stick(one: LaidStick, copies: int, beside: Sequence[LaidStick]) -> SheetStick:
    assert one.stick is not None
    asked = one.asked
    return SheetStick(
        asked.name,
        one.stick,
        copies,
        asked.run,
        rack=tuple(_pipe(each, one) for each in beside),
        bent=one.bent,
        notes=one.notes,
        not_recorded=asked.not_recorded,
    )


def _pipe(one: LaidStick, first: LaidStick) -> RackPipe:
    """Another pipe, with the measures that differ from the first one's."""
    assert one.stick is not None
    assert first.stick is not None
    own = {
        key: value
        for bend, before in zip(one.stick.bends, first.stick.bends, strict=True)
        for key, value in bend.plan.inputs.items()
        if before.plan.inputs.get(key) != value
    }
    name = one.asked.name if one.asked.name != first.asked.name else f"{one.asked.name}, {one.asked.pipe}"
    shift = one.asked.shift - first.asked.shift
    return RackPipe(name, shift, one.stick.marks, one.stick.cut_at, own)


def _missing(asked: JobStick, names: Mapping[str, str]) -> str:
    """Describes a stick whose marks are unknown: what is known about it, and what was not recorded."""
    bends = ", ".join(names.get(bend.kind, bend.kind) for bend in asked.bends)
    return f"marks of stick {asked.name} ({bends}; {', '.join(asked.not_recorded)})"
