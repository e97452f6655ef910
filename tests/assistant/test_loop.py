"""The event loop: half-duplex, talking over the voice, parts that start late, fail and recover."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from bench.assistant.loop import SAVE_AGAIN, SILENCES, EarsReady, Loop
from bench.assistant.performer import BEGINS_WITHIN, Performer
from bench.assistant.ports import Ports
from bench.assistant.session import Session
from bench.data.screen_words import screen_words
from bench.dialogue.effects import Earcon, Tone
from bench.dialogue.events import Failed, Key, Pressed, Recovered
from bench.ears import ear_events as ears
from bench.language.meaning import Heard, Kind, Meaning, Understanding, typed
from bench.memory.store import Store
from bench.voice import voice_events as voice
from tests.assistant.counting import CONVERSATION, FakeDisplay, FakeEars, FakeVoice, Tally


@dataclass
class Assistant:
    """The whole assistant with recording fakes and a manual clock."""

    store: Store
    headset: bool = False
    now: float = 0.0
    done: list[str] = field(default_factory=list)
    finished: bool = False

    def __post_init__(self) -> None:
        self.display = FakeDisplay(self.done)
        ports = Ports(self.display, FakeVoice(self.done), FakeEars(self.done), self.headset)
        self.performer = Performer(ports, self.finish, clock=lambda: self.now)
        self.session = Session(CONVERSATION, self.store, self.performer.perform)
        self.loop: Loop[Tally] = Loop(self.session, self.performer, understand, clock=lambda: self.now)

    def finish(self) -> None:
        self.finished = True

    def take(self, *items: object) -> list[str]:
        """The calls caused by these items."""
        self.done.clear()
        for item in items:
            self.loop.take(item)  # type: ignore[arg-type]
        return list(self.done)

    def tick(self, seconds: float) -> list[str]:
        self.done.clear()
        self.now += seconds
        self.loop.tick()
        return list(self.done)


def understand(heard: Heard) -> Understanding:
    """Only "repeat" is a command here."""
    return Understanding(Meaning(Kind.COMMAND, "repeat") if heard.text == "repeat" else None)


def spoken(words: str) -> ears.Utterance:
    return ears.Utterance(typed(words))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with closing(Store(tmp_path)) as store:
        yield store


@pytest.fixture
def assistant(store: Store) -> Assistant:
    return Assistant(store)


def test_the_ears_are_deaf_from_before_the_voice_until_it_is_silent(assistant: Assistant) -> None:
    done = assistant.take(spoken("one"))
    assert done.index("show 1") < done.index("deaf") < done.index("say count 1")
    assert assistant.take(voice.Speaking("count 1")) == ["deaf"]
    assert assistant.take(voice.Silent()) == ["hears"]


def test_a_sentence_replaced_does_not_open_the_ears_when_it_ends(assistant: Assistant) -> None:
    assistant.take(spoken("one"), voice.Speaking("count 1"), Pressed(Key.NEXT))
    assert assistant.take(voice.Silent()) == [], "that was the end of the first, the second is about to sound"
    assert assistant.take(voice.Speaking("count 2"), voice.Silent())[-1] == "hears"


def test_a_voice_that_says_nothing_does_not_leave_the_ears_deaf(assistant: Assistant) -> None:
    assistant.take(spoken("one"))
    assert assistant.tick(BEGINS_WITHIN - 0.1) == []
    assert assistant.tick(0.2) == ["hears"]


def test_a_key_is_answered_over_the_voice(assistant: Assistant) -> None:
    assistant.take(spoken("one"), voice.Speaking("count 1"))
    assert "say count 2" in assistant.take(Pressed(Key.NEXT))


def test_in_a_headset_the_ears_stay_open_and_a_command_stops_the_voice(store: Store) -> None:
    assistant = Assistant(store, headset=True)
    assert "deaf" not in assistant.take(spoken("one"), voice.Speaking("count 1"))
    assert assistant.take(ears.Partial(typed("rep"))) == ["hearing rep"]
    assert assistant.take(ears.Partial(typed("repeat"))) == ["hearing repeat", "hush"]
    assert assistant.take(voice.Silent()) == []
    assert assistant.take(ears.Partial(typed("repeat"))) == ["hearing repeat"], "nothing to stop any more"


def test_ears_that_come_late_listen_for_what_can_be_said_now(assistant: Assistant) -> None:
    assistant.performer.ports.ears = None
    assistant.take(spoken("one"), voice.Speaking("count 1"))
    assert assistant.take(EarsReady(FakeEars(assistant.done))) == ["expect count", "deaf", "ears start"]
    assert assistant.take(voice.Silent()) == ["hears"]


def test_without_voice_or_ears_it_goes_on_by_keys(assistant: Assistant) -> None:
    assistant.performer.ports.ears = None
    assistant.performer.ports.voice = None
    assert assistant.take(Pressed(Key.NEXT)) == ["show 1"]
    assert assistant.session.faults == []


def test_talk_nearby_sets_off_one_tone_and_not_a_row_of_them(assistant: Assistant) -> None:
    def tones(tone: Tone) -> int:
        assistant.done.clear()
        assistant.performer.perform([Earcon(tone)])
        return len(assistant.done)

    assert tones(Tone.NOT_UNDERSTOOD) == 1
    assistant.now += 3
    assert tones(Tone.NOT_UNDERSTOOD) == 0
    assert tones(Tone.HEARD) == tones(Tone.HEARD) == 1
    assistant.now += 10
    assert tones(Tone.NOT_UNDERSTOOD) == 1


def test_a_failure_is_told_and_so_is_its_end(assistant: Assistant) -> None:
    assert "say gone" in assistant.take(Failed("microphone", "gone", "plug it in"))
    assert assistant.display.views[-1].troubles == ("microphone",)
    assert "say back" in assistant.take(Recovered("microphone", "back"))
    assert assistant.take(ears.Listening("usb")) == [], "working from the start is no news"
    assert "say no sound" in assistant.take(Failed("speaker", "no sound", "plug it in"))
    assert "say sound" in assistant.take(Recovered("speaker", "sound"))


def test_that_the_second_recognizer_is_up_is_shown_and_not_said(assistant: Assistant) -> None:
    assert assistant.take(ears.SecondListening()) == [f"notice {screen_words().second_recognizer}"]


def test_silence_is_told_at_its_times_and_then_left_alone(assistant: Assistant) -> None:
    assert assistant.tick(SILENCES[0] - 1) == []
    assert assistant.tick(1.5) == ["deaf", "say still here"]
    assistant.take(voice.Speaking("still here"), voice.Silent())
    assert [bool(assistant.tick(SILENCES[1])), assistant.take(voice.Silent()) != []] == [True, True]
    assert "say still here" in assistant.tick(SILENCES[2])
    assistant.take(voice.Silent())
    assert assistant.tick(10_000) == []
    assistant.take(spoken("one"), voice.Speaking("count 1"), voice.Silent())
    assert "say still here" in assistant.tick(SILENCES[0] + 1)


def test_nobody_is_called_silent_while_the_voice_speaks(assistant: Assistant) -> None:
    assistant.take(spoken("one"), voice.Speaking("count 1"))
    assert "say still here" not in assistant.tick(SILENCES[0] + 1)


def test_saving_is_tried_again_by_itself(assistant: Assistant) -> None:
    path = assistant.store.path
    path.rename(path.with_suffix(".away"))
    path.mkdir()
    assistant.take(spoken("one"))
    assert assistant.store.unsaved
    path.rmdir()
    assert any("Saved again" in line for line in assistant.tick(SAVE_AGAIN + 1))
    assert not assistant.store.unsaved


def test_goodbye_ends_it(assistant: Assistant) -> None:
    assistant.take(spoken("goodbye"))
    assert assistant.finished


def test_the_level_never_waits_in_the_queue(assistant: Assistant) -> None:
    assistant.loop.post(ears.Level(-30.0, -50.0, False))
    assert assistant.done == ["level -30.0"]
