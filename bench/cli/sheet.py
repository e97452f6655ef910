"""The job sheet on paper: each stick with its marks to scale, bend table, finished shape, materials,
cautions.

  bench sheet 3 -o job.pdf             job 3 as kept on this machine (see bench jobs)
  bench sheet latest -o job.svg        the job in hand
  bench sheet job.json -o job.pdf      a job written down as JSON
  bench sheet --csv list.csv -o x.pdf  a list of sticks to bend, one line a bend
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.data.folders import data_folder
from bench.memory import jobs
from bench.sheet.document import PAPERS, sheet_pdf, sheet_svg
from bench.sheet.from_json import sheet_job_from_json
from bench.sheet.kept import job_of_records, job_of_state
from bench.sheet.listing import columns, job_from_csv
from bench.sheet.output import write_file
from bench.sheet.tables import shared_tables


def configure(parser: argparse.ArgumentParser) -> None:
    """Options of `bench sheet`."""
    source = parser.add_mutually_exclusive_group(required=True)
    source.add_argument("job", nargs="?", help="number of a job, 'latest', or a JSON file")
    source.add_argument("--csv", type=Path, metavar="FILE", help=f"a list; columns: {', '.join(columns())}")
    parser.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="a .pdf or .svg file"
    )
    parser.add_argument("--force", action="store_true", help="replace the file if it is there")
    parser.add_argument(
        "--paper", choices=tuple(PAPERS), help="letter for inches, a4 for metric, unless named"
    )
    parser.add_argument("--metric", action="store_true", help="a bare number in the list is millimetres")
    parser.add_argument("--data", type=Path, metavar="DIR", help="the folder of jobs")
    parser.add_argument("--json", action="store_true", help="errors as JSON")


def run(args: argparse.Namespace) -> int:
    """Write the sheet. Raises BenchError when the job or the file cannot be read or written."""
    units = Units.METRIC if args.metric else Units.INCH
    raw = job_from_csv(args.csv, units) if args.csv else _job(args.job, args.data or data_folder())
    job, paper = sheet_job_from_json(raw, shared_tables()), args.paper or ""
    kind = args.output.suffix.lower()
    if kind not in (".pdf", ".svg"):
        raise BenchError(f"{args.output} is neither .pdf nor .svg.", "Name a file ending in .pdf or .svg.")
    content = sheet_pdf(job, paper) if kind == ".pdf" else sheet_svg(job, paper).encode()
    print(write_file(args.output, content, args.force))
    return 0


def _job(name: str, folder: Path) -> dict[str, Any]:
    if name == "latest" or name.isdecimal():
        with jobs.reading(folder) as db:
            kept = jobs.jobs(db)
            number = kept[-1].number if name == "latest" and kept else int(name) if name.isdecimal() else 0
            state = jobs.state(db)
            if kept and number == kept[-1].number and state is not None:
                return job_of_state(state, f"Job {number}")
            return job_of_records(jobs.entries(db, job=number), f"Job {number}")
    return _json_file(Path(name))


def _json_file(path: Path) -> dict[str, Any]:
    try:
        raw = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise BenchError(
            f"{path}: {reason}.", "Give a job number (see bench jobs) or a JSON file."
        ) from error
    if not isinstance(raw, dict):
        raise BenchError(f"{path} holds no job.", 'It must be {"name": ..., "sticks": [...]}.')
    return raw
