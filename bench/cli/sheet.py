"""Write the job sheet: each stick with its marks to scale, bend table, finished shape, materials,
cautions.

  bench sheet 3 -o job.pdf             job 3 as stored on this machine (see bench jobs)
  bench sheet latest -o job.svg        the current job
  bench sheet job.json -o job.pdf      a job in a JSON file
  bench sheet --csv list.csv -o x.pdf  a list of sticks to bend, one line per bend
"""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from bench.assistant.paper import sheet_names
from bench.assistant.queue import read_list
from bench.cli.jobs import local_day
from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.data.folders import data_folder
from bench.data.reading import read_text_file
from bench.job.layout import lay_out_job
from bench.job.listing import columns
from bench.job.model import Job, Tools
from bench.job.written import job_from_written
from bench.memory import jobs
from bench.sheet.document import PAPERS, refuse_too_many, sheet_pdf, sheet_svg
from bench.sheet.from_layout import sheet_job
from bench.sheet.output import write_file


def configure(parser: argparse.ArgumentParser) -> None:
    """Options of `bench sheet`."""
    source = parser.add_mutually_exclusive_group(required=True)
    source.add_argument("job", nargs="?", help="number of a job, 'latest', or a JSON file")
    source.add_argument("--csv", type=Path, metavar="FILE", help=f"a list; columns: {', '.join(columns())}")
    parser.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="a .pdf or .svg file"
    )
    parser.add_argument("--force", action="store_true", help="replace an existing file")
    parser.add_argument("--paper", choices=tuple(PAPERS), help="default: letter for inches, a4 for metric")
    parser.add_argument("--name", metavar="WORDS", help="the name of the job on paper")
    parser.add_argument("--place", metavar="WORDS", help="where the work is")
    parser.add_argument(
        "--conduit", metavar="emt|rmc|imc|aluminum|coated|metric", help="the conduit of the sticks of a list"
    )
    parser.add_argument("--size", metavar="3/4", help="their trade size")
    parser.add_argument(
        "--metric", action="store_true", help="numbers without a unit in the list are millimeters"
    )
    parser.add_argument("--data", type=Path, metavar="DIR", help="the folder of jobs")
    parser.add_argument("--json", action="store_true", help="errors as JSON")


def run(args: argparse.Namespace) -> int:
    """Write the sheet. Raises BenchError when the job or the file cannot be read or written."""
    kind = args.output.suffix.lower()
    if kind not in (".pdf", ".svg"):
        raise BenchError(f"{args.output} is neither .pdf nor .svg.", "Name a file ending in .pdf or .svg.")
    job, day = _job(args)
    refuse_too_many(len(job.sticks))
    job = replace(job, name=args.name or job.name, place=args.place or job.place)
    known, paper = knowledge(), args.paper or ""
    sheet = sheet_job(lay_out_job(job, known), known.cautions, sheet_names(known), day)
    content = sheet_pdf(sheet, paper) if kind == ".pdf" else sheet_svg(sheet, paper).encode()
    print(write_file(args.output, content, args.force))
    return 0


def _job(args: argparse.Namespace) -> tuple[Job, str]:
    """The job to print and its date."""
    today = date.today().isoformat()
    if args.csv:
        units = Units.METRIC if args.metric else Units.INCH
        return _with_tools(read_list(args.csv, units), args), today
    if args.job == "latest" or args.job.isdecimal():
        kept = _kept(args.job, args.data or data_folder())
        return kept.job, local_day(kept.changed) or today
    raw = _json_file(Path(args.job))
    return _with_tools(job_from_written(raw), args), str(raw.get("date") or today)


def _kept(name: str, folder: Path) -> jobs.KeptJob:
    with jobs.reading(folder) as db:
        if name != "latest":
            return jobs.job(db, int(name))
        newest = jobs.newest(db)
        if not newest:
            raise BenchError(f"There are no jobs in {folder}.", "Start one with: bench", code="no_jobs")
        return jobs.job(db, newest)


def _with_tools(job: Job, args: argparse.Namespace) -> Job:
    """The job with the command line's conduit and size for sticks that name none."""
    if not (args.conduit and args.size):
        return job
    tools = Tools(args.conduit, args.size)
    sticks = (stick if stick.tools.complete else replace(stick, tools=tools) for stick in job.sticks)
    return replace(job, sticks=tuple(sticks))


def _json_file(path: Path) -> dict[str, Any]:
    remedy = "Give a job number (see bench jobs) or a JSON file."
    try:
        raw = json.loads(read_text_file(path, remedy))
    except (ValueError, RecursionError) as error:
        raise BenchError(f"{path}: {error}.", remedy) from error
    if not isinstance(raw, dict):
        raise BenchError(f"{path} does not contain a job.", 'It must be {"name": ..., "sticks": [...]}.')
    return raw
