"""A long conversation with real speech: three bends on one stick, mistakes, changes, a crash and a resume.

Every word is sound from a synthetic voice, heard by the model of the house under the grammar of the moment;
the answers are those a person gives when they are misheard: "no" to a wrong reading, and once more. The ears
hear each utterance as fast as they can, so that a quarter of an hour of work fits a test. The whole way
through microphone and loudspeaker is tested beside this one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soxr

from bench.assistant.assembly import Options, conversation
from bench.assistant.session import Session
from bench.audio.samples import RATE
from bench.core.bends import work_out
from bench.core.stick import OnStick, lay_out
from bench.data.bundle import knowledge
from bench.data.tables import setup
from bench.dialogue.effects import Effect, Listen, Say, Show
from bench.dialogue.events import Said
from bench.dialogue.state import State
from bench.ears.choose import recognizer
from bench.ears.recognizer import Recognizer
from bench.ears.whole import hear_whole
from bench.memory.store import Store
from tests.audio_rig import synthetic_voice

VOICE = "flite:rms"
TRIES = 5
MARK_SHOWN = re.compile(r'(\d+)(?: (\d+)/(\d+))?"')


class Person:
    """Someone who talks to a session by sound alone, and repeats themselves when they are misheard."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.ear: Recognizer = recognizer("vosk")
        self.utterances = self.misheard = 0
        self.said = ""
        self.shown: list[tuple[str, str]] = []
        self.open()

    def open(self) -> None:
        """Start the assistant on the folder."""
        self.store = Store(self.folder)
        talk = conversation(knowledge(), Options(), self.store)
        self.session: Session[State] = Session(talk, self.store, self.perform)
        self.session.begin()

    def crash(self) -> None:
        """End it as a power cut does: nothing is told, nothing more is written."""
        self.store.close()
        self.open()

    def perform(self, effects: Sequence[Effect]) -> None:
        """Hear and see what the assistant does."""
        for effect in effects:
            if isinstance(effect, Say):
                self.said = effect.words.lower()
            if isinstance(effect, Show):
                self.shown.append((effect.view.verb, effect.view.number))
            if isinstance(effect, Listen):
                self.ear.expect(effect.expectation)

    def say(self, words: str, until: str) -> None:
        """Say it until the reply holds `until`; a reading offered is answered with yes or no."""
        for _ in range(TRIES):
            self._utter(words)
            while until not in self.said and "did you say" in self.said:
                self._utter("yes" if words in self.said.replace("-", " ") else "no")
            if until in self.said:
                return
            self.misheard += 1
        raise AssertionError(f"said {words!r} and waited for {until!r}; the last reply was {self.said!r}")

    def _utter(self, words: str) -> None:
        samples, rate = synthetic_voice(words, VOICE)
        sound = soxr.resample(samples.astype(np.float32), rate, RATE).astype(np.int16)
        self.utterances += 1
        self.session.handle(Said(hear_whole(self.ear, sound)))


@pytest.fixture
def person(tmp_path: Path) -> Iterator[Person]:
    someone = Person(tmp_path)
    yield someone
    someone.ear.close()
    someone.store.close()


def inches(number: str) -> Fraction:
    """A mark as it is shown, in inches."""
    found = MARK_SHOWN.fullmatch(number)
    assert found, number
    return int(found[1]) + Fraction(int(found[2] or 0), int(found[3] or 1))


@pytest.mark.timeout(240)
def test_three_bends_on_one_stick(person: Person) -> None:
    talk = person
    talk.say("e m t", "trade size")
    talk.say("half inch", "which bend")

    talk.say("stub up", "how tall")
    talk.say("fifteen", "right?")
    talk.say("yes", "mark one at ten")
    talk.say("another bend", "which bend")

    talk.say("offset", "obstruction")
    talk.say("thirty eight and a half", "thirty-eight and a half")
    talk.say("no forty", "changed to forty")
    talk.say("six", "right?")
    talk.say("no", "change which")
    talk.say("rise", "climb")
    talk.say("four and a quarter", "rise four and a quarter")
    talk.say("yes", "mark one")
    talk.crash()
    assert "step one" in talk.said
    talk.say("yes", "mark one")
    talk.say("another bend", "which bend")

    talk.say("kick", "kicked end")
    talk.say("undo", "which bend")
    talk.say("three point saddle", "center")
    talk.say("ninety", "ninety inches")
    talk.say("two", "two inches")
    talk.say("skip", "right?")
    talk.say("yes", "mark one")

    expected = lay_out(
        setup("emt", "1/2"),
        [
            OnStick(work_out("stub", {"height": Fraction(15)}, setup("emt", "1/2"))),
            OnStick(
                work_out("offset", {"distance": Fraction(40), "rise": Fraction(17, 4)}, setup("emt", "1/2"))
            ),
            OnStick(
                work_out("saddle3", {"to_center": Fraction(90), "height": Fraction(2)}, setup("emt", "1/2"))
            ),
        ],
    )
    assert expected.marks[0].at == 10, "a stub of 15 with the usual take-up of 5 for half-inch EMT"
    for index, mark in enumerate(expected.marks):
        assert talk.shown[-1] == ("MARK", talk.shown[-1][1])
        assert inches(talk.shown[-1][1]) == mark.at
        talk.say("next", "mark" if index + 1 < len(expected.marks) else "bend to")
        if index == 2:
            talk.say("what is mark two", "mark two is at")
            talk.say("repeat", "mark four at")
    assert not talk.session.faults
    assert talk.session.state.now.stick.bends[1].measures["rise"] == Fraction(17, 4)
    talk.store.close()
    talk.open()
    assert "unfinished" in talk.said or "step" in talk.said
    assert talk.misheard <= talk.utterances // 4
