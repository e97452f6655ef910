"""Writes the job sheet of the current job while the conversation goes on."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from bench.core.bends.catalogue import labels
from bench.core.notes import BenchError
from bench.dialogue.knowledge import Knowledge
from bench.job.layout import lay_out_job
from bench.job.model import Job
from bench.sheet.document import write_sheet as write_job_sheet
from bench.sheet.from_layout import sheet_job

FOLDER = "sheets"


def sheet_names(knowledge: Knowledge) -> dict[str, str]:
    """Trade terms and names of bends as they are printed on paper."""
    kinds = {kind: kind.upper() for kind in knowledge.kinds()}
    return {**labels(), **{kind: flow.name for kind, flow in knowledge.flows.items()}, **kinds}


def write_sheet(job: Job, knowledge: Knowledge, folder: Path) -> Path:
    """Write the job sheet to the jobs' folder and return its path. Raises BenchError when it cannot be written."""
    if not job.sticks:
        raise BenchError("There is no stick to put on paper yet.", "Mark one first.", code="no_sticks")
    today = date.today().isoformat()
    sheet = sheet_job(lay_out_job(job, knowledge), knowledge.cautions, sheet_names(knowledge), today)
    return write_job_sheet(sheet, folder / FOLDER)
