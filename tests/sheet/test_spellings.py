"""Both spellings of a measure's name are read: on the command line, in lists, in jobs kept by version 0.1."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from bench.cli import main
from bench.dialogue.state import Place, State, state_from_json, state_to_json
from bench.job.listing import job_from_csv
from bench.job.model import JobBend

WANTED = Fraction(36)


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
def test_list(head: str) -> None:
    job = job_from_csv(f"stick,bend,{head},height\nA,saddle3,36,2\n", "list.csv")
    assert job.sticks[0].bends[0].measures["to_center"] == WANTED


def test_state_of_version_0_1() -> None:
    bend = JobBend("saddle3", (("to_center", WANTED), ("height", Fraction(2)), ("width", None)))
    kept = json.dumps(state_to_json(State(now=Place(bend=bend))))
    older = json.loads(kept.replace("to_center", "to_centre"))
    assert older != json.loads(kept)
    assert state_from_json(older).now.bend == bend
