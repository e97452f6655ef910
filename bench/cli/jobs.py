"""The jobs kept on this machine: list them, show one, or look at the log of what was heard.

  bench jobs            every job, newest last
  bench jobs show 3     everything written down in job 3, in order
  bench jobs log        what was heard, how sure it was, what it was taken for and why not
  bench jobs log 3      the same for job 3 alone

Times are of the clock of the machine; the order is that in which things happened, whatever the clock said.
"""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

from bench.core.lengths import text
from bench.core.notes import BenchError
from bench.data.folders import data_folder
from bench.job.records import RecordKind
from bench.memory import jobs

_FRACTION = re.compile(r"-?\d+(/\d+)?")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("what", nargs="?", choices=("list", "show", "log"), default="list")
    parser.add_argument("job", nargs="?", type=int, help="the number of a job")
    parser.add_argument("--data", type=Path, default=None, metavar="DIR", help="the folder of jobs")
    parser.add_argument("--json", action="store_true", help="one JSON object a line")


def run(args: argparse.Namespace) -> int:
    with jobs.reading(args.data or data_folder()) as db:
        listed = jobs.jobs(db)
        if args.what == "list":
            return _print_jobs(listed, args.json)
        if args.what == "show" and args.job is None:
            raise BenchError("Which job?", "For instance: bench jobs show 1", code="no_number")
        if args.job is not None and args.job not in {job.number for job in listed}:
            numbers = ", ".join(str(job.number) for job in listed) or "none"
            raise BenchError(f"There is no job {args.job}.", f"There are: {numbers}.", code="no_such_job")
        _print_entries(
            jobs.entries(db, args.job, RecordKind.HEARD if args.what == "log" else None), args.json
        )
    return 0


def _print_jobs(listed: list[jobs.Job], as_json: bool) -> int:
    for job in listed:
        if as_json:
            print(json.dumps({name: getattr(job, name) for name in job.__slots__}))
            continue
        ended = "finished" if job.finished else "open"
        print(f"{job.number:>4}  {_time(job.begun)}  {ended:<8}  {job.bends} bends  {', '.join(job.kinds)}")
    if not listed and not as_json:
        print("No jobs yet. Start one with: bench")
    return 0


def _print_entries(entries: list[jobs.Entry], as_json: bool) -> None:
    for entry in entries:
        if as_json:
            print(json.dumps({name: getattr(entry, name) for name in entry.__slots__}))
        else:
            said = _heard(entry.detail) if entry.kind == RecordKind.HEARD else _detail(entry.detail)
            print(f"{_time(entry.at)}  {entry.kind.replace('_', ' '):<14}  {said}")


def _heard(detail: Mapping[str, Any]) -> str:
    """What was heard, how sure, and what was made of it or why nothing was."""
    meant = f"{detail.get('kind')} {_value(detail.get('value'))}"
    refused = f"not taken: {str(detail.get('trouble')).replace('_', ' ')}"
    made = refused if detail.get("trouble") else meant
    return f"{detail.get('words', '')!r} ({float(detail.get('confidence', 0)):.2f}) -> {made}"


def _detail(detail: Mapping[str, Any]) -> str:
    told = ((key, value) for key, value in detail.items() if value is not None)
    return ", ".join(f"{key.replace('_', ' ')} {_value(value)}" for key, value in told)


def _value(value: object) -> str:
    """Lengths are kept as exact fractions of an inch, as text."""
    if isinstance(value, str) and _FRACTION.fullmatch(value):
        return text(Fraction(value))
    if isinstance(value, Mapping):
        return f"({_detail(value)})"
    if isinstance(value, list):
        return " / ".join(_value(one) for one in value)
    return f"{value:.2f}" if isinstance(value, float) else str(value)


def _time(at: str) -> str:
    """The local time of a moment kept in UTC."""
    try:
        return f"{datetime.fromisoformat(at).astimezone():%Y-%m-%d %H:%M:%S}"
    except (ValueError, OverflowError, OSError):
        return f"{at:<19}"
