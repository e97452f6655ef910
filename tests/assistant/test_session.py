"""Everything is on disk before the reply. Disk errors are reported and no error ends the session."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from bench.assistant.session import Conversation, Session
from bench.dialogue.effects import Effect, Say
from bench.dialogue.events import Event, Key, Pressed, Said
from bench.job.records import Record, RecordKind
from bench.language.meaning import typed
from bench.memory import jobs
from bench.memory.store import Store
from tests.assistant.counting import CONVERSATION, Tally


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with closing(Store(tmp_path)) as store:
        yield store


def words(effects: Sequence[Effect]) -> list[str]:
    return [effect.words for effect in effects if isinstance(effect, Say)]


def say(session: Session[Tally], line: str) -> None:
    session.handle(Said(typed(line)))


def test_what_is_told_is_already_on_disk(store: Store) -> None:
    seen: list[tuple[list[str], dict[str, object] | None]] = []

    def perform(effects: Sequence[Effect]) -> None:
        with jobs.reading(store.folder) as db:
            seen.append((words(effects), jobs.state(db)))

    session = Session(CONVERSATION, store, perform)
    session.begin()
    say(session, "one")
    session.handle(Pressed(Key.NEXT))
    assert seen == [(["welcome"], {"count": 0}), (["count 1"], {"count": 1}), (["count 2"], {"count": 2})]
    assert session.faults == []


def test_it_goes_on_where_it_was(tmp_path: Path) -> None:
    said: list[str] = []
    for _ in range(2):
        with closing(Store(tmp_path)) as store:
            session = Session(CONVERSATION, store, lambda effects: said.extend(words(effects)))
            session.begin()
            say(session, "one")
    assert said == ["welcome", "count 1", "again", "count 2"]


def test_a_fault_in_a_step_changes_nothing_and_is_told(store: Store) -> None:
    said: list[str] = []
    session = Session(CONVERSATION, store, lambda effects: said.extend(words(effects)))
    session.begin()
    say(session, "one")
    say(session, "crash")
    say(session, "two")
    assert said[-1] == "count 2"
    assert "Nothing is lost" in said[-2]
    assert [type(fault) for fault in session.faults] == [RuntimeError]


def test_a_fault_in_a_part_does_not_end_it(store: Store) -> None:
    def perform(effects: Sequence[Effect]) -> None:
        raise OSError("the device burned down")

    session = Session(CONVERSATION, store, perform)
    say(session, "one")
    say(session, "two")
    assert session.state == Tally(2)
    assert len(session.faults) == 2


def test_a_full_disk_is_told_once_and_mended_once(store: Store) -> None:
    said: list[str] = []
    session = Session(CONVERSATION, store, lambda effects: said.extend(words(effects)))
    session.begin()
    store.path.rename(store.path.with_suffix(".away"))
    store.path.mkdir()
    say(session, "one")
    say(session, "two")
    store.path.rmdir()
    session.save_again()
    say(session, "three")
    told = [line for line in said if "saved" in line.lower()]
    assert said[0] == "welcome"
    assert said[1] == "count 1"
    assert len(told) == 2
    assert told[0] == "The last steps cannot be saved."
    assert "Saved again" in told[1]
    with jobs.reading(store.folder) as db:
        assert [entry.detail for entry in jobs.entries(db, kind="step_done")] == [
            {"count": 1},
            {"count": 2},
            {"count": 3},
        ]


def test_a_state_that_cannot_be_read_is_kept_in_the_log(store: Store) -> None:
    store.commit({"strange": True}, [])
    said: list[str] = []
    session = Session(CONVERSATION, store, lambda effects: said.extend(words(effects)))
    session.begin()
    assert session.state.count == 0
    assert said[0] == "welcome"
    assert "could not be read" in said[1]
    with jobs.reading(store.folder) as db:
        assert jobs.entries(db, kind="state_not_read")[0].detail == {"strange": True}


def test_what_is_no_json_is_a_fault_and_the_session_goes_on(store: Store) -> None:
    def step(state: Tally, event: object) -> tuple[Tally, Sequence[Effect]]:
        return state, (Record(RecordKind.HEARD, {"it": object()}),)

    odd = Conversation(Tally(), step, CONVERSATION.to_json, CONVERSATION.from_json)
    session = Session(odd, store, lambda effects: None)
    say(session, "one")
    assert [type(fault) for fault in session.faults] == [TypeError]


def test_the_log_tells_why_a_step_cannot_be_shown_and_repeats_no_other_record(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    def step(state: Tally, event: Event) -> tuple[Tally, Sequence[Effect]]:
        return state, (
            Record(RecordKind.STUCK, {"why": "a rise of nothing"}),
            Record(RecordKind.STEP_DONE, {"step": 1}),
        )

    session = Session(replace(CONVERSATION, step=step), store, lambda effects: None)
    say(session, "one")
    (logged,) = caplog.messages
    assert "a rise of nothing" in logged
