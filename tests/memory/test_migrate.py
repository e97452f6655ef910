"""Jobs written by version 0.1: `version1.sql` is a file that version wrote, the marks below are those it spoke.

Its sheet of an earlier job printed other marks than it had spoken, for another conduit (finding of the review of
version 0.1); these must come back as they were said.
"""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from fractions import Fraction
from pathlib import Path

import pytest
from pypdf import PdfReader

from bench.cli import main
from bench.core.lengths import text
from bench.data.bundle import knowledge
from bench.dialogue.state import state_from_json
from bench.job.layout import lay_out_job
from bench.job.model import Job
from bench.memory import jobs, schema
from bench.memory.migrate import SPOKEN, TYPICAL
from bench.memory.store import Store

SPOKEN_BY_VERSION_1 = {
    1: [("3/4", ["22 9/16", "38 3/16", "62 1/2", "72 15/16"], [180, 0, 90, 270])],
    2: [("1/2", ["9"], [0]), ("1/2", ["11"], [0])],
    3: [("1/2", ["27 1/8"], [0])],
}
"""For each job its sticks: trade size, marks from the tape end, and the turn of each against the first bend."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A data folder as version 0.1 left it."""
    script = (Path(__file__).parent / "version1.sql").read_text("utf-8")
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db:
        db.executescript(script)
    return tmp_path


def kept(folder: Path) -> dict[int, Job]:
    with jobs.reading(folder) as db:
        return {one.job.number: one.job for one in jobs.jobs(db)}


def test_every_mark_is_as_it_was_spoken(folder: Path) -> None:
    found = kept(folder)
    assert list(found) == list(SPOKEN_BY_VERSION_1)
    for number, sticks in SPOKEN_BY_VERSION_1.items():
        layout = lay_out_job(found[number], knowledge())
        for one, (size, marks, turns) in zip(layout.sticks, sticks, strict=True):
            assert one.stick is not None
            assert one.asked.tools.size == size
            assert [text(mark.at).rstrip('"') for mark in one.stick.marks] == marks
            assert [mark.roll for mark in one.stick.marks] == turns


def test_reading_an_old_file_leaves_it_alone(folder: Path) -> None:
    before = (folder / "jobs.db").read_bytes()
    kept(folder)
    assert (folder / "jobs.db").read_bytes() == before


def test_opening_it_brings_it_up_and_keeps_the_old_one(folder: Path) -> None:
    before = kept(folder)
    with closing(Store(folder)) as store:
        assert store.next_job() == 4
        state = state_from_json(store.load() or {})
        assert state.now.job == before[3]
    assert kept(folder) == before
    assert (folder / "jobs.version1.db").exists()


def test_what_was_not_recorded_is_named(folder: Path) -> None:
    found = kept(folder)
    assert [stick.not_recorded for stick in found[1].sticks] == [(SPOKEN, TYPICAL, "units")]
    assert [stick.not_recorded for stick in found[3].sticks] == [(SPOKEN, TYPICAL)]
    assert found[1].finished
    assert not found[3].finished


@pytest.mark.parametrize("number", SPOKEN_BY_VERSION_1)
def test_paper_of_an_earlier_job(folder: Path, number: int) -> None:
    """Read back from the PDF by another library: the marks, their conduit, and what was not recorded."""
    out = folder / "job.pdf"
    assert main(["sheet", str(number), "-o", str(out), "--data", str(folder)]) == 0
    printed = "\n".join(page.extract_text() for page in PdfReader(out).pages)
    for size, marks, _ in SPOKEN_BY_VERSION_1[number]:
        assert f"{size} EMT" in printed
        for mark in marks:
            assert f'{mark}"' in printed


def test_a_bender_that_was_not_recorded_gives_no_marks(folder: Path) -> None:
    """Version 0.1 wrote `mine` and not its numbers: no other bender steps in for it."""
    with closing(sqlite3.connect(folder / "jobs.db")) as db:
        db.execute(
            """UPDATE records SET detail = replace(detail, '"typical"', '"mine"') WHERE kind = 'set_up'"""
        )
        db.commit()
    job = kept(folder)[1]
    assert "bender" in job.sticks[0].not_recorded
    (one,) = lay_out_job(job, knowledge()).sticks
    assert one.stick is None
    assert main(["sheet", "1", "-o", str(folder / "job.pdf"), "--data", str(folder)]) == 0
    printed = "\n".join(page.extract_text() for page in PdfReader(folder / "job.pdf").pages)
    assert '22 9/16"' not in printed


def test_a_bender_that_was_recorded_is_found(folder: Path) -> None:
    numbers = {"conduit": "emt", "size": "3/4", "take_up": "97/16", "gain": "13/4", "springback": 2.0}
    with closing(sqlite3.connect(folder / "jobs.db")) as db:
        db.execute(
            """UPDATE records SET detail = replace(detail, '"typical"', '"mine"') WHERE kind = 'set_up'"""
        )
        db.execute("INSERT INTO records VALUES (0, 0, '', 'bender', ?)", (json.dumps(numbers),))
        db.commit()
    (stick,) = kept(folder)[1].sticks
    assert stick.tools.profile is not None
    assert stick.tools.profile.take_up == Fraction(97, 16)
    assert "bender" not in stick.not_recorded


@pytest.mark.parametrize("broken", ["state", "records"])
def test_what_cannot_be_read_stops_nothing(folder: Path, broken: str) -> None:
    with closing(sqlite3.connect(folder / "jobs.db")) as db:
        db.execute(f"UPDATE {broken} SET detail = '{{\"now\": 5}}'")
        db.commit()
    found = kept(folder)
    assert set(found) >= ({1, 2, 3} if broken == "state" else {3})


def test_a_failed_migration_changes_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(db: sqlite3.Connection) -> None:
        db.execute("INSERT INTO jobs VALUES (9, '', '', '', '')")
        raise sqlite3.OperationalError("disk full")

    monkeypatch.setattr(schema, "FILL", {2: fails})
    path = folder / "jobs.db"
    with closing(schema.connect(path)) as db, pytest.raises(sqlite3.OperationalError):
        schema.upgrade(db, path)
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (1,)
        assert db.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'jobs'").fetchone() == (0,)
