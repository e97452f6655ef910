"""`bench marks`, `bench simulate` and `bench bender`: the contract for programs, and text for people."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from bench.cli import main

Capture = pytest.CaptureFixture[str]

EVERY = {
    "offset": "--distance 40 --rise 6 --angle 30 --to-end 60",
    "saddle3": "--to-center 40 --height 3 --angle 22.5 --width 2",
    "saddle4": "--to-edge 40 --height 3 --width 6 --angle 30 --gap 1/2",
    "stub": "--height 12 --leg 30",
    "back-to-back": "--distance 40 --stub 12 --leg 12",
    "kick": "--distance 40 --rise 4 --angle 30",
    "rolling": "--distance 40 --rise 6 --roll 4",
    "box-offset": "--rise 1/2",
    "parallel": "--bend offset --distance 40 --rise 6 --angle 30 --spacing 2 --count 3",
    "segmented": "--radius 24 --angle 90 --shots 6",
}


def ran(capsys: Capture, line: str, *more: str) -> tuple[int, Any]:
    code = main([*line.split(), *more])
    return code, capsys.readouterr()


@pytest.mark.parametrize("method", ["book", "true"])
@pytest.mark.parametrize("kind", EVERY)
def test_marks_as_json(capsys: Capture, kind: str, method: str) -> None:
    code, out = ran(capsys, f"marks {kind}", *EVERY[kind].split(), "--json", "--method", method)
    plan = json.loads(out.out)
    assert code == 0
    assert (plan["bend"], plan["method"]) == (kind, method)
    assert {"take_up", "gain", "radius", "arc_start", "star", "notch"} <= plan["bender"].keys()
    assert {"rise", "crown_at", "legs_out_of_line", "dogleg", "clearance"} <= plan["finished"].keys()
    assert {
        "inputs",
        "shrink",
        "gain",
        "developed",
        "total_degrees",
        "other_method",
        "advice",
        "warnings",
    } <= plan.keys()
    for mark in plan["marks"]:
        assert {"name", "at", "at_text", "reference", "hook", "bend", "roll", "order"} <= mark.keys()
        assert mark["at"] * 16 == int(mark["at"] * 16)


@pytest.mark.parametrize("kind", EVERY)
def test_marks_as_text_and_drawing(capsys: Capture, tmp_path: Path, kind: str) -> None:
    drawing = tmp_path / "bend.svg"
    code, out = ran(capsys, f"marks {kind}", *EVERY[kind].split(), "--svg", str(drawing))
    assert code == 0
    assert "bend 1:  mark" in out.out
    assert "<svg" in drawing.read_text(encoding="utf-8")


def test_marks_refused_as_json(capsys: Capture) -> None:
    code, out = ran(capsys, "marks offset --distance 40 --rise 1/2 --angle 45 --json")
    error = json.loads(out.out)["error"]
    assert code == 2
    assert error["code"] == "rise_too_small"
    assert error["try"] == "An angle of 10° would work."


@pytest.mark.parametrize(
    "words",
    [
        "marks twist",
        "marks stub --height abc",
        "marks stub --height 12 --method guess",
        "marks stub --height 12 --bend offset",
        "marks stub --height 12 --conduit pvc",
        "marks stub --height 12 --to 0",
        "marks stub --height 12 --stick 9000",
        "marks stub --height 12 --take-up 1",
        "marks stub --height 12 --svg /nowhere/at/all.svg",
        "bender add",
        "bender add mine --take-up 5",
        "bender calibrate mine --stub 17 --leg 20 --before 34 --sprung 20",
    ],
)
def test_bad_requests_say_what_to_do(capsys: Capture, tmp_path: Path, words: str) -> None:
    code, out = ran(capsys, words, "--data", str(tmp_path))
    assert code == 2
    assert out.err.startswith("bench: ")
    assert len(out.err.splitlines()) == 2


def test_metric(capsys: Capture) -> None:
    _, out = ran(capsys, "marks stub --height 305 --size 16 --metric --json")
    plan = json.loads(out.out)
    assert plan["marks"][0]["at_text"] == "178 mm"
    assert plan["finished"]["rise"] == pytest.approx(305 / 25.4, abs=0.02)


def simulated(capsys: Capture, monkeypatch: pytest.MonkeyPatch, job: object) -> tuple[int, dict[str, Any]]:
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(job)))
    code, out = ran(capsys, "simulate - --json")
    return code, json.loads(out.out)


BENDER = {"take_up": 5, "gain": 2.423, "od": 0.706}


def test_simulate_the_marks_of_a_plan(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    _, out = ran(capsys, "marks saddle3 --to-center 40 --height 3 --json")
    plan = json.loads(out.out)
    code, shape = simulated(capsys, monkeypatch, {"bender": BENDER, "length": 120, "bends": plan["marks"]})
    assert code == 0
    assert shape["finished"]["rise"] == pytest.approx(plan["finished"]["rise"], abs=1e-5)
    assert shape["finished"]["crown_at"] == pytest.approx(plan["finished"]["crown_at"], abs=1e-5)
    assert shape["points"][0] == [0, 0, 0, 0]


def test_simulate_goes_up_with_roll_ninety(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    job = {"bender": BENDER, "length": "60", "bends": [{"at": "20", "bend": 90, "roll": 90}]}
    _, shape = simulated(capsys, monkeypatch, job)
    assert shape["finished"]["heading"] == pytest.approx([0, 0, 1], abs=1e-6)
    assert shape["finished"]["end"][1] == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    "job",
    [
        [],
        {"bends": 3},
        {"bends": []},
        {"bender": BENDER, "bends": [{"at": 20}]},
        {"bender": BENDER, "bends": [{"at": 20, "bend": 200}]},
        {"bender": BENDER, "bends": [{"at": 20, "bend": 30, "hook": "up"}]},
        {"bender": BENDER, "bends": [{"at": 119, "bend": 90}]},
        {"bender": BENDER, "bends": [{"at": 20, "bend": 90}, {"at": 22, "bend": 90}]},
        {"bender": {**BENDER, "gain": 0.1}, "bends": []},
    ],
)
def test_impossible_simulations_are_refused(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch, job: object
) -> None:
    code, out = simulated(capsys, monkeypatch, job)
    assert code == 2
    assert out["error"]["message"]


def test_own_benders(capsys: Capture, tmp_path: Path) -> None:
    data = ("--data", str(tmp_path))
    code, _ = ran(capsys, "bender calibrate mine --mark 12 --stub 17 --leg 20 --before 34.5", *data)
    assert code == 0
    _, out = ran(capsys, "bender list --json", *data)
    mine = json.loads(out.out.splitlines()[0])
    assert (mine["name"], mine["take_up"], mine["gain"]) == ("mine", 5.0, 2.5)
    _, out = ran(capsys, "marks stub --height 12 --bender mine --json", *data)
    assert json.loads(out.out)["bender"]["gain"] == 2.5
    code, _ = ran(capsys, "bender add mine --take-up 8 --gain 2.5", *data)
    assert code == 1  # kept, but a take-up of 8 is worth a second look
    code, _ = ran(capsys, "bender forget mine", *data)
    assert code == 0
    code, out = ran(capsys, "marks stub --height 12 --bender mine", *data)
    assert code == 2


def test_a_damaged_bender_file_is_reported(capsys: Capture, tmp_path: Path) -> None:
    (tmp_path / "benders.json").write_text("{", encoding="utf-8")
    code, out = ran(capsys, "bender list", "--data", str(tmp_path))
    assert code == 2
    assert "damaged" in out.err
