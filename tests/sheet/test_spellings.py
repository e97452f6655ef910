"""Both spellings of a measure's name are read: on the command line, in lists, in jobs kept by version 0.1."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from bench.cli import main
from bench.dialogue.state import Place, State, state_from_json, state_to_json
from bench.job.model import JobBend
from bench.sheet.from_json import measures_of, read_job
from bench.sheet.kept import job_of_records
from bench.sheet.listing import job_from_csv

WANTED = Fraction(36)


@dataclass(frozen=True)
class Record:
    """One record as version 0.1 wrote it."""

    kind: str
    detail: dict[str, Any] = field(default_factory=dict)


def measures_in(job: dict[str, Any]) -> dict[str, object]:
    """The measures of the only bend of a job given as plain data."""
    (stick,) = read_job(job).sticks
    (bend,) = stick.bends
    return dict(measures_of(bend, read_job(job).units))


@pytest.mark.parametrize("option", ["--to-centre", "--to-center"])
def test_command_line(option: str, capsys: pytest.CaptureFixture[str]) -> None:
    main(["marks", "saddle3", option, "36", "--height", "2", "--json"])
    assert json.loads(capsys.readouterr().out)["inputs"]["to_center"] == 36


@pytest.mark.parametrize("place", ["centre", "center"])
def test_simulated_obstruction(place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bender = {"take_up": 5, "gain": 2.6, "od": 0.7}
    job = {"bender": bender, "length": 60, "bends": [], "obstructions": [{place: 30, "diameter": 2}]}
    (tmp_path / "job.json").write_text(json.dumps(job), "utf-8")
    assert main(["simulate", str(tmp_path / "job.json")]) in (0, 1)
    assert json.loads(capsys.readouterr().out)["points"]


@pytest.mark.parametrize("head", ["to_centre", "to_center"])
def test_list(head: str, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text(f"stick,bend,{head},height\nA,saddle3,36,2\n", "utf-8")
    assert measures_in(job_from_csv(tmp_path / "list.csv"))["to_center"] == WANTED


def test_state_of_version_0_1() -> None:
    bend = JobBend("saddle3", (("to_center", WANTED), ("height", Fraction(2)), ("width", None)))
    kept = json.dumps(state_to_json(State(now=Place(bend=bend))))
    older = json.loads(kept.replace("to_center", "to_centre"))
    assert older != json.loads(kept)
    assert state_from_json(older).now.bend == bend


def test_records_of_version_0_1() -> None:
    detail = {
        "stick": "1",
        "kind": "saddle3",
        "method": "true",
        "measures": {"to_centre": "36", "height": "2"},
    }
    set_up = Record("set_up", {"conduit": "emt", "size": "1/2"})
    job = job_of_records([set_up, Record("bend_done", detail)], "job 1")
    assert measures_in(job)["to_center"] == WANTED
