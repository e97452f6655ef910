"""The lesson of a first start: short, told once, left at once, and in nobody's way."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.assistant.assembly import Options, conversation
from bench.assistant.session import Session
from bench.assistant.settings import Settings
from bench.data.bundle import knowledge
from bench.dialogue.effects import Effect, Show, View
from bench.dialogue.events import Key, Pressed, Said
from bench.dialogue.machine import initial
from bench.dialogue.state import Stage
from bench.language.meaning import typed
from bench.memory.store import Store
from tests.dialogue.conversation import Conversation

LONGEST = 40.0
"""Seconds of speech that the project allows the lesson."""
SET_UP = ("emt", "three quarter", "typical")


def first_start() -> Conversation:
    """A person without any job has started Bench."""
    talk = Conversation(initial(taught=False))
    talk.start()
    return talk


def through(talk: Conversation) -> list[View]:
    """Every card, gone on with by key."""
    shown = []
    while talk.view.verb == knowledge().verbs["learn"]:
        shown.append(talk.view)
        talk.take(Pressed(Key.NEXT))
    return shown


def test_all_of_it_takes_less_than_forty_seconds_at_the_usual_rate() -> None:
    shown = through(first_start())
    words = sum(len(card.say.split()) for card in knowledge().lesson)
    assert len(shown) == len(knowledge().lesson)
    assert words / Settings().words_per_minute * 60 < LONGEST


def test_it_tells_what_a_first_bend_needs() -> None:
    said = " ".join(view.said.lower() for view in through(first_start()))
    for told in ("tape end", "hook", "arrow", "notch", "say done", "stop listening", "skip"):
        assert told in said


def test_every_card_is_shown_and_each_has_its_number() -> None:
    shown = through(first_start())
    assert [view.step for view in shown] == [(at, len(shown)) for at in range(1, len(shown) + 1)]
    assert [view.number for view in shown] == [card.word for card in knowledge().lesson]
    assert all(view.stick for view in shown)
    for view, card in zip(shown, knowledge().lesson, strict=True):
        assert card.say in (*view.lines, view.said[-len(card.say) :])


@pytest.mark.parametrize("words", ["skip", "no thanks", "cancel", "I know all that"])
def test_it_is_left_at_once(words: str) -> None:
    talk = first_start()
    talk.say(words)
    assert (talk.stage, talk.view.number) == (Stage.CONDUIT, "PIPE?")


def test_an_answer_ends_it() -> None:
    talk = first_start()
    talk.say("three quarter EMT, offset six high at forty")
    talk.say("yes")
    assert talk.view.verb == "MARK"


@pytest.mark.parametrize("words", ["okay", "yes", "sure", "good", "done", "all right"])
def test_agreeing_to_a_card_confirms_nothing_under_it(words: str) -> None:
    talk = Conversation()
    talk.start()
    for line in (*SET_UP, "stub fourteen", "teach me"):
        talk.say(line)
    before = talk.state.now
    for _ in knowledge().lesson[:-1]:
        talk.say(words)
        assert talk.state.now == before
    assert talk.view.verb == knowledge().verbs["learn"]


def test_whoever_was_taught_is_not_taught_again_unasked(tmp_path: Path) -> None:
    assert "LEARN" in started(tmp_path)
    assert "LEARN" not in started(tmp_path)


def test_whoever_has_a_job_is_not_taught(tmp_path: Path) -> None:
    assert "LEARN" not in started(tmp_path, *SET_UP, "stub fourteen", "yes", lesson=False)
    assert "LEARN" not in started(tmp_path)


def test_tools_and_demonstrations_do_not_teach(tmp_path: Path) -> None:
    assert "LEARN" not in started(tmp_path, lesson=False)


def started(folder: Path, *lines: str, lesson: bool = True) -> list[str]:
    """The verbs on the screen of a session in this folder, in which this is said after the start."""
    verbs: list[str] = []

    def seen(effects: object) -> None:
        assert isinstance(effects, list | tuple)
        kept: list[Effect] = list(effects)
        verbs.extend(effect.view.verb for effect in kept if isinstance(effect, Show))

    store = Store(folder)
    session = Session(conversation(knowledge(), Options(lesson=lesson), store), store, seen)
    session.begin()
    for line in lines:
        session.handle(Said(typed(line)))
    store.close()
    return verbs
