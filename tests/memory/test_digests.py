"""Damage is told and never used: rows and files that no longer match their digest are set aside by name."""

from __future__ import annotations

import json
import random
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from bench.assistant.assembly import Options, conversation
from bench.assistant.benders import kept_profiles
from bench.assistant.session import Session
from bench.cli import main
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.dialogue.commands import COMMANDS
from bench.dialogue.effects import Effect, Say, Show
from bench.dialogue.events import Key, Pressed, Said
from bench.dialogue.prompt import Turn
from bench.dialogue.state import Stage, State
from bench.job.model import Profile
from bench.job.records import RecordKind
from bench.language.meaning import typed
from bench.memory import jobs, schema
from bench.memory.benders import BenderFile
from bench.memory.damage import BACKUP
from bench.memory.learned import LearnedFile
from bench.memory.store import Store
from tests.benchmarks.fuzz import learned_before

KNOWN = knowledge()
OWN = Profile("mine", "emt", "1/2", Fraction(81, 16), Fraction(41, 16), 2.0)


class Talk:
    """A person at a real session on a folder."""

    def __init__(self, folder: Path, options: Options | None = None) -> None:
        self.effects: list[Effect] = []
        self.store = Store(folder)
        talk = conversation(KNOWN, options or Options(), self.store)
        self.session: Session[State] = Session(talk, self.store, self.effects.extend)
        self.session.begin()

    def say(self, *phrases: str) -> None:
        for words in phrases:
            self.effects.clear()
            self.session.handle(Said(typed(words)))

    @property
    def said(self) -> str:
        return " ".join(effect.words for effect in self.effects if isinstance(effect, Say))

    @property
    def shown(self) -> str:
        (view,) = [effect.view for effect in self.effects if isinstance(effect, Show)][-1:]
        return " ".join((view.verb, view.number, *view.lines, *view.troubles))


def worked(folder: Path) -> None:
    """A folder with one finished job and one in the middle of its marks."""
    talk = Talk(folder)
    with closing(talk.store):
        talk.say("emt", "half inch", "typical", "ninety", "fourteen", "yes", *["next"] * 8)
        talk.say("finish the job", "yes", "new stick", "offset", "forty", "six", "yes", "next")
        assert talk.session.state.now.stage is Stage.WORK


def change(folder: Path, table: str, where: str, seed: int) -> None:
    """One digit of a row's text changed, as a bad sector or a stray hand would."""
    with closing(sqlite3.connect(folder / "jobs.db")) as db:
        (text,) = db.execute(f"SELECT detail FROM {table} {where}").fetchone()
        digits = [at for at, letter in enumerate(text) if letter.isdecimal()]
        at = random.Random(seed).choice(digits)
        other = str((int(text[at]) + 3) % 10)
        db.execute(f"UPDATE {table} SET detail = ? {where}", (text[:at] + other + text[at + 1 :],))
        db.commit()


@pytest.mark.parametrize("seed", range(5))
def test_a_changed_state_is_told_and_not_used(tmp_path: Path, seed: int) -> None:
    worked(tmp_path)
    change(tmp_path, "state", "", seed)
    talk = Talk(tmp_path)
    with closing(talk.store):
        assert "damaged" in talk.said
        assert "bench jobs" in talk.shown
        assert talk.session.state.now.stage is Stage.CONDUIT
        assert talk.session.state.now.job_number == 3, "no earlier job is written over"
        assert not talk.session.faults
    with jobs.reading(tmp_path) as db:
        assert [kept.job.number for kept in jobs.jobs(db)] == [1, 2]
        assert len(jobs.entries(db, kind=RecordKind.STATE_NOT_READ)) == 1


@pytest.mark.parametrize("seed", range(5))
def test_a_changed_job_is_named_and_not_printed(
    tmp_path: Path, seed: int, capsys: pytest.CaptureFixture[str]
) -> None:
    worked(tmp_path)
    change(tmp_path, "jobs", "WHERE number = 1", seed)
    assert main(["jobs", "--data", str(tmp_path)]) == 1
    listed = capsys.readouterr()
    assert "Job 1 is corrupted" in listed.err
    assert "offset" in listed.out
    assert main(["sheet", "1", "-o", str(tmp_path / "a.pdf"), "--data", str(tmp_path)]) == 2
    assert not (tmp_path / "a.pdf").exists()
    assert main(["jobs", "records", "1", "--data", str(tmp_path)]) == 2


def test_a_state_from_the_backup_is_said_to_be_older(tmp_path: Path) -> None:
    """A copy made at the last start must not pass for the last step."""
    worked(tmp_path)
    with closing(Talk(tmp_path).store):
        pass
    talk = Talk(tmp_path)
    with closing(talk.store):
        talk.say("yes", *["next"] * 3)
    assert (tmp_path / BACKUP).exists()
    with (tmp_path / "jobs.db").open("r+b") as file:
        file.write(b"\0" * 4096)
    again = Talk(tmp_path)
    with closing(again.store):
        assert "as of the last start" in again.said
        assert "jobs.damaged-1.db" in again.shown


@pytest.mark.parametrize("how", ["gone", "empty"])
def test_a_job_file_that_is_gone_is_no_new_user(tmp_path: Path, how: str) -> None:
    """The copy of the last start is carried on, not written over by that of an empty file."""
    worked(tmp_path)
    with closing(Store(tmp_path)):
        pass
    path = tmp_path / "jobs.db"
    path.unlink()
    if how == "empty":
        path.touch()
    talk = Talk(tmp_path)
    with closing(talk.store):
        assert "as of the last start" in talk.said
    with jobs.reading(tmp_path) as db:
        assert [kept.job.number for kept in jobs.jobs(db)] == [1, 2]


def test_a_place_that_is_lost_is_told(tmp_path: Path) -> None:
    worked(tmp_path)
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db:
        db.execute("DELETE FROM state")
        db.commit()
    talk = Talk(tmp_path)
    with closing(talk.store):
        assert "place in the job is lost" in talk.said
        assert talk.session.state.now.job_number == 3


def test_a_file_that_lost_its_version_saves_again(tmp_path: Path) -> None:
    worked(tmp_path)
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db:
        db.execute("PRAGMA user_version = 0")
    talk = Talk(tmp_path)
    with closing(talk.store):
        assert "damaged" in talk.said
        assert not talk.store.unsaved
    with jobs.reading(tmp_path) as db:
        assert [kept.job.number for kept in jobs.jobs(db)] == [1, 2]


def test_what_can_be_read_of_the_file_wins_over_the_copy_of_the_last_start(tmp_path: Path) -> None:
    worked(tmp_path)
    talk = Talk(tmp_path)
    with closing(talk.store):
        talk.say("yes", *["next"] * 3)
        left = talk.session.state.now
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db:
        db.execute("PRAGMA user_version = 0")
    again = Talk(tmp_path)
    with closing(again.store):
        assert "last start" not in again.said
        again.say("yes")
        assert again.session.state.now == left


def test_changed_benders_are_told_and_not_used(tmp_path: Path) -> None:
    """A six that became a nine is a mark three inches off."""
    file = BenderFile(tmp_path)
    file.keep(OWN)
    assert file.all() == (OWN,)
    file.path.write_text(file.path.read_text("utf-8").replace("81/16", "91/16"), "utf-8")
    with pytest.raises(BenchError, match="changed since"):
        kept_profiles(tmp_path)
    talk = Talk(tmp_path)
    with closing(talk.store):
        assert "benders.json is damaged" in talk.shown
        assert talk.session.state.profiles == ()
    newer = replace(OWN, take_up=Fraction(5))
    file.keep(newer)
    assert file.all() == (newer,)
    assert "91/16" in (tmp_path / "benders.damaged-1.json").read_text("utf-8")


def test_a_damaged_file_of_benders_leaves_what_was_learned_of_them(tmp_path: Path) -> None:
    """It would be lost for good with the next bend, which writes what is known of the bender anew."""
    BenderFile(tmp_path).keep(OWN)
    (learned, *_) = learned_before(random.Random(1))
    LearnedFile(tmp_path).keep(learned, datetime(2026, 3, 2, tzinfo=UTC))
    (tmp_path / "benders.json").write_text("{")
    talk = Talk(tmp_path)
    with closing(talk.store):
        assert "benders.json" in talk.shown
        assert talk.session.state.learned == (learned,)


@pytest.mark.parametrize("hand", [float("nan"), 1e9])
def test_a_bender_with_numbers_of_no_bender_is_not_used(tmp_path: Path, hand: float) -> None:
    file = BenderFile(tmp_path)
    file.keep(replace(OWN, hand=hand))
    with pytest.raises(BenchError, match="not possible for a bender"):
        file.all()


def test_benders_of_version_0_1_are_read(tmp_path: Path) -> None:
    row = {
        "name": "mine",
        "conduit": "emt",
        "size": "1/2",
        "take_up": "81/16",
        "gain": "41/16",
        "springback": 2.0,
    }
    (tmp_path / "benders.json").write_text(json.dumps([row]), "utf-8")
    assert BenderFile(tmp_path).all() == (OWN,)


def test_a_changed_setting_is_named_and_not_used(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        store.keep({"volume_db": -8.0, "theme": "light", "mic": "USB"})
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db:
        db.execute("UPDATE settings SET value = '-3.0' WHERE key = 'volume_db'")
        db.execute("UPDATE settings SET value = '{' WHERE key = 'mic'")
        db.commit()
    talk = Talk(tmp_path)
    with closing(talk.store):
        assert talk.store.settings() == {"theme": "light"}
        assert "mic, volume db" in talk.said
    with jobs.reading(tmp_path) as db:
        (entry,) = jobs.entries(db, kind=RecordKind.SETTING_NOT_READ)
        assert entry.detail["damaged"] == {"volume_db": "-3.0", "mic": "{"}
        assert jobs.settings(db) == ({"theme": "light"}, {})
    again = Talk(tmp_path)
    with closing(again.store):
        assert "settings" not in again.said.lower(), "told once"


def test_settings_of_an_earlier_file_are_kept(tmp_path: Path) -> None:
    """Version 2 of the job file had no digest beside a setting."""
    with closing(schema.connect(tmp_path / "jobs.db")) as db:
        schema.upgrade(db, tmp_path / "jobs.db", schema.STEPS[:2])
        db.execute("INSERT INTO settings VALUES ('theme', '\"light\"')")
    with closing(Store(tmp_path)) as store:
        assert store.settings() == {"theme": "light"}
        assert store.notice == ("", "")


def test_several_damages_at_once_are_each_named(tmp_path: Path) -> None:
    worked(tmp_path)
    BenderFile(tmp_path).keep(OWN)
    LearnedFile(tmp_path).keep(learned_before(random.Random(1))[0], datetime(2026, 3, 2, tzinfo=UTC))
    with closing(Store(tmp_path)) as store:
        store.keep({"theme": "light"})
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db:
        db.execute("UPDATE settings SET digest = ''")
        db.commit()
    change(tmp_path, "state", "", 1)
    (tmp_path / "benders.json").write_text("{")
    (tmp_path / "learned.json").write_text("{")
    talk = Talk(tmp_path)
    with closing(talk.store):
        for what in ("theme", "place in the job", "benders.json", "learned.json"):
            assert what in talk.shown + talk.said


def test_a_list_goes_on_where_it_was(tmp_path: Path) -> None:
    sticks = tmp_path / "list.csv"
    sticks.write_text("stick,bend,height\nA,stub,12\nB,stub,14\nC,stub,16\n", "utf-8")
    options = Options(sticks=sticks)
    talk = Talk(tmp_path / "data", options)
    with closing(talk.store):
        talk.say("emt", "half inch", "typical", "yes", *["next"] * 8, "new stick", "yes", "next")
        assert talk.session.state.now.stick.name == "B"
    again = Talk(tmp_path / "data", options)
    with closing(again.store):
        again.say("yes", *["next"] * 8, "new stick")
        assert again.session.state.now.stick.name == "C"
        again.say("yes", *["next"] * 8, "new stick")
        assert again.session.state.now.stage is Stage.PICK, "the list is at its end"


def test_a_session_left_paused_says_that_it_is(tmp_path: Path) -> None:
    talk = Talk(tmp_path)
    with closing(talk.store):
        talk.say("emt", "stop listening")
    again = Talk(tmp_path)
    with closing(again.store):
        assert "Paused since last time" in again.said
        assert "listening." not in again.said.replace("start listening.", "")
        again.say("start listening")
        assert not again.session.state.paused


def stranded(talk: Talk) -> None:
    """At a kept bend that a later version no longer knows, with a check of it read."""
    talk.say("yes")
    place = talk.session.state.now
    strange = replace(place.stick.bends[0], kind="hexagon")
    stick = replace(place.stick, bends=(strange,), spoken=None)
    now = replace(place, stick=stick, observed=(("rise", Fraction(6)),))
    talk.session.state = replace(talk.session.state, now=now)


def test_a_step_that_cannot_be_shown_says_so_and_leaves_a_way_out(tmp_path: Path) -> None:
    """No blank start, no traceback, nothing lost."""
    worked(tmp_path)
    talk = Talk(tmp_path)
    with closing(talk.store):
        stranded(talk)
        talk.say("repeat")
        assert "cannot be shown" in talk.said
        assert KNOWN.verbs["stuck"] in talk.shown
        for words in ("next", "what is next", "mark one", "back", "the sheet"):
            talk.say(words)
        for key in (Key.NEXT, Key.YES, Key.REPEAT):
            talk.session.handle(Pressed(key))
        assert not talk.session.faults
        assert KNOWN.verbs["stuck"] in talk.shown
        talk.say("new stick")
        assert talk.session.state.now.stage is Stage.PICK
        assert not talk.session.faults
    with jobs.reading(tmp_path) as db:
        why = {entry.detail["why"] for entry in jobs.entries(db, kind=RecordKind.STUCK)}
    assert all("hexagon" in one and "line" in one for one in why), "the log tells what was raised, and where"


def test_a_mistake_of_ours_at_such_a_step_is_not_hidden(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked(tmp_path)
    talk = Talk(tmp_path)

    def mistaken(*given: object) -> Turn:
        raise KeyError("a mistake")

    with closing(talk.store):
        stranded(talk)
        monkeypatch.setitem(COMMANDS, "where_am_i", mistaken)
        talk.say("where am i")
        (fault,) = talk.session.faults
        assert "a mistake" in str(fault)
        assert "went wrong inside Bench" in talk.said
