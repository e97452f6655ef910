"""Microphone and loudspeaker removed from a running assistant: reported, worked without, found again.

Real ears and a real voice on a virtual sound system; see `tests/audio_rig.py`.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from bench.assistant.assembly import Assistant, Options
from bench.data.bundle import knowledge
from bench.dialogue.effects import Look, View
from bench.dialogue.events import Key, Pressed, Said
from bench.language.meaning import typed
from bench.memory.store import Store
from tests.audio_rig import AudioRig, synthetic_voice


class Seen:
    """A display that keeps every view."""

    def __init__(self) -> None:
        self.views: list[View] = []
        self.levels: list[float] = []

    def show(self, view: View) -> None:
        self.views.append(view)

    def level(self, dbfs: float, floor: float, clipped: bool) -> None:
        self.levels.append(dbfs)

    def hearing(self, words: str) -> None:
        pass

    def notice(self, words: str) -> None:
        pass

    def restyle(self, look: Look) -> None:
        pass

    def leave(self) -> None:
        pass

    def told(self, words: str) -> bool:
        """Whether the last view warns of this."""
        return any(words in trouble.lower() for trouble in self.views[-1].troubles)


@contextmanager
def running(folder: Path) -> Iterator[tuple[Assistant, Seen]]:
    """An assistant with its own thread."""
    seen = Seen()
    assistant = Assistant(Options(), knowledge(), Store(folder), seen)
    assistant.open_voice()
    assistant.open_ears()
    thread = threading.Thread(target=assistant.loop.run, daemon=True)
    thread.start()
    try:
        yield assistant, seen
    finally:
        assistant.loop.stop()
        thread.join(10)
        assert assistant.close()
        assert assistant.session.faults == []


def until(holds: Callable[[], bool], what: str, seconds: float = 20.0) -> None:
    deadline = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < deadline, f"never: {what}"
        time.sleep(0.05)


def test_everything_pulled_while_it_speaks_and_plugged_in_again(own_rig: AudioRig, tmp_path: Path) -> None:
    """The whole sound system is killed, because a single lost device is silently replaced by another."""
    with own_rig.here(), running(tmp_path) as (assistant, seen):
        until(lambda: bool(seen.levels), "the microphone gives sound")
        until(lambda: bool(assistant.performer.speaking), "it speaks")
        own_rig.kill()
        until(lambda: seen.told("speaker"), "the speaker pulled while it spoke is told")
        until(lambda: seen.told("microphone"), "the lost microphone is told")
        assistant.loop.post(Pressed(Key.REPEAT))
        assistant.loop.post(Said(typed("emt")))
        until(lambda: seen.views[-1].number == "SIZE?", "it goes on by keys and typing")
        own_rig.start()
        until(lambda: not seen.views[-1].troubles, "both are found again", 40)
        until(lambda: not assistant.performer.speaking, "it has said so", 40)
        time.sleep(0.5)
        own_rig.play(*synthetic_voice("three quarter", "flite:slt"))
        until(lambda: seen.views[-1].number == "BEND?", "it hears again")


def test_no_sound_at_all_is_told_and_the_job_goes_on(own_rig: AudioRig, tmp_path: Path) -> None:
    with own_rig.here():
        own_rig.kill()
        with running(tmp_path) as (assistant, seen):
            until(lambda: bool(seen.views) and seen.told("speaker"), "no loudspeaker is told")
            until(lambda: seen.told("microphone"), "no microphone is told")
            assistant.loop.post(Said(typed("emt")))
            until(lambda: seen.views[-1].number == "SIZE?", "it goes on")
