"""A minimal dialogue, and fake parts that record their calls."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bench.assistant.session import Conversation
from bench.dialogue.effects import Effect, Finish, Listen, Look, Say, Show, Tone, Tuning, View
from bench.dialogue.events import Event, Failed, Pressed, Recovered, Said, Silence, Started
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind
from bench.voice.voice_settings import VoiceSettings

EXPECT = Expectation(Kind.COUNT)


@dataclass(frozen=True)
class Tally:
    """The number of utterances and key presses."""

    count: int = 0
    trouble: str = ""


def step(state: Tally, event: Event) -> tuple[Tally, Sequence[Effect]]:
    """Count the event. "crash" raises an exception, "goodbye" ends, silence says nothing."""
    match event:
        case Said(heard) if heard.text == "crash":
            raise RuntimeError("as asked")
        case Said(heard) if heard.text == "goodbye":
            return state, (Say("goodbye"), Finish())
        case Said() | Pressed():
            now = Tally(state.count + 1, state.trouble)
            return now, (
                Record(RecordKind.STEP_DONE, {"count": now.count}),
                *_reply(now, f"count {now.count}"),
            )
        case Failed(part, message, _):
            return Tally(state.count, part), _reply(Tally(state.count, part), message)
        case Recovered(_, message):
            return Tally(state.count), _reply(Tally(state.count), message)
        case Started(unfinished):
            return state, _reply(state, "again" if unfinished else "welcome")
        case Silence():
            return state, (Say("still here"),)
    raise AssertionError(event)


def _reply(state: Tally, words: str) -> tuple[Effect, ...]:
    troubles = (state.trouble,) if state.trouble else ()
    return (Say(words), Listen(EXPECT), Show(View("COUNT", str(state.count), said=words, troubles=troubles)))


def from_json(raw: Mapping[str, Any]) -> Tally:
    if not isinstance(raw.get("count"), int):
        raise ValueError("no count")
    return Tally(raw["count"])


CONVERSATION = Conversation(Tally(), step, lambda state: {"count": state.count}, from_json)


@dataclass
class FakeDisplay:
    done: list[str]
    views: list[View] = field(default_factory=list)

    def show(self, view: View) -> None:
        self.views.append(view)
        self.done.append(f"show {view.number}")

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        self.done.append(f"level {dbfs}")

    def hearing(self, words: str) -> None:
        self.done.append(f"hearing {words}")

    def notice(self, words: str) -> None:
        self.done.append(f"notice {words}")

    def restyle(self, look: Look) -> None:
        self.done.append(f"restyle {look}")

    def leave(self) -> None:
        self.done.append("display closed")


@dataclass
class FakeEars:
    done: list[str]

    def start(self) -> None:
        self.done.append("ears start")

    def expect(self, expectation: Expectation) -> None:
        self.done.append(f"expect {expectation.kind}")

    def deafen(self, deaf: bool) -> None:
        self.done.append("deaf" if deaf else "hears")

    def close(self) -> None:
        self.done.append("ears closed")


@dataclass
class FakeVoice:
    done: list[str]
    settings: VoiceSettings = field(default_factory=VoiceSettings)

    def start(self) -> None:
        self.done.append("voice start")

    def say(self, words: str) -> None:
        self.done.append(f"say {words}")

    def hush(self) -> None:
        self.done.append("hush")

    def earcon(self, tone: Tone) -> None:
        self.done.append(f"tone {tone}")

    def tune(self, tuning: Tuning, by: int) -> None:
        self.settings = self.settings.tuned(tuning, by)
        self.done.append(f"tune {tuning} {by}")

    def close(self) -> None:
        self.done.append("voice closed")
