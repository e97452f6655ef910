"""The job in hand on paper, written while the conversation goes on."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from bench.core.notes import BenchError
from bench.core.run import Section, plan_run
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.plans import layout_of, setup_of
from bench.dialogue.state import State
from bench.sheet.document import job_sheet_pdf
from bench.sheet.job import SheetJob, SheetStick

FOLDER = "sheets"


def sheet_job(state: State, knowledge: Knowledge, name: str, day: str) -> SheetJob:
    """Every stick so far and the one in hand, worked out afresh. Raises BenchError when there is none."""
    place = state.now
    sticks = (*place.done, place.stick) if place.stick.bends else place.done
    if not sticks:
        raise BenchError("There is no stick to put on paper yet.", "Mark one first.", code="no_sticks")
    laid = [
        SheetStick(
            stick.name, layout_of(stick, setup_of(replace(place, stick=stick), state.units, knowledge))
        )
        for stick in sticks
    ]
    run = plan_run([Section(str(place.run), tuple(one.stick for one in laid))], knowledge.limits)
    names = {**knowledge.words, **{kind: flow.name for kind, flow in knowledge.flows.items()}}
    return SheetJob(name, state.units, tuple(laid), run, knowledge.cautions, names, day)


def write_sheet(state: State, knowledge: Knowledge, folder: Path) -> Path:
    """Write the job sheet beside the jobs; where it is. Raises BenchError when it cannot be written."""
    today = date.today().isoformat()
    path = folder / FOLDER / f"job sheet {today}.pdf"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        remedy = f"Make {folder} writable."
        raise BenchError("The job sheet cannot be written.", remedy, code="sheet_unwritable") from error
    job_sheet_pdf(sheet_job(state, knowledge, f"Run {state.now.run}", today), path)
    return path
