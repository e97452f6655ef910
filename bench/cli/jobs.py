"""The jobs stored on this machine: list them, show one with its marks, or print its records.

  bench jobs                every job, newest last
  bench jobs show 3         job 3: its sticks, marks and materials (--json or --csv for other programs)
  bench jobs export 3       job 3 as JSON that `bench sheet` reads
  bench jobs name 3 "north barn" --place "42 Mill Road"     set the name and place of job 3
  bench jobs records 3      all records of job 3, in order
  bench jobs log            what was heard, its confidence, and its meaning or why it was rejected
  bench jobs log 3          the same for job 3 only

Times are from this machine's clock. Records are in the order in which things happened, whatever the clock said.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

from bench.assistant.rename import rename
from bench.core.lengths import Units, angle_text, text
from bench.core.notes import BenchError
from bench.core.stick import Stick
from bench.data.bundle import knowledge
from bench.data.folders import data_folder
from bench.job.export import layout_to_csv, layout_to_json
from bench.job.layout import JobLayout, LaidStick, lay_out_job
from bench.job.records import RecordKind
from bench.job.written import job_to_written
from bench.language.write import printable, written
from bench.memory import jobs
from bench.memory.store import Store
from bench.sheet.figures import HOOK_WORDS, POINTS, handles, item_text, turns

_FRACTION = re.compile(r"-?\d+(/\d+)?")

_NAMES = frozenset({"stick", "name", "size", "run", "bend", "kind", "words", "conduit", "place", "bender"})
"""Keys of a record whose values are names even if they look like lengths: stick 2 is not two inches."""


def configure(parser: argparse.ArgumentParser) -> None:
    """Options of `bench jobs`."""
    views = ("list", "show", "export", "name", "records", "log")
    parser.add_argument("what", nargs="?", choices=views, default="list")
    parser.add_argument("job", nargs="?", type=int, help="the number of a job")
    parser.add_argument("words", nargs="?", help="with name: what to call it")
    parser.add_argument("--place", metavar="WORDS", help="with name: where the work is")
    parser.add_argument("--data", type=Path, default=None, metavar="DIR", help="the folder of jobs")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="JSON; lists print one object per line")
    form.add_argument("--csv", action="store_true", help="with show: one line per mark")


def run(args: argparse.Namespace) -> int:
    """Print what was requested. Raises BenchError when it does not exist."""
    if args.what in ("show", "export", "name", "records") and args.job is None:
        raise BenchError("Which job?", f"For instance: bench jobs {args.what} 1", code="no_number")
    if args.what == "name":
        return _name(args)
    with jobs.reading(args.data or data_folder()) as db:
        if args.what == "list":
            _print_jobs(jobs.jobs(db), args.json)
            return _tell_damaged(jobs.damaged(db))
        if args.what in ("show", "export"):
            _print_job(jobs.job(db, args.job), args)
        else:
            if args.job is not None:
                jobs.job(db, args.job)
            wanted = RecordKind.HEARD if args.what == "log" else None
            _print_entries(jobs.entries(db, args.job, wanted), args.json)
    return 0


def _name(args: argparse.Namespace) -> int:
    """Name a job. Raises BenchError when it does not exist, or Bench is running on these jobs."""
    if args.words is None and args.place is None:
        example = f'For instance: bench jobs name {args.job} "Boiler room 2"'
        raise BenchError("Give the job a name or a place.", example, code="no_name")
    folder = args.data or data_folder()
    with jobs.reading(folder) as db:
        jobs.job(db, args.job)
    with closing(Store(folder)) as store:
        job = rename(store, args.job, args.words, args.place)
    print(printable(f"Job {job.number}: {job.title}{f', {job.place}' if job.place else ''}"))
    return 0


def _tell_damaged(numbers: list[int]) -> int:
    """Report jobs that cannot be read, so that none is omitted silently."""
    for number in numbers:
        remedy = f"See its records: bench jobs records {number}"
        print(f"Job {number} is corrupted and cannot be read. {remedy}", file=sys.stderr)
    return 1 if numbers else 0


def local_day(at: str) -> str:
    """The local date of a UTC timestamp, empty when it is not valid."""
    return _time(at)[:10].strip() if _time(at)[:4].isdecimal() else ""


def _print_jobs(listed: list[jobs.KeptJob], as_json: bool) -> None:
    for kept in listed:
        job = kept.job
        bends = sum(len(stick.bent) for stick in job.sticks)
        if as_json:
            marked = sum(len(stick.marked) for stick in job.sticks)
            told = {"number": job.number, "name": job.name, "place": job.place, "begun": kept.begun}
            print(
                json.dumps(
                    told
                    | {"kinds": job.kinds, "finished": job.finished, "steps": marked + bends, "bends": bends}
                )
            )
            continue
        ended = "finished" if job.finished else "open"
        called = ", ".join(filter(None, (job.name, job.place)))
        title = printable(f"  {called}") if called else ""
        kinds = ", ".join(job.kinds)
        print(f"{job.number:>4}  {_time(kept.begun)}  {ended:<8}  {bends} bends  {kinds}{title}")
    if not listed and not as_json:
        print("No jobs yet. Start one with: bench")


def _print_job(kept: jobs.KeptJob, args: argparse.Namespace) -> None:
    if args.what == "export":
        print(json.dumps(job_to_written(kept.job), indent=2))
        return
    layout = lay_out_job(kept.job, knowledge())
    if args.json:
        print(json.dumps(layout_to_json(layout), indent=2))
    elif args.csv:
        sys.stdout.write(layout_to_csv(layout))
    else:
        print("\n".join(_job_lines(layout)))


def _job_lines(layout: JobLayout) -> Iterator[str]:
    job = layout.job
    place = f", {job.place}" if job.place else ""
    yield printable(f"{job.title}{place}: {'finished' if job.finished else 'open'}")
    for one in layout.sticks:
        yield from _stick_lines(one)
    if layout.run.materials:
        yield "Materials: " + "; ".join(item_text(item, job.units, {}) for item in layout.run.materials)
    for note in layout.run.cut_notes:
        yield f"Cuts: {written(note, job.units)}"


def _stick_lines(one: LaidStick) -> Iterator[str]:
    asked, units = one.asked, one.asked.units
    tools = (
        f"{asked.tools.size} {asked.tools.conduit.upper()}"
        if asked.tools.complete
        else "conduit not recorded"
    )
    yield printable(f"Stick {asked.name} (run {asked.run}): {tools}")
    if one.stick is not None:
        yield from _mark_lines(one.stick, one.bent, units)
    yield from (printable(f"  {written(note, units)}") for note in one.notes)
    if asked.not_recorded:
        yield f"  not recorded: {', '.join(asked.not_recorded)}"


def _mark_lines(stick: Stick, bent: Sequence[int], units: Units) -> Iterator[str]:
    """The marks in bending order, in columns."""
    marks, air = stick.in_order, stick.in_the_air
    for mark, turn, handle in zip(marks, turns(marks, air), handles(marks, air), strict=True):
        at = text(mark.at, units, stick.setup.scale)
        done = "bent" if int(mark.name) in bent else "to bend"
        held = f", handle {handle}" if handle else ""
        how = f"{POINTS[mark.reference]}, {HOOK_WORDS[mark.hook]}{held}"
        yield f"  mark {mark.name:>2}  {at:>10}  {angle_text(mark.bend):>5}  {turn:<10}  {how:<45}  {done}"
    if stick.cut_at is not None:
        yield f"  cut at   {text(stick.cut_at, units, stick.setup.scale):>9}"


def _print_entries(entries: list[jobs.Entry], as_json: bool) -> None:
    for entry in entries:
        if as_json:
            print(json.dumps({name: getattr(entry, name) for name in entry.__slots__}))
        else:
            said = _heard(entry.detail) if entry.kind == RecordKind.HEARD else _detail(entry.detail)
            print(f"{_time(entry.at)}  {entry.kind.replace('_', ' '):<14}  {said}")


def _heard(detail: Mapping[str, Any]) -> str:
    """What was heard, its confidence, and its meaning or why it was rejected."""
    meant = f"{detail.get('kind')} {_value(detail.get('value'))}"
    refused = f"not taken: {str(detail.get('trouble')).replace('_', ' ')}"
    made = refused if detail.get("trouble") else meant
    return f"{detail.get('words', '')!r} ({float(detail.get('confidence', 0)):.2f}) -> {made}"


def _detail(detail: Mapping[str, Any]) -> str:
    told = ((key, value) for key, value in detail.items() if value is not None)
    return ", ".join(f"{key.replace('_', ' ')} {_told(key, value)}" for key, value in told)


def _told(key: str, value: object) -> str:
    return printable(value) if isinstance(value, str) and key in _NAMES else _value(value)


def _value(value: object) -> str:
    """A value as text. Lengths are stored as exact fractions of an inch."""
    if isinstance(value, str) and _FRACTION.fullmatch(value):
        return text(Fraction(value))
    if isinstance(value, Mapping):
        return f"({_detail(value)})"
    if isinstance(value, list):
        return " / ".join(_value(one) for one in value)
    return f"{value:.2f}" if isinstance(value, float) else printable(str(value))


def _time(at: str) -> str:
    """The local time of a UTC timestamp."""
    try:
        return f"{datetime.fromisoformat(at).astimezone():%Y-%m-%d %H:%M:%S}"
    except (ValueError, OverflowError, OSError):
        return f"{at:<19}"
