"""Who is heard when: half-duplex, talking over, rooms that come late, go missing and come back."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from bench.assistant.hands import BEGINS_WITHIN, Hands
from bench.assistant.loop import SAVE_AGAIN, SILENCES, EarsReady, Loop
from bench.assistant.rooms import Rooms
from bench.assistant.session import Session
from bench.dialogue.effects import Earcon, Tone
from bench.dialogue.events import Key, Pressed
from bench.ears import events as ears
from bench.language.meaning import Heard, Kind, Meaning, Understanding, typed
from bench.memory.store import Store
from bench.voice import events as voice
from tests.assistant.counting import CONVERSATION, FakeDisplay, FakeEars, FakeVoice, Tally


@dataclass
class House:
    """The whole assistant with written-down rooms and a clock moved by hand."""

    store: Store
    headset: bool = False
    now: float = 0.0
    done: list[str] = field(default_factory=list)
    finished: bool = False

    def __post_init__(self) -> None:
        self.display = FakeDisplay(self.done)
        rooms = Rooms(self.display, FakeVoice(self.done), FakeEars(self.done), self.headset)
        self.hands = Hands(rooms, self.finish, clock=lambda: self.now)
        self.session = Session(CONVERSATION, self.store, self.hands.perform)
        self.loop: Loop[Tally] = Loop(self.session, self.hands, understand, clock=lambda: self.now)

    def finish(self) -> None:
        self.finished = True

    def take(self, *items: object) -> list[str]:
        """What was done because of these."""
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
def house(store: Store) -> House:
    return House(store)


def test_the_ears_are_deaf_from_before_the_voice_until_it_is_silent(house: House) -> None:
    done = house.take(spoken("one"))
    assert done.index("show 1") < done.index("deaf") < done.index("say count 1")
    assert house.take(voice.Speaking("count 1")) == ["deaf"]
    assert house.take(voice.Silent()) == ["hears"]


def test_a_sentence_replaced_does_not_open_the_ears_when_it_ends(house: House) -> None:
    house.take(spoken("one"), voice.Speaking("count 1"), Pressed(Key.NEXT))
    assert house.take(voice.Silent()) == [], "that was the end of the first, the second is about to sound"
    assert house.take(voice.Speaking("count 2"), voice.Silent())[-1] == "hears"


def test_a_voice_that_says_nothing_does_not_leave_the_ears_deaf(house: House) -> None:
    house.take(spoken("one"))
    assert house.tick(BEGINS_WITHIN - 0.1) == []
    assert house.tick(0.2) == ["hears"]


def test_a_key_is_answered_over_the_voice(house: House) -> None:
    house.take(spoken("one"), voice.Speaking("count 1"))
    assert "say count 2" in house.take(Pressed(Key.NEXT))


def test_in_a_headset_the_ears_stay_open_and_a_command_stops_the_voice(store: Store) -> None:
    house = House(store, headset=True)
    assert "deaf" not in house.take(spoken("one"), voice.Speaking("count 1"))
    assert house.take(ears.Partial(typed("rep"))) == ["hearing rep"]
    assert house.take(ears.Partial(typed("repeat"))) == ["hearing repeat", "hush"]
    assert house.take(voice.Silent()) == []
    assert house.take(ears.Partial(typed("repeat"))) == ["hearing repeat"], "nothing to stop any more"


def test_ears_that_come_late_listen_for_what_can_be_said_now(house: House) -> None:
    house.hands.rooms.ears = None
    house.take(spoken("one"), voice.Speaking("count 1"))
    assert house.take(EarsReady(FakeEars(house.done))) == ["expect count", "deaf", "ears start"]
    assert house.take(voice.Silent()) == ["hears"]


def test_without_voice_or_ears_it_goes_on_by_keys(house: House) -> None:
    house.hands.rooms.ears = None
    house.hands.rooms.voice = None
    assert house.take(Pressed(Key.NEXT)) == ["show 1"]
    assert house.session.faults == []


def test_talk_nearby_sets_off_one_tone_and_not_a_row_of_them(house: House) -> None:
    def tones(tone: Tone) -> int:
        house.done.clear()
        house.hands.perform([Earcon(tone)])
        return len(house.done)

    assert tones(Tone.NOT_UNDERSTOOD) == 1
    house.now += 3
    assert tones(Tone.NOT_UNDERSTOOD) == 0
    assert tones(Tone.DONE) == tones(Tone.DONE) == 1
    house.now += 10
    assert tones(Tone.NOT_UNDERSTOOD) == 1


def test_a_lost_room_is_told_and_so_is_its_return(house: House) -> None:
    assert "say gone" in house.take(ears.Lost("gone", "plug it in"))
    assert house.display.views[-1].troubles == ("microphone",)
    assert "say back" in house.take(ears.Found("back"))
    assert house.take(ears.Found("the same")) == [], "working from the start is no news"
    assert "say no sound" in house.take(voice.Trouble("no sound", "plug it in"))
    assert "say sound" in house.take(voice.Mended("sound"))


def test_silence_is_told_at_its_times_and_then_left_alone(house: House) -> None:
    assert house.tick(SILENCES[0] - 1) == []
    assert house.tick(1.5) == ["deaf", "say still here"]
    house.take(voice.Speaking("still here"), voice.Silent())
    assert [bool(house.tick(SILENCES[1])), house.take(voice.Silent()) != []] == [True, True]
    assert "say still here" in house.tick(SILENCES[2])
    house.take(voice.Silent())
    assert house.tick(10_000) == []
    house.take(spoken("one"), voice.Speaking("count 1"), voice.Silent())
    assert "say still here" in house.tick(SILENCES[0] + 1)


def test_nobody_is_called_silent_while_the_voice_speaks(house: House) -> None:
    house.take(spoken("one"), voice.Speaking("count 1"))
    assert "say still here" not in house.tick(SILENCES[0] + 1)


def test_saving_is_tried_again_by_itself(house: House) -> None:
    path = house.store.path
    path.rename(path.with_suffix(".away"))
    path.mkdir()
    house.take(spoken("one"))
    assert house.store.unsaved
    path.rmdir()
    assert any("Saved again" in line for line in house.tick(SAVE_AGAIN + 1))
    assert not house.store.unsaved


def test_goodbye_ends_it(house: House) -> None:
    house.take(spoken("goodbye"))
    assert house.finished


def test_the_level_never_waits_in_the_queue(house: House) -> None:
    house.loop.post(ears.Level(-30.0, -50.0, False))
    assert house.done == ["level -30.0"]
