"""Jobs with names, on disk: named by voice and by command, found again, on paper."""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader

from bench.assistant.assembly import Options
from bench.assistant.fronts import run_typed
from bench.assistant.lookup import jobs_found
from bench.cli import main
from bench.data.bundle import knowledge
from bench.job.model import Job
from bench.memory.jobs import KeptJob

FIRST = (
    *("emt", "three quarter", "typical", "call this job boiler room two", "the place is second floor east"),
    *("this run is panel A to box three", "stub fourteen", "yes"),
)
TO_AFTER = ("next", "next", "next", "it fits", "it fits", "it fits", "next", "next", "next")


def said(folder: Path, *lines: str) -> str:
    """What is shown and said in a session of these lines."""
    out = io.StringIO()
    assert run_typed(folder, Options(), knowledge(), lines, out).close()
    return out.getvalue()


def test_a_job_is_found_by_its_name_and_bent_again(tmp_path: Path) -> None:
    said(tmp_path, *FIRST, *TO_AFTER, "finish the job", "yes", "goodbye")
    told = said(tmp_path, "list jobs", "find boiler room two", "yes", "yes")
    assert "Kept: Boiler room two, today." in told
    assert "Boiler room two, today, sticks: one. The same bends again?" in told
    assert 'MARK  8"' in told.splitlines()[-1]


def test_the_place_and_the_run_find_it_too(tmp_path: Path) -> None:
    said(tmp_path, *FIRST, *TO_AFTER, "finish the job", "yes", "goodbye")
    for name in ("second floor east", "panel a to box three", "job one"):
        assert "The same bends again?" in said(tmp_path, f"find {name}", "no", "goodbye")


def test_a_name_by_command_is_the_name_from_then_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said(tmp_path, *FIRST)
    folder = str(tmp_path)
    assert main(["jobs", "name", "1", "Smith's barn", "--place", "42 Mill Road", "--data", folder]) == 0
    said(tmp_path, "yes", *TO_AFTER)
    capsys.readouterr()
    assert main(["jobs", "--data", folder]) == 0
    assert "Smith's barn, 42 Mill Road" in capsys.readouterr().out
    assert main(["sheet", "1", "-o", str(tmp_path / "sheet.pdf"), "--data", folder]) == 0
    paper = "\n".join(page.extract_text() for page in PdfReader(tmp_path / "sheet.pdf").pages)
    for name in ("Smith's barn", "42 Mill Road", "Panel A to box 3"):
        assert name in paper


def test_a_name_is_not_given_while_bench_is_running(tmp_path: Path) -> None:
    out = io.StringIO()
    running = run_typed(tmp_path, Options(), knowledge(), FIRST, out)
    assert main(["jobs", "name", "1", "barn", "--data", str(tmp_path)]) == 2
    assert running.close()


@pytest.mark.parametrize("words", [["9", "barn"], ["1"], ["1", "x" * 81]])
def test_what_cannot_be_named_is_said(tmp_path: Path, words: list[str]) -> None:
    said(tmp_path, *FIRST)
    assert main(["jobs", "name", *words, "--data", str(tmp_path)]) == 2


@pytest.mark.parametrize(("ago", "days"), [(0, 0), (1, 1), (9, 9), (-3, 0)])
def test_days_are_counted_by_the_calendar(ago: int, days: int) -> None:
    now = datetime.now().astimezone()
    changed = (now - timedelta(days=ago)).isoformat()
    found = jobs_found("", [KeptJob(changed, changed, Job(1)), KeptJob("?", "?", Job(2))], now)
    assert [(job.number, job.days) for job in found.jobs if job.number == 1] == [(1, days)]
    assert [job.days for job in found.jobs if job.number == 2] == [0]
