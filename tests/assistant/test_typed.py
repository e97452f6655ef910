"""The dialogue without sound or screen: lines in, lines out, everything saved."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

import pytest

from bench.assistant.assembly import Options
from bench.assistant.fronts import run_typed
from bench.assistant.plain import PlainDisplay
from bench.data.bundle import knowledge
from bench.dialogue.effects import View
from bench.memory import jobs
from bench.memory.store import Store
from tests.dialogue.conversation import SADDLE


def typed(folder: Path, lines: Sequence[str], **options: object) -> list[str]:
    """Every line printed for these lines typed."""
    out = io.StringIO()
    assistant = run_typed(folder, Options(**options), knowledge(), lines, out)  # type: ignore[arg-type]
    assert assistant.session.faults == []
    assert assistant.close()
    return out.getvalue().splitlines()


def test_each_line_has_the_verb_the_number_and_the_sentence(tmp_path: Path) -> None:
    printed = typed(tmp_path, [*SADDLE, "yes"])
    assert len(printed) == len(SADDLE) + 2
    assert printed[-1].startswith("MARK  ")
    assert "|  Mark one at " in printed[-1]
    assert "thirty-one and a quarter" in printed[-2], "the whole set is read back"


def test_an_empty_line_is_the_next_key(tmp_path: Path) -> None:
    marks = [line for line in typed(tmp_path, [*SADDLE, "yes", "", "  ", ""]) if line.startswith("MARK")]
    assert len(marks) == 3


def test_the_end_of_the_lines_ends_it_with_everything_kept(tmp_path: Path) -> None:
    typed(tmp_path, [*SADDLE, "yes", ""])
    again = typed(tmp_path, ["yes"])
    assert "Go on from there?" in again[0]
    assert again[1].startswith("MARK")
    with jobs.reading(tmp_path) as db:
        (job,) = jobs.jobs(db)
        assert (job.job.kinds, job.job.finished, job.job.sticks[0].marked) == (("saddle3",), False, (1,))


def test_goodbye_ends_before_the_lines_do(tmp_path: Path) -> None:
    steps = [*SADDLE, "yes", *["next"] * 7, *["it fits"] * 4, "next", "finish the job", "yes"]
    printed = typed(tmp_path, [*steps, "goodbye", "emt", "emt"])
    assert "Goodbye" in printed[-1]
    with jobs.reading(tmp_path) as db:
        assert jobs.jobs(db)[0].job.finished


def test_every_line_tells_that_it_is_paused_and_the_first_how_to_go_on(tmp_path: Path) -> None:
    *_, paused, ignored, back = typed(tmp_path, [*SADDLE, "wait", "go on", "start listening"])
    assert paused.startswith("PAUSED  ")
    assert "Say start listening" in paused
    assert ignored.startswith("PAUSED  "), "only the wake phrase counts"
    assert not back.startswith("PAUSED")


def test_metric_from_the_start(tmp_path: Path) -> None:
    lines = ("emt", "twenty one", "three point saddle", "eight hundred", "sixty", "skip", "yes")
    printed = typed(tmp_path, lines, metric=True)
    assert " mm" in printed[-1]


def test_the_job_sheet_is_written_by_voice(tmp_path: Path) -> None:
    steps = [*SADDLE, "yes", *["next"] * 7, *["it fits"] * 4, "next", "job sheet"]
    printed = typed(tmp_path, steps)
    assert "sheets" in printed[-1]
    (sheet,) = (tmp_path / "sheets").iterdir()
    assert sheet.read_bytes().startswith(b"%PDF-")


def test_a_bender_calibrated_by_voice_is_kept_with_the_others(tmp_path: Path) -> None:
    lines = (
        "emt",
        "three quarter",
        "calibrate",
        "next",
        "eighteen",
        "twenty four",
        "thirty nine and an eighth",
        "skip",
    )
    typed(tmp_path, [*lines, "yes"])
    for file in tmp_path.glob("jobs.*"):
        file.unlink()
    printed = typed(tmp_path, ["emt", "three quarter", "mine"])
    assert "Which bend" in printed[-1], "another job file, and the bender is still there"


def test_settings_given_once_are_remembered(tmp_path: Path) -> None:
    typed(tmp_path, ["emt"], given={"mic": "USB", "theme": None})
    store = Store(tmp_path)
    assert store.settings() == {"mic": "USB"}
    store.close()


def test_a_second_one_on_the_same_jobs_is_refused(tmp_path: Path) -> None:
    store = Store(tmp_path)
    with pytest.raises(Exception, match="already running"):
        typed(tmp_path, ["emt"])
    store.close()


def test_a_damaged_job_file_is_told_and_the_job_goes_on(tmp_path: Path) -> None:
    (tmp_path / "jobs.db").write_bytes(b"no database" * 1000)
    printed = typed(tmp_path, ["emt"])
    assert "damaged" in printed[1]
    assert "jobs.damaged-1.db" in printed[2], "where it is kept is on the screen"
    assert printed[-1].startswith("CHOOSE  SIZE?")


def test_a_line_goes_out_at_once() -> None:
    """A program that reads the lines waits for each before it writes the next."""
    pipe = io.BytesIO()
    out = io.TextIOWrapper(pipe, "utf-8")
    PlainDisplay(out).show(View("MARK", '27"', said="Mark one."))
    assert b"Mark one." in pipe.getvalue()
    out.close()
